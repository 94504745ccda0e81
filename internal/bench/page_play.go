package bench

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/job"
)

// playBody is what every note of a neck does.
type playBody struct {
	ID, Stage    string
	Read         bool
	Wrong        []string // the neck cannot be judged
	State        string   // read, planned, perfect
	States       []choice
	Raise        string // mm, as the slider has it
	Least, Most  string // its ends
	Judge, Unit  string
	Stop         string // of the note to hear, in words
	Key          []choice
	Notes        playNotes
	Worst        []playWorst
	WorstLeft    int
	Cures        []string
	Mind         []string
	Lowest       []playLowest
	String, Fret int // the note to hear
	Frets        int
	Strings      []choice
	Hear         []choice
}

// playNotes is every note, a row a stop, a column a string. It is also what the
// slider is answered with.
type playNotes struct {
	Sum     string
	Quick   bool // by reach alone: whether a short note grazes or buzzes is not told
	Strings []string
	Rows    []playRow
	Actions string
}

type playRow struct {
	Fret  string
	Notes []playNote
}

// playNote has a sign and words; colour is never alone.
type playNote struct{ Kind, Sign, Left, Label string }

type playWorst struct {
	Label, Kind, Verdict, Cure, Href string
	String, Fret                     int
}

type playLowest struct{ String, Pitch, Now, Clear, Raise string }

// playAsked is a request for a neck's notes.
type playAsked struct {
	work
	request job.PlayRequest
	state   string
	raiseMM float64
}

// mostTries is how far the slider goes, in mm.
const mostTries = 1.0

// playAsked reads which state and which action are asked for.
func (s *Server) playAsked(r *http.Request) (*playAsked, error) {
	k, err := s.kept(r)
	if err != nil {
		return nil, err
	}
	p := &playAsked{work: workOf(k), state: r.FormValue("state")}
	if !p.read || p.state == "" {
		p.state = "perfect"
		if p.read {
			p.state = "read"
		}
	}
	p.request = job.PlayRequest{Model: p.model, Layout: p.layout, Read: p.state != "perfect", Planned: p.state == "planned"}
	switch p.state {
	case "read", "planned", "perfect":
	default:
		return nil, refuse(http.StatusUnprocessableEntity, s.look.words.say("play.nostate"))
	}
	if p.request.Read {
		if p.request.Readings, err = p.readings(); err != nil {
			return nil, err
		}
	}
	if text := r.FormValue("raise"); text != "" {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(math.Abs(v) <= mostTries) {
			return nil, refuse(http.StatusUnprocessableEntity, s.look.words.say("play.noraise"))
		}
		p.raiseMM = math.Round(v*100) / 100
	}
	return p, nil
}

// actions judges the neck at its own action, once.
func (s *Server) actions(r *http.Request, p *playAsked) (*job.Actions, error) {
	return ask(r.Context(), s, "play "+p.work.state+" "+p.state, func(ctx context.Context) (*job.Actions, error) {
		a, err := job.NewActions(ctx, p.request)
		return a, s.playError(err)
	})
}

// playError is what the maker can mend of a neck that cannot be judged.
func (s *Server) playError(err error) error {
	var list fileerr.List
	switch {
	case err == nil:
		return nil
	case errors.As(err, &list):
		return list
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	}
	return refuse(http.StatusUnprocessableEntity, err.Error())
}

// judged is the neck judged whole, at the action asked for.
func (s *Server) judgedAt(r *http.Request, p *playAsked) (*job.PlayAnswer, error) {
	if p.raiseMM == 0 {
		a, err := s.actions(r, p)
		if err != nil {
			return nil, err
		}
		return a.Judged, nil
	}
	return ask(r.Context(), s, fmt.Sprintf("play %s %s %+.2f", p.work.state, p.state, p.raiseMM), func(ctx context.Context) (*job.PlayAnswer, error) {
		q, err := p.request.Raised(p.raiseMM)
		if err == nil {
			var a *job.PlayAnswer
			if a, err = job.Play(ctx, q); err == nil {
				return a, nil
			}
		}
		return nil, s.playError(err)
	})
}

