package answer

import (
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/hand"
	"ringtrue/internal/neck"
)

// Time is how long the work takes, step by step.
type Time struct {
	Steps        []TimeStep `json:"steps"`
	Minutes      float64    `json:"minutes"`       // the middle of what it takes
	QuoteMinutes float64    `json:"quote_minutes"` // 8 times in 10 it takes no longer
	Jobs         int        `json:"jobs"`          // of the book that the times rest on; 0: usual times, or those of the files
}

// TimeStep is one step of the work.
type TimeStep struct {
	Step    string  `json:"step"`
	What    string  `json:"what,omitempty"` // the frets
	Count   float64 `json:"count"`
	Minutes float64 `json:"minutes"`
}

// EachOf is what each step takes on a neck: by the neck file, else the shop's.
func EachOf(m neck.Model, s neck.Shop) hand.Counts {
	if s.Minutes == (neck.ShopMinutes{}) {
		s = neck.UsualShop()
	}
	return hand.Each(s.Minutes, m.Minutes.Reseat)
}

// timeOf is how long the work of an answer takes; nil where there is none.
func (r *FretsRequest) timeOf(a *FretsAnswer) *Time {
	w := a.Work
	if w == nil || len(w.First) == 0 && len(w.Crowns) == 0 {
		return nil
	}
	k := r.hand()
	each := k.Minutes()
	t := &Time{Steps: []TimeStep{}, Jobs: k.Jobs}
	t.step(hand.PressOne, float64(len(w.First)), each)
	if frets := float64(fretsFiled(w)); frets > 0 {
		file := r.Model.Minutes.File
		if file == 0 {
			file = r.Shop.Minutes.File
		}
		if file > 0 {
			t.add("file", "level, crown and polish", frets, frets*file)
		} else {
			t.filing(w, frets, each)
		}
	}
	t.step(hand.PassSetUp, float64(passesOf(r.Readings)), each)
	t.step(hand.ReadingOne, float64(len(r.Readings)), each)
	t.QuoteMinutes = hand.Quote(t.Minutes)
	return t
}

// fretsFiled counts the frets that lose metal: by the moves, those under a tool
// that keep no ink.
func fretsFiled(w *Work) int {
	frets := map[int]bool{}
	for _, c := range w.Crowns {
		if len(w.Moves) == 0 || slices.ContainsFunc(w.Moves, func(m findings.Move) bool { return m.Works(c.Fret) }) {
			frets[c.Fret] = true
		}
	}
	return len(frets)
}

// filing adds the moves, and what frets need after them.
func (t *Time) filing(w *Work, frets float64, each hand.Counts) {
	t.step(hand.Ink, 1, each)
	for _, m := range w.Moves {
		t.add(m.Tool, m.Frets(), 1, m.Minutes)
	}
	if len(w.Moves) == 0 {
		t.step(hand.SpotFile, frets, each)
	}
	t.step(hand.Crowning, frets, each)
	t.step(hand.Polishing, frets, each)
}

// step adds a step of so many; none where there are none.
func (t *Time) step(step int, count float64, each hand.Counts) {
	if count > 0 {
		t.add(hand.StepName(step), "", count, count*each[step])
	}
}

func (t *Time) add(step, what string, count, minutes float64) {
	t.Steps = append(t.Steps, TimeStep{step, what, count, minutes})
	t.Minutes += minutes
}

// hand is who files: as the book knows, else as usual with the times of the files.
func (r *FretsRequest) hand() hand.Known {
	if r.Hand != nil {
		return *r.Hand
	}
	return hand.Known{Each: EachOf(r.Model, r.Shop)}
}
