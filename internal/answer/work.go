package answer

import (
	"ringtrue/internal/findings"
	"ringtrue/internal/text"
)

// askOf is what work is asked for, and what the neck itself says but for what to
// read next.
func (r *FretsRequest) askOf(n *findings.Neck) findings.Ask {
	readings := r.judgedBy()
	return findings.Ask{Readings: readings, PlanToMM: r.PlanToMM, Fair: r.Fair, Seated: r.Seated, Heights: r.heights(), Moves: r.Moves, Hand: r.hand(), Paper: r.Shop.Tools.Paper, Shop: r.Shop,
		Found: n.Frets(), Whole: n.Whole(readings)}
}

// worded is the work in words; nil where none is to be said yet.
func worded(w findings.Work, leastMM float64) *Work {
	if w.Metal == nil {
		return nil
	}
	a := &Work{First: []WorkFirst{}, Filing: *w.Metal, Warnings: text.FilingWarnings(w, leastMM)}
	for _, f := range w.First {
		words, advice := text.Finding(f)
		a.First = append(a.First, WorkFirst{Fret: f.Fret, Why: words + ": " + advice, OrFile: f.StandsHigh(), Brief: text.Brief(words, advice)})
	}
	return a
}