// playFault reports whether an error is one that the page shows in its place.
func playFault(err error) bool { return fileerr.Is(err) || isRefusal(err) }

func (s *Server) showPlay(w http.ResponseWriter, r *http.Request) error {
	k, err := s.kept(r)
	if err != nil {
		return err
	}
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	say := s.look.words.say
	b := playBody{ID: k.ID(), Stage: p.word, Read: p.read, State: p.state, Raise: strconv.FormatFloat(p.raiseMM, 'f', 2, 64), Judge: p.model.Setup.JudgeBy,
		Least: strconv.FormatFloat(-min(mostTries, leastAction(p.model.Setup.Action)), 'f', 2, 64), Most: strconv.FormatFloat(mostTries, 'f', 2, 64)}
	for _, state := range []string{"read", "planned", "perfect"} {
		if p.read || state == "perfect" {
			b.States = append(b.States, choice{Value: state, Words: say("crowns." + state), On: state == p.state})
		}
	}
	a, err := s.judgedAt(r, p)
	status := http.StatusOK
	switch {
	case err != nil && playFault(err):
		b.Wrong, status = plainList(err), http.StatusUnprocessableEntity
	case err != nil:
		return err
	default:
		s.look.fillPlay(&b, p, a)
		s.fillHear(&b, p, r)
	}
	return s.showAs(w, r, status, "play", head{Neck: s.neckHead(k, "play")}, b)
}

// leastAction is how far the lowest string can come down and still lie free.
func leastAction(actions []float64) float64 {
	low := math.Inf(1)
	for _, a := range actions {
		low = min(low, a)
	}
	return math.Max(0, math.Floor((low-0.1)*20)/20)
}

// plainList is a fault a line.
func plainList(err error) []string {
	var list fileerr.List
	if !errors.As(err, &list) {
		return []string{err.Error()}
	}
	var lines []string
	for _, f := range list {
		line := f.Msg
		if f.Key != "" {
			line = f.Key + ": " + line
		}
		lines = append(lines, line)
	}
	return lines
}

// mostWorst is how many notes are listed with their cures.
const mostWorst = 8

func (l *look) fillPlay(b *playBody, p *playAsked, a *job.PlayAnswer) {
	say, u := l.words.say, p.heights()
	b.Notes, b.Unit = l.playNotes(a, u), u.name
	for _, kind := range []string{"clear", "grazes", "buzzes", "chokes"} {
		b.Key = append(b.Key, choice{Value: signOf(kind), Words: say("note." + kind)})
	}
	b.Mind = append(b.Mind, a.Warnings...)
	for _, n := range a.NotJudged {
		b.Mind = append(b.Mind, say("play.notjudged", n.String, n.Why))
	}
	for i, x := range a.Worst {
		if i == mostWorst {
			b.WorstLeft = len(a.Worst) - mostWorst
			break
		}
		b.Worst = append(b.Worst, playWorst{Label: say("play.note", x.String, stopWords(l, x.Fret)), Kind: x.Verdict, Verdict: say("note." + x.Verdict), Cure: x.Cure, String: x.String, Fret: x.Fret,
			Href: fmt.Sprintf("/necks/%s/play?state=%s&raise=%s&string=%d&fret=%d#hear", p.id, p.state, b.Raise, x.String, x.Fret)})
	}
	if c := a.Cures; c != nil {
		add := func(v *float64, key string) {
			if v != nil {
				b.Cures = append(b.Cures, say(key, strconv.FormatFloat(*v+0, 'f', 2, 64)))
			}
		}
		add(c.RaiseActionMM, "play.cureaction")
		add(c.ReliefMM, "play.curerelief")
		add(c.RaiseNutMM, "play.curenut")
		add(c.MetalMM, "play.curemetal")
		for _, f := range c.Refit {
			b.Cures = append(b.Cures, say("play.curerefit", f))
		}
	}
	for _, x := range a.Strings {
		low := playLowest{String: strconv.Itoa(x.String), Pitch: x.Pitch, Now: mm2(x.ActionMM), Clear: "–", Raise: "–"}
		if x.LowestClearActionMM != nil {
			low.Clear = mm2up(*x.LowestClearActionMM)
		}
		if x.RaiseActionMM != nil {
			low.Raise = mm2up(*x.RaiseActionMM)
		}
		b.Lowest = append(b.Lowest, low)
	}
}

