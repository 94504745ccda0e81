package bench

import (
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// playBody is what every note of a neck does.
type playBody struct {
	ID, Stage    string
	Read         bool
	Wrong        []string // the neck cannot be judged
	State        string   // read, planned, perfect
	States       []choice
	Raise        string // mm, as the slider has it
	Raised       string // the same in words
	Slide        sizeUnit
	Over         int    // the fret over which the action is measured
	Least, Most  string // its ends
	Judge, Unit  string
	Stop         string // of the note to hear, in words
	Key          []choice
	Notes        playNotes
	Worst        []play.Worst
	WorstLeft    int
	Answer       *answer.PlayAnswer
	AllClear     string   // what is said where no note touches
	NotJudged    []string // what could not be judged
	String, Fret int      // the note to hear
	Frets        int
	Strings      []choice
	Hear         []choice
}

func (s *Server) showPlay(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	say := s.renderer.words.Say
	b := playBody{ID: k.ID(), Stage: p.word, Read: p.read, State: p.state, Raise: strconv.FormatFloat(p.raiseMM, 'f', 2, 64), Judge: p.model.Setup.JudgeBy,
		Least: strconv.FormatFloat(-min(maxTries, leastAction(p.model.Setup.Action)), 'f', 2, 64), Most: strconv.FormatFloat(maxTries, 'f', 2, 64)}
	b.Slide = s.renderer.sizes(true)
	b.Raised, b.Over = say("play.asset"), min(12, p.layout.LastFret())
	if p.raiseMM != 0 {
		b.Raised = minus(strconv.FormatFloat(p.raiseMM*b.Slide.PerMM, 'f', b.Slide.Digits(2), 64), p.raiseMM) + " " + b.Slide.Name
	}
	for _, state := range []string{"read", "planned", "perfect"} {
		if p.read || state == "perfect" {
			b.States = append(b.States, choice{Value: state, Words: say("crowns." + state), On: state == p.state})
		}
	}
	a, err := s.judgedAt(r, p, p.raiseMM)
	status := http.StatusOK
	switch {
	case err != nil && playFault(err):
		b.Wrong, status = plainList(err), http.StatusUnprocessableEntity
	case err != nil:
		return err
	default:
		s.renderer.fillPlay(&b, p, a)
		s.fillHear(&b, p, r)
	}
	return s.showAs(w, r, status, "play", head{Neck: s.neckHead(k, "play")}, b)
}

// leastAction is how far the lowest string can come down and still lie free.
func leastAction(actions []float64) float64 {
	return max(0, math.Floor((slices.Min(actions)-0.1)*20)/20)
}

// maxWorst is how many notes are listed with their cures.
const maxWorst = 8

func (l *renderer) fillPlay(b *playBody, p *playAsked, a *answer.PlayAnswer) {
	say, u := l.words.Say, l.heights(p.work)
	b.Notes, b.Unit = l.playNotes(a.Strings, &a.Report, false, u), u.name
	for _, kind := range []play.Verdict{play.Clear, play.Grazes, play.Buzzes, play.Chokes} {
		b.Key = append(b.Key, choice{Value: signOf(kind), Words: say("note." + string(kind))})
	}
	b.Answer, b.Worst = a, a.Worst[:min(maxWorst, len(a.Worst))]
	b.NotJudged, b.AllClear = text.StopsNotJudged(a.NotJudged), text.PlayLeft(&a.Report)
	if b.AllClear == "" {
		b.AllClear = say(map[bool]string{true: "play.allclear", false: "play.notsure"}[a.Sure()])
	}
	b.WorstLeft = len(a.Worst) - len(b.Worst)
}

// mm2 is a size in mm to a hundredth.
func mm2(v float64) string { return strconv.FormatFloat(v+0, 'f', 2, 64) + " mm" }

// minus gives a number its sign in print: a plus where it is above 0, a true
// minus below.
func minus(text string, v float64) string {
	if v > 0 {
		return "+" + text
	}
	return strings.Replace(text, "-", "\u2212", 1)
}

func stopWords(l *renderer, fret int) string {
	if fret == 0 {
		return l.words.Say("play.open")
	}
	return l.words.Say("play.at", fret)
}

// tryAction answers the slider: the notes at another action, at once, by reach;
// or with "whole" as judged.
func (s *Server) tryAction(w http.ResponseWriter, r *http.Request) error {
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	whole, at := r.FormValue("whole") != "", 0.0
	if whole {
		at = p.raiseMM
	}
	a, err := s.judgedAt(r, p, at)
	if err != nil {
		return err
	}
	strings := a.Strings
	if !whole {
		if strings, err = a.At(p.raiseMM); err != nil {
			return s.playError(err)
		}
	}
	notes := s.renderer.playNotes(strings, &a.Report, !whole, s.renderer.heights(p.work))
	html, err := s.part("play", "notes", notes)
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, map[string]string{"notes": html, "actions": s.renderer.said(notes.Actions)})
	return nil
}
