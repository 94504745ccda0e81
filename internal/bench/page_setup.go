package bench

import (
	"context"
	"errors"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/setup"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// setupBody is the set-up sheet: a form of what was measured, and what it says.
type setupBody struct {
	ID, Unit       string
	Read, Lowest   bool
	Heads          []string // strings, the bass left
	Fields         []setupField
	Wrong          []string // what was typed wrong, or cannot be worked out
	Answer         *answer.SetupAnswer
	Verdict, Kind  string
	Plays          string
	Notes          []string
	NotJudged      []string
	Heading        string
	Columns        []string // the strings that the answer is of, the bass left
	First, Heights [][]string
	HeightsHeading string
	Key, Care      string
	Sheets         []choice
}

// setupField is a row of the form: one size, a box a string.
type setupField struct {
	Words string
	Boxes []choice // Value is the box's name, Words what was typed
}

// setupSize is a row of the form: the name of its boxes, the key of its words, and
// where what is typed goes.
type setupSize struct {
	name, words string
	of          func(*setup.Measured) *num.Opt
}

func setupSizes(zeroFret bool) []setupSize {
	nut := []setupSize{
		{"first", "setup.first", func(m *setup.Measured) *num.Opt { return &m.FirstMM }},
		{"held", "setup.held", func(m *setup.Measured) *num.Opt { return &m.HeldMM }},
	}
	if zeroFret {
		nut = nil // it holds the open string
	}
	return append(nut,
		setupSize{"action", "setup.action", func(m *setup.Measured) *num.Opt { return &m.ActionMM }},
		setupSize{"shows", "setup.shows", func(m *setup.Measured) *num.Opt { return &m.ShowsMM }})
}

// setupAsked is what a request says was measured.
type setupAsked struct {
	work
	query    url.Values
	unit     string // of the sizes: mm or in
	measured []setup.Measured
	typed    bool
}

// setupUnit is the unit of the form's sizes: the one it says, else the bench's.
func (l *renderer) setupUnit(form url.Values) string {
	switch is := form.Get("unit"); {
	case is == "mm" || is == "in":
		return is
	case l.inches:
		return "in"
	}
	return "mm"
}

// setupAsked reads the form. What is no size is named in wrong.
func (s *Server) setupAsked(r *http.Request, k *draft.Neck) (p setupAsked, wrong []string) {
	say := s.renderer.words.Say
	_ = r.FormValue("unit") // it parses the form
	p = setupAsked{work: workOf(k), query: r.Form, unit: s.renderer.setupUnit(r.Form)}
	perMM := map[string]float64{"mm": 1, "in": unit.MMPerInch}[p.unit]
	for i := p.layout.Strings(); i > 0; i-- {
		m := setup.Measured{String: i}
		for _, f := range setupSizes(p.model.Scale.ZeroFret) {
			words := strings.TrimSpace(r.Form.Get(f.name + strconv.Itoa(i)))
			if words == "" {
				continue
			}
			p.typed = true
			v, err := unit.Number(strings.Replace(strings.TrimSpace(strings.TrimSuffix(words, p.unit)), ",", ".", 1))
			if err != nil || !(v >= 0 && v*perMM <= setup.MostMM) {
				wrong = append(wrong, say("setup.nosize", i, say(f.words), words))
				continue
			}
			*f.of(&m) = num.Some(v * perMM)
		}
		p.measured = append(p.measured, m)
	}
	return p, wrong
}

// setupSheet works the sheet out, once for the same form.
func (s *Server) setupSheet(r *http.Request, p setupAsked) (*answer.SetupAnswer, error) {
	q := answer.SetupRequest{PlayRequest: answer.PlayRequest{Model: p.model, Layout: p.layout, Readings: p.readings, Read: p.read},
		Measured: p.measured, Doubt: setup.Usual(), Lowest: p.query.Get("lowest") != ""}
	return ask(r.Context(), s, "setup "+p.state+" "+p.query.Encode(), func(ctx context.Context) (*answer.SetupAnswer, error) {
		a, err := answer.Setup(ctx, q)
		if errors.Is(err, setup.ErrNothing) {
			return nil, refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("setup.nothing"))
		}
		var q setup.Questions
		if errors.As(err, &q) {
			return nil, refuse(http.StatusUnprocessableEntity, s.renderer.oddSizes(q, p.query.Get("unit"))...)
		}
		return a, s.playError(err)
	})
}

// oddSizes asks about sizes that no neck has, in the unit they were typed in.
func (l *renderer) oddSizes(all setup.Questions, typed string) (lines []string) {
	write := func(mm float64) string { return unit.Decimal(math.Round(mm*1000)/1000) + " mm" }
	if typed == "in" {
		write = func(mm float64) string { return unit.Decimal(math.Round(mm/unit.MMPerInch*10000)/10000) + " in" }
	}
	for _, q := range all {
		words := q.Says(write) + "."
		lines = append(lines, l.asTyped(strings.ToUpper(words[:1])+words[1:]))
	}
	return lines
}

