package play

import (
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Sum is what a report says in short, under the judging touch.
type Sum struct {
	Touch     string `json:"touch"`
	Notes     int    `json:"notes"`
	NotClear  int    `json:"not_clear"`
	InDoubt   int    `json:"in_doubt"`   // how many the readings leave in doubt
	NotJudged bool   `json:"not_judged"` // some note could not be judged, or not against every fret
	// ChanceAllClear is the chance that every note judged is clear, of crowns as read.
	ChanceAllClear num.Opt `json:"chance_all_clear,omitzero"`
	Worst          *Worst  `json:"-"` // nil where every note is clear
}

// Sum is the report of a judged neck in short.
func (n *Neck) Sum(r *Report) Sum {
	count, all := r.Count(r.JudgeBy)
	s := Sum{Touch: r.JudgeBy, Notes: all, NotClear: all - count[Clear], InDoubt: r.InDoubt(), ChanceAllClear: r.ChanceAllClear, NotJudged: len(n.Open) > 0}
	if len(r.Worst) > 0 {
		s.Worst = &r.Worst[0]
	}
	return s
}

// Sure says that the readings leave no doubt that every note is clear, where each
// is.
func (s Sum) Sure() bool { return s.InDoubt == 0 && s.ChanceAllClear.Or(1) >= straight.Confidence }