// mm2 is a size in mm to a hundredth; mm2up the same rounded up, so that what is
// read off is enough.
func mm2(v float64) string   { return strconv.FormatFloat(v+0, 'f', 2, 64) + " mm" }
func mm2up(v float64) string { return mm2(math.Ceil(v*100-1e-6) / 100) }

func stopWords(l *look, fret int) string {
	if fret == 0 {
		return l.words.say("play.open")
	}
	return l.words.say("play.at", fret)
}

// signs of the verdicts: forms that differ without colour.
func signOf(kind string) string {
	return map[string]string{"clear": "○", "short": "△", "grazes": "△", "buzzes": "▲", "chokes": "✕"}[kind]
}

// cellKey is a note's place in the grid.
type cellKey struct{ fret, number int }

// playNotes lays out the notes of a whole judgement.
func (l *look) playNotes(a *job.PlayAnswer, u heightUnit) playNotes {
	cells := map[cellKey]playNote{}
	bad := 0
	var actions []float64
	for _, x := range a.Strings {
		actions = append(actions, x.ActionMM)
		for _, n := range x.Notes {
			if n.Touch != a.JudgeBy {
				continue
			}
			c := playNote{Kind: n.Verdict}
			if n.ClearMarginMM != nil {
				c.Left = u.signed(*n.ClearMarginMM)
			}
			if n.Verdict != "clear" {
				bad++
			}
			cells[cellKey{n.Fret, x.String}] = l.noteCell(c, x.String, n.Fret, u)
		}
	}
	out := playNotes{Sum: l.words.say("play.sum", bad, len(cells)), Actions: l.actionWords(actions)}
	out.lay(cells, len(a.Strings), l)
	return out
}

// quickNotes lays out the notes at an action that was only tried.
func (l *look) quickNotes(a *job.ActionsAnswer, u heightUnit) playNotes {
	cells := map[cellKey]playNote{}
	for _, n := range a.Notes {
		c := playNote{Kind: "clear"}
		if n.LeftMM != nil {
			c.Left = u.signed(*n.LeftMM)
			switch {
			case n.Chokes:
				c.Kind = "chokes"
			case *n.LeftMM < 0:
				c.Kind = "short"
			}
		}
		cells[cellKey{n.Fret, n.String}] = l.noteCell(c, n.String, n.Fret, u)
	}
	out := playNotes{Quick: true, Sum: l.words.say("play.quicksum", a.Short, len(cells)), Actions: l.actionWords(a.ActionMM)}
	out.lay(cells, len(a.ActionMM), l)
	return out
}

func (l *look) noteCell(c playNote, number, fret int, u heightUnit) playNote {
	c.Sign = signOf(c.Kind)
	c.Label = l.words.say("play.cell", number, stopWords(l, fret), l.words.say("note."+c.Kind))
	if c.Left != "" {
		c.Label += l.words.say("play.left", c.Left, u.name)
	}
	return c
}

