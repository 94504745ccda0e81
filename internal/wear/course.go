package wear

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Course is what a group of crowns, such as those of one finding, did together from
// one stage to the other.
type Course struct {
	Verdict Verdict
	MM, UMM float64 // the mean change of the crowns that the verdict is of, up positive
}

// Course says what a group of crowns did. It changed only where the comparison, at
// its joint confidence over the whole neck, calls one of the crowns changed. It is
// unchanged only where the mean change lies within ±withinMM with the confidence
// given (two one-sided tests, Schuirmann 1987, from memory) and the crowns scatter
// about it no more than their noise. All else is in doubt. To be asked after
// Overrule.
//
// Crowns of one lane are taken to err together, which is the worst that they do;
// lanes err apart but for the bow.
func (r *Result) Course(at map[Place]bool, withinMM, confidence float64) Course {
	var all []Change
	for _, x := range r.Changes {
		if at[Place{x.Fret, x.Lane}] {
			all = append(all, x)
		}
	}
	c := Course{Verdict: InDoubt}
	if len(all) == 0 {
		return c
	}
	c.MM, c.UMM = r.mean(all)
	for _, v := range []Verdict{Moved, Worn, Raised} {
		called := ofVerdict(all, v)
		if len(called) == 0 {
			continue
		}
		mm, u := r.mean(called)
		if v == Worn && max(mm, c.MM) >= 0 || v == Raised && min(mm, c.MM) <= 0 { // a crown against its fret says nothing of the group
			return c
		}
		return Course{v, mm, u}
	}
	if math.Abs(c.MM)+distuv.UnitNormal.Quantile(confidence)*c.UMM <= withinMM && alike(all, c.MM, confidence) {
		c.Verdict = Unchanged
	}
	return c
}

func ofVerdict(all []Change, v Verdict) (some []Change) {
	for _, x := range all {
		if x.Verdict == v {
			some = append(some, x)
		}
	}
	return some
}

// mean is the mean change of crowns, lane by lane, and its standard uncertainty.
func (r *Result) mean(all []Change) (mm, u float64) {
	type sum struct{ mm, u, n float64 }
	lanes := map[float64]sum{}
	var order []float64
	for _, x := range all {
		s, seen := lanes[x.Lane]
		if !seen {
			order = append(order, x.Lane)
		}
		lanes[x.Lane] = sum{s.mm + x.MM, s.u + x.UMM, s.n + 1}
	}
	n, v := float64(len(order)), 0.0
	for _, lane := range order {
		s := lanes[lane]
		mm += s.mm / s.n / n
		v += s.u / s.n * s.u / s.n / (n * n)
	}
	if r.Bow != nil {
		v += r.Bow.UMM * r.Bow.UMM
	}
	return mm, math.Sqrt(v)
}

// alike reports whether changes scatter about their mean as their noise does: one
// crown that wore is not hidden by others that did not.
func alike(all []Change, mean, confidence float64) bool {
	if len(all) < 2 {
		return true
	}
	left := 0.0
	for _, x := range all {
		z := (x.MM - mean) / x.UMM
		left += z * z
	}
	return left <= distuv.ChiSquared{K: float64(len(all) - 1)}.Quantile(confidence)
}

// Past is an earlier stage of a neck, and what a finding's crowns did since.
type Past struct {
	Stage string
	Date  time.Time
	Years num.Opt // since; missing where not both have a date
	Course
}

// Story is what the earlier stages say of one finding.
type Story struct {
	// Since is the earliest stage since which it has not changed; nil: unknown.
	Since *Past
	// Changed is the latest stage from which it differs; nil: none that is sure.
	Changed *Past
	// Asked is the latest stage that was compared.
	Asked *Past
}

// StoryOf goes back from the latest earlier stage. Behind the first stage from which
// the finding differs nothing is said to be the same: the neck was worked on.
func StoryOf(latestFirst []Past) (s Story) {
	for i := range latestFirst {
		p := &latestFirst[i]
		if s.Asked == nil {
			s.Asked = p
		}
		switch p.Verdict {
		case Unchanged:
			s.Since = p
		case Worn, Moved, Raised:
			s.Changed = p
			return s
		}
	}
	return s
}

// Played reports whether enough time passed since a stage for strings to wear what is
// lower now: less, and it was a file or a press.
func (p *Past) Played() bool { return p.Years.Or(0) >= minToWear }
