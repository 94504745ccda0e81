package bench

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"slices"
	"sort"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// planBody is the work as a card: what comes off where, with boxes to tick.
type planBody struct {
	Stays                    standing
	ID, Stage, Verdict, Kind string
	Answer                   *answer.FretsAnswer // nil: there are no readings
	Open                     string              // why the plan may yet change
	Sum                      string              // what it takes in all
	Next                     *choice             // where to go once that work is done; nil: reading comes first
	Seated                   string              // frets said to sit down already, "7,14"
	Sits                     []choice
	Lanes                    []float64
	Rows                     []planRow
	Done, Left               int
	Unit                     string
	Moves                    []planMove
	Advice                   []advice
	Height                   heightUnit
	Sheets                   []choice
}

// planMove is a move of the hand: what to do, and when it is done.
type planMove struct{ Words, Ends string }

// planRow is a fret of the card.
type planRow struct {
	Fret  int
	Cells []planCell
}

// planCell is a crown of the card; without Value nothing comes off.
type planCell struct {
	Value, Words, Label string
	Ticked              bool
}

// planAsked is a neck's plan as a request asks for it.
type planAsked struct {
	work
	answer *answer.FretsAnswer
	seated []int // frets that sit down already: high ones are filed
}

// planAsked works the plan out. A nil answer: there are no readings.
func (s *Server) planAsked(r *http.Request) (*draft.Neck, *planAsked, error) {
	k, err := s.kept(r)
	if err != nil {
		return nil, nil, err
	}
	p := &planAsked{work: workOf(k)}
	if !p.read {
		return k, p, nil
	}
	p.seated = seatedOf(r, p.layout)
	if p.answer, err = s.frets(r, p.work, p.seated); err != nil {
		return nil, nil, err
	}
	return k, p, nil
}

// seatedOf are the frets that a request says sit down already, ascending:
// "seated=7&seated=14" or "seated=7,14". What is no fret of the neck is passed
// over.
func seatedOf(r *http.Request, l *geometry.Layout) []int {
	if r.Form == nil {
		_ = r.FormValue("seated") // it parses the form
	}
	var frets []int
	for _, part := range strings.Split(strings.Join(r.Form["seated"], ","), ",") {
		f, err := strconv.Atoi(part)
		if err == nil && f >= l.FirstFret() && f <= l.LastFret() && !slices.Contains(frets, f) {
			frets = append(frets, f)
		}
	}
	slices.Sort(frets)
	return frets
}

// seatedWords writes frets as a query has them.
func seatedWords(frets []int) string {
	return strings.ReplaceAll(strings.Trim(fmt.Sprint(frets), "[]"), " ", ",")
}

func (s *Server) showPlan(w http.ResponseWriter, r *http.Request) error {
	k, p, err := s.planAsked(r)
	if err != nil {
		return err
	}
	if p.read { // the strip over the page must not say less than the plan
		s.analyst.of(r.Context(), k, p.version)
	}
	b, neck := planBody{ID: k.ID(), Stage: p.word, Answer: p.answer}, s.neckHead(k, "plan")
	if p.read {
		n := s.analyst.latest(k)
		k.Read(func(st *draft.State) {
			s.renderer.fillPlan(&b, p, st)
			b.Stays = s.renderer.standing(st, n, s.askedOf(st))
		})
	}
	return s.show(w, r, "plan", head{Neck: neck}, b)
}

func (l *renderer) fillPlan(b *planBody, p *planAsked, st *draft.State) {
	say, a, u := l.words.Say, p.answer, l.heights(p.work)
	b.Verdict, b.Kind = l.verdictOf(a.Verdict, len(a.Crowns), len(a.Undetermined))
	b.Unit, b.Height, b.Seated = u.name, u, seatedWords(p.seated)
	b.Open, b.Sum = l.unsettled(a), l.workSum(a, u)
	if a.Work != nil {
		for _, f := range a.Work.First {
			if f.OrFile {
				b.Sits = append(b.Sits, choice{Value: strconv.Itoa(f.Fret), Words: say("plan.sits", f.Fret)})
			}
		}
	}
	for _, f := range p.seated {
		b.Sits = append(b.Sits, choice{Value: strconv.Itoa(f), Words: say("plan.sits", f), On: true})
	}
	b.Sheets = []choice{{Value: "a4", Words: say("paper.a4")}, {Value: "letter", Words: say("paper.letter")}}
	for _, f := range a.Findings {
		b.Advice = append(b.Advice, advice{Label: say("advice.whole"), Words: f.Finding, How: f.Advice})
	}
	for _, f := range a.Frets {
		if !slices.Contains(p.seated, f.Fret) { // else it is on the card
			b.Advice = append(b.Advice, advice{Label: say("advice.fret", f.Fret), Words: f.Finding, How: f.Advice})
		}
	}
	if a.Work != nil {
		for _, m := range a.Work.Moves {
			b.Moves = append(b.Moves, planMove{text.Move(m), text.MoveEnds(m)})
		}
	}
	l.fillCard(b, p, st)
	b.Next = l.planNext(b, a)
}