// lay puts notes into rows, the bass side left.
func (p *playNotes) lay(cells map[cellKey]playNote, strings int, l *look) {
	last := 0
	for k := range cells {
		last = max(last, k.fret)
	}
	for n := strings; n >= 1; n-- {
		p.Strings = append(p.Strings, strconv.Itoa(n))
	}
	for f := 0; f <= last; f++ {
		row := playRow{Fret: strconv.Itoa(f)}
		known := false
		for n := strings; n >= 1; n-- {
			c, ok := cells[cellKey{f, n}]
			if !ok {
				c = playNote{Kind: "none", Sign: "?", Label: l.words.say("play.cell", n, stopWords(l, f), l.words.say("note.none"))}
			}
			known = known || ok
			row.Notes = append(row.Notes, c)
		}
		if known {
			p.Rows = append(p.Rows, row)
		}
	}
}

// actionWords are the actions of the outer strings.
func (l *look) actionWords(mm []float64) string {
	if len(mm) == 0 {
		return ""
	}
	return l.words.say("play.actions", mm2(mm[0]), mm2(mm[len(mm)-1]))
}

// tryAction answers the slider: the notes at another action, at once, by reach;
// or with "whole" as judged.
func (s *Server) tryAction(w http.ResponseWriter, r *http.Request) error {
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	var notes playNotes
	if r.FormValue("whole") != "" {
		a, err := s.judgedAt(r, p)
		if err != nil {
			return err
		}
		notes = s.look.playNotes(a, p.heights())
	} else {
		a, err := s.actions(r, p)
		if err != nil {
			return err
		}
		at, err := a.At(p.raiseMM)
		if err != nil {
			return s.playError(err)
		}
		notes = s.look.quickNotes(at, p.heights())
	}
	html, err := s.part("play", "notes", notes)
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, map[string]string{"notes": html, "actions": notes.Actions})
	return nil
}

// fillHear offers a note to be heard: the one asked for, else the worst.
func (s *Server) fillHear(b *playBody, p *playAsked, r *http.Request) {
	b.Frets = p.layout.LastFret()
	b.String, b.Fret = within(r.FormValue("string"), 1, p.layout.Strings()), within(r.FormValue("fret"), 0, b.Frets)
	if r.FormValue("string") == "" && len(b.Worst) > 0 {
		b.String, b.Fret = b.Worst[0].String, b.Worst[0].Fret
	}
	b.Stop = stopWords(s.look, b.Fret)
	for n := 1; n <= p.layout.Strings(); n++ {
		b.Strings = append(b.Strings, choice{Value: strconv.Itoa(n), Words: s.look.words.say("play.string", n, p.model.Strings.Set[n-1].Pitch), On: n == b.String})
	}
	for _, state := range []string{"read", "planned", "perfect"} {
		if p.read || state == "perfect" {
			b.Hear = append(b.Hear, choice{Words: s.look.words.say("crowns." + state),
				Value: fmt.Sprintf("/necks/%s/note.wav?state=%s&raise=%s&string=%d&fret=%d", p.id, state, b.Raise, b.String, b.Fret)})
		}
	}
}

// within is a number from a query, kept within bounds.
func within(text string, least, most int) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return least
	}
	return min(max(n, least), most)
}

// giveNote gives the sound of one note.
func (s *Server) giveNote(w http.ResponseWriter, r *http.Request) error {
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	number, errString := strconv.Atoi(r.FormValue("string"))
	fret, errFret := strconv.Atoi(r.FormValue("fret"))
	if errString != nil || errFret != nil {
		return refuse(http.StatusUnprocessableEntity, s.look.words.say("play.nonote"))
	}
	key := fmt.Sprintf("note %s %s %+.2f %d %d", p.work.state, p.state, p.raiseMM, number, fret)
	data, err := ask(r.Context(), s, key, func(ctx context.Context) ([]byte, error) {
		q, err := p.request.Raised(p.raiseMM)
		if err != nil {
			return nil, s.playError(err)
		}
		_, data, err := job.Sound(ctx, job.SoundRequest{PlayRequest: q, Note: job.NoteChoice{String: number, Fret: fret}})
		return data, s.playError(err)
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/wav")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(data))
	return nil
}