func (s *Server) showSetup(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	p, wrong := s.setupAsked(r, k)
	b := setupBody{ID: k.ID(), Read: p.read, Wrong: wrong, Unit: p.unit, Lowest: p.query.Get("lowest") != ""}
	s.renderer.fillSetupForm(&b, p)
	status := http.StatusOK
	if p.typed && len(wrong) == 0 {
		a, err := s.setupSheet(r, p)
		switch {
		case err != nil && playFault(err):
			b.Wrong = plainList(err)
		case err != nil:
			return err
		default:
			s.renderer.fillSetup(&b, p, a)
		}
	}
	if len(b.Wrong) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return s.showAs(w, r, status, "setup", head{Neck: s.neckHead(k, "setup")}, b)
}

// fillSetupForm lays the form out, with what was typed.
func (l *renderer) fillSetupForm(b *setupBody, p setupAsked) {
	say := l.words.Say
	for _, f := range setupSizes(p.model.Scale.ZeroFret) {
		field := setupField{Words: say("setup." + f.name)}
		for i := p.layout.Strings(); i > 0; i-- {
			name := f.name + strconv.Itoa(i)
			field.Boxes = append(field.Boxes, choice{Value: name, Words: p.query.Get(name)})
		}
		b.Fields = append(b.Fields, field)
	}
	for i := p.layout.Strings(); i > 0; i-- {
		b.Heads = append(b.Heads, strconv.Itoa(i)+" "+p.model.Strings.Set[i-1].Pitch)
	}
}

func (l *renderer) fillSetup(b *setupBody, p setupAsked, a *answer.SetupAnswer) {
	s, u := a.Sheet, l.sizes(true)
	b.Answer, b.Verdict, b.Kind = a, inSentence(text.SetupHead(s)), "not-level"
	if a.Passed() {
		b.Kind = "level"
	}
	if a.Lowest {
		b.Notes = append(b.Notes, text.SetupLowest(a.Left))
	}
	for _, c := range a.Cannot {
		b.Notes = append(b.Notes, c.Why)
	}
	b.Notes = append(b.Notes, text.SetupTooLow(s)...)
	b.NotJudged = text.StopsNotJudged(a.NotJudged)
	b.Plays = text.SetupPlays(a.Notes, a.Left, a.JudgeBy, a.PerfectCrowns)
	in := func(heading string) string { return strings.Replace(heading, ", mm", ", "+u.Name, 1) }
	write := func(mm float64) string {
		return strings.Replace(dec(u.Digits(2)+map[bool]int{true: 1}[l.inches], mm*u.PerMM), "-", "\u2212", 1)
	}
	if !s.Early() && !s.Done() {
		b.Heading, b.First = in(text.SetupTake(s)), text.SetupFirst(s, write)
	}
	for _, x := range slices.Backward(a.Strings) {
		b.Columns = append(b.Columns, strconv.Itoa(x.String)+" "+x.Pitch)
	}
	b.HeightsHeading = in(text.SetupAll)
	for _, row := range text.SetupRows(s) {
		cells := []string{row.Name}
		for _, c := range slices.Backward(s.Cuts) {
			cells = append(cells, text.SetupFigure(row.Of(c), write))
		}
		b.Heights = append(b.Heights, cells)
	}
	for _, name := range text.SetupPlaceRows() {
		cells := []string{name}
		for _, x := range slices.Backward(a.Strings) {
			cells = append(cells, text.SetupFigure(x.Place(name), write))
		}
		b.Heights = append(b.Heights, cells)
	}
	b.Key, b.Care = text.SetupKey, text.SetupCare
	for _, paper := range []string{"a4", "letter"} {
		q := url.Values{}
		for name, v := range p.query {
			q[name] = v
		}
		q.Set("paper", paper)
		b.Sheets = append(b.Sheets, choice{Value: "/necks/" + b.ID + "/setup.pdf?" + q.Encode(), Words: l.words.Say("paper." + paper)})
	}
}

// giveSetup gives the sheet to print, as PDF.
func (s *Server) giveSetup(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	paper, ok := map[string]sheet.Paper{"": sheet.A4, "a4": sheet.A4, "letter": sheet.Letter}[r.FormValue("paper")]
	if !ok {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("plan.nopaper"))
	}
	p, wrong := s.setupAsked(r, k)
	if len(wrong) > 0 {
		return refuse(http.StatusUnprocessableEntity, wrong...)
	}
	p.query.Del("paper")
	a, err := s.setupSheet(r, p)
	if err != nil {
		return err
	}
	page, err := sheet.Setup(a, paper, s.renderer.sheetUnits())
	if err != nil {
		return err
	}
	return givePDF(w, plainFile(p.serial+"-"+p.word+"-setup")+".pdf", []*draw.Page{page})
}

// inSentence is a listing's headline as a page writes it.
func inSentence(head string) string { return head[:1] + strings.ToLower(head[1:]) }