// planNext leads to the end of the stage, or to the notes of a level neck.
func (l *renderer) planNext(b *planBody, a *answer.FretsAnswer) *choice {
	switch {
	case len(b.Rows) > 0 || a.Work != nil && len(a.Work.First) > 0:
		return &choice{Value: "/necks/" + b.ID + "/files", Words: l.words.Say("plan.end")}
	case a.Verdict == string(straight.Level) && b.Open == "":
		return &choice{Value: "/necks/" + b.ID + "/play", Words: l.words.Say("end.play")}
	}
	return nil
}

// workSum says what the work takes in all, how far it goes and why, and what that
// costs beside the limit itself; "" where nothing comes off.
func (l *renderer) workSum(a *answer.FretsAnswer, u heightUnit) string {
	say, k := l.words.Say, a.Work
	if k == nil || len(k.Crowns) == 0 {
		return ""
	}
	sum := say("plan.sum", len(k.Crowns), u.Plain(k.MaxRemoveMM), u.Total(k.TotalRemoveMM)) + " " + say("plan.arrives", u.Plain(k.PlannedToMM), l.inTwenty(k.Arrives))
	if t := k.ToLimit; t != nil && k.PlannedToMM < a.ZoneLimitMM {
		sum += " " + say("plan.tolimit", u.Total(t.TotalRemoveMM), l.inTwenty(t.Arrives))
	}
	return sum
}

// inTwenty is a chance as a maker says it.
func (l *renderer) inTwenty(chance float64) string {
	n := int(math.Round(20 * chance))
	if n == 0 {
		return l.words.Say("plan.never")
	}
	return l.words.Say("plan.intwenty", min(n, 19))
}

// workCrowns are the crowns that lose metal.
func workCrowns(a *answer.FretsAnswer) []answer.PlanCrown {
	if a.Work == nil {
		return nil
	}
	return a.Work.Crowns
}

// fillCard lays the crowns out, a row a fret, the bass side left.
func (l *renderer) fillCard(b *planBody, p *planAsked, st *draft.State) {
	crowns, u := workCrowns(p.answer), l.heights(p.work)
	for _, c := range crowns {
		if !slices.Contains(b.Lanes, c.Lane) {
			b.Lanes = append(b.Lanes, c.Lane)
		}
	}
	slices.Sort(b.Lanes)
	slices.Reverse(b.Lanes)
	for _, c := range crowns {
		i := slices.IndexFunc(b.Rows, func(r planRow) bool { return r.Fret == c.Fret })
		if i < 0 {
			i, b.Rows = len(b.Rows), append(b.Rows, planRow{c.Fret, make([]planCell, len(b.Lanes))})
		}
		t := tickOf(c)
		cell := planCell{Value: valueOf(t), Words: u.bare(c.RemoveMM), Ticked: st.IsTicked(p.stage, t),
			Label: l.words.Say("plan.box", c.Fret, unit.Decimal(c.Lane), u.Plain(c.RemoveMM))}
		if cell.Ticked {
			b.Done++
		} else {
			b.Left++
		}
		b.Rows[i].Cells[slices.Index(b.Lanes, c.Lane)] = cell
	}
	sort.Slice(b.Rows, func(i, j int) bool { return b.Rows[i].Fret < b.Rows[j].Fret })
}

// bare is an amount without sign and unit; one that would round to nothing is
// said to be less than the last digit.
func (u heightUnit) bare(mm float64) string {
	text, _, _ := strings.Cut(u.Plain(mm), " ")
	if strings.Trim(text, "0.") == "" {
		return "<" + strings.TrimSuffix(text, "0") + "1"
	}
	return text
}

