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
	BowMM   float64 // how far the neck's bow moved them besides, off their lanes' best lines
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
	c.MM, c.UMM, c.BowMM = r.mean(all)
	for _, v := range []Verdict{Moved, Worn, Raised} {
		called := ofVerdict(all, v)
		if len(called) == 0 {
			continue
		}
		mm, u, bow := r.mean(called)
		if v == Worn && max(mm, c.MM) >= 0 || v == Raised && min(mm, c.MM) <= 0 { // a crown against its fret says nothing of the group
			return c
		}
		return Course{v, mm, u, bow}
	}
	if math.Abs(c.MM)+distuv.UnitNormal.Quantile(confidence)*c.UMM <= withinMM && alike(all, c.MM) {
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

// mean is the mean change of crowns, lane by lane, its standard uncertainty, and what the
// bow did to them.
func (r *Result) mean(all []Change) (mm, u, bow float64) {
	type sum struct{ mm, u, bow, n float64 }
	lanes := map[float64]sum{}
	var order []float64
	for _, x := range all {
		s, seen := lanes[x.Lane]
		if !seen {
			order = append(order, x.Lane)
		}
		lanes[x.Lane] = sum{s.mm + x.MM, s.u + x.UMM, s.bow + x.bow, s.n + 1}
	}
	n, v := float64(len(order)), 0.0
	for _, lane := range order {
		s := lanes[lane]
		mm, bow = mm+s.mm/s.n/n, bow+s.bow/s.n/n
		v += s.u / s.n * s.u / s.n / (n * n)
	}
	if r.Bow != nil {
		v += r.Bow.UMM * r.Bow.UMM
	}
	return mm, math.Sqrt(v), bow
}

// alike reports whether changes scatter about their mean as their noise does: one
// crown that wore is not hidden by others that did not.
func alike(all []Change, mean float64) bool {
	if len(all) < 2 {
		return true
	}
	left := 0.0
	for _, x := range all {
		z := (x.MM - mean) / x.UMM
		left += z * z
	}
	return left <= distuv.ChiSquared{K: float64(len(all) - 1)}.Quantile(1-doubtRisk)
}

// Past is an earlier stage of a neck, and what a finding's crowns did since.
type Past struct {
	Stage string
	Date  time.Time
	Years num.Opt // since; missing where not both have a date
	Was   Was
	Course
}

// Was says whether crowns were off at an earlier stage as they are now.
type Was int

// What crowns were.
const (
	WasUnclear Was = iota
	WasSo          // off the same way
	WasLess        // less, or not at all
)

// Was says whether crowns that are offMM now were so at the earlier stage, what the bow
// did to them counted: as far off within ±withinMM, and still by half of that or more; or,
// where the neck bends otherwise now, less. thenMM and nowMM is how far they were judged
// off at either stage, each from its own reference, which must agree. Each with the
// confidence given.
func (c Course) Was(offMM, thenMM, nowMM, withinMM, confidence float64) Was {
	side := math.Copysign(1, offMM) // these much farther off now
	came, judged := side*(c.MM+c.BowMM), side*(nowMM-thenMM)
	u := distuv.UnitNormal.Quantile(confidence) * c.UMM
	least, most := min(came, judged), max(came, judged)
	switch {
	case max(most, -least)+u <= withinMM && math.Abs(offMM)-most-u >= withinMM/2:
		return WasSo
	case c.BowMM != 0 && most-u > 0:
		return WasLess
	}
	return WasUnclear
}

// Story is what the earlier stages say of one finding.
type Story struct {
	// Since is the earliest stage at which it was so, and since which it has not
	// changed; nil: unknown.
	Since *Past
	// Bent is the latest stage at which the crowns were less off, though they have not
	// moved against the frets around them since; nil: none.
	Bent *Past
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
		switch {
		case p.Verdict == Unchanged && p.Was == WasSo:
			s.Since = p
		case p.Verdict == Unchanged && p.Was == WasLess && s.Since == nil:
			s.Bent = p
			return s
		case p.Verdict == Worn || p.Verdict == Moved || p.Verdict == Raised:
			s.Changed = p
			return s
		}
	}
	return s
}

// Played reports whether enough time passed since a stage for strings to wear what is
// lower now: less, and it was a file or a press.
func (p *Past) Played() bool { return p.Years.Or(0) >= minToWear }

// TimeToWear reports whether strings had the time to wear anything between two days.
func TimeToWear(from, to time.Time) bool { return YearsBetween(from, to) >= minToWear }
