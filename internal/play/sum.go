package play

// Sum is what a report says in short, under the judging touch.
type Sum struct {
	Touch     string `json:"touch"`
	Notes     int    `json:"notes"`
	NotClear  int    `json:"not_clear"`
	InDoubt   int    `json:"in_doubt"`   // how many the readings leave in doubt
	NotJudged bool   `json:"not_judged"` // some note could not be judged, or not against every fret
	Worst     *Worst `json:"-"`          // nil where every note is clear
}

// Sum is the report of a judged neck in short.
func (n *Neck) Sum(r *Report) Sum {
	count, all := r.Count(r.JudgeBy)
	s := Sum{Touch: r.JudgeBy, Notes: all, NotClear: all - count[Clear], InDoubt: r.InDoubt(), NotJudged: len(n.Open) > 0}
	if len(r.Worst) > 0 {
		s.Worst = &r.Worst[0]
	}
	return s
}