// unsettled says what may still change the plan; "" where nothing does.
func (l *renderer) unsettled(a *answer.FretsAnswer) string {
	say := l.words.Say
	switch again, open := len(a.Recheck), len(a.Undetermined); {
	case again > 0 && open > 0:
		return say("plan.open", again, open)
	case again > 0:
		return say("plan.reread", again)
	case open > 0:
		return say("plan.opencrowns", open)
	}
	return ""
}

// givePlan gives the card to print or send, its boxes first, then the neck's
// picture, as PDF.
func (s *Server) givePlan(w http.ResponseWriter, r *http.Request) error {
	paper, ok := map[string]sheet.Paper{"": sheet.A4, "a4": sheet.A4, "letter": sheet.Letter}[r.FormValue("paper")]
	if !ok {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("plan.nopaper"))
	}
	k, p, err := s.planAsked(r)
	if err != nil {
		return err
	}
	if !p.read {
		return refuse(http.StatusConflict, s.renderer.words.Say("plan.none"))
	}
	units := s.renderer.sheetUnits()
	if p.inch {
		units = sheet.Thousandths
	}
	var pages []*draw.Page
	if pages, err = s.card(k, p, paper, units); err != nil {
		return err
	}
	if len(p.answer.Lanes) > 0 {
		picture, err := sheet.Frets(p.answer, p.layout, paper, units)
		if err != nil {
			return err
		}
		pages = append(pages, picture)
	}
	return givePDF(w, plainFile(p.serial+"-"+p.word+"-plan")+".pdf", pages)
}

// card is the plan on sheets of paper.
func (s *Server) card(k *draft.Neck, p *planAsked, paper sheet.Paper, units sheet.Units) ([]*draw.Page, error) {
	say, a, u := s.renderer.words.Say, p.answer, s.renderer.heights(p.work)
	name := p.name
	if p.serial != "" {
		name += " " + say("layout.serial", p.serial)
	}
	verdict, _ := s.renderer.verdictOf(a.Verdict, len(a.Crowns), len(a.Undetermined))
	words := []string{say("plan.sheet", p.word, strings.ToLower(verdict), s.cfg.Now().UTC().Format("2006-01-02"))}
	before := sheet.BeforeFiling(a)
	var file []string
	for _, more := range []string{s.renderer.workSum(a, u), a.WhyNot} {
		if more != "" {
			file = append(file, more)
		}
	}
	if len(before) == 0 && a.WhyNot != "" {
		file[len(file)-1] = say("plan.notyet", a.WhyNot)
	}
	if len(before) == 0 && s.renderer.unsettled(a) != "" {
		file = append(file, s.renderer.unsettled(a))
	}
	if a.Work != nil {
		file = append(file, a.Work.Warnings...)
	}
	ticked, begun := map[draft.Tick]bool{}, false
	k.Read(func(st *draft.State) {
		for _, m := range workCrowns(a) {
			on := st.IsTicked(p.stage, tickOf(m))
			ticked[tickOf(m)], begun = on, begun || on
		}
	})
	// One way on paper: who does the moves and then the boxes files twice.
	if a.Work != nil && len(a.Work.Moves) > 0 && !begun {
		file = append(file, text.MovesFlats(units == sheet.Thousandths), text.BeamCare)
		return sheet.MovesCard(name, a.Verdict, words, before, file, []string{text.FilingCare}, a.Work.Moves, p.model.Wire.CrownWidth, paper, units)
	}
	done := func(m answer.PlanCrown) bool { return ticked[tickOf(m)] }
	var foot []string
	if len(workCrowns(a)) > 0 {
		foot = []string{say("plan.after"), text.FilingCare}
	} else if len(before) == 0 && a.WhyNot == "" {
		file = append(file, say("plan.nothing"))
	}
	return sheet.Card(name, a.Verdict, words, before, file, foot, workCrowns(a), done, paper, units)
}

// givePDF answers with sheets of paper.
func givePDF(w http.ResponseWriter, name string, pages []*draw.Page) error {
	var b bytes.Buffer
	if err := draw.WritePDFPages(&b, pages); err != nil {
		return err
	}
	return give(w, "application/pdf", name, b.Bytes())
}
