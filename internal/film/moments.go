package film

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// moments picks the steps that the strip shows: the release; where there is a
// contact, the first; and of each of the first three periods the lowest the
// string comes over the crown that matters, and the highest it goes where it was
// plucked (in the first, the other end of its swing). The crown that matters is the
// one struck first or, without contact, the one it comes nearest to.
func (t *Recording) moments(ctx context.Context, s Scene, forces []force) ([]Moment, error) {
	last := t.lastStep()
	rows := shapes(s.Bed, append(append([]float64(nil), s.XMM...), s.PluckMM))
	over := make([][]float64, len(rows)) // heights at each crown and the pluck, step by step
	err := again(ctx, s, forces, last, func(_ int, q []float64, _ []Touch) {
		for j, row := range rows {
			over[j] = append(over[j], floats.Dot(row, q))
		}
	})
	if err != nil {
		return nil, err
	}
	crown := t.crownThatMatters(s, over)
	why := map[int]string{0: "released"}
	add := func(step int, words string) {
		if why[step] == "" {
			why[step] = words
		}
	}
	if len(t.Contacts) > 0 {
		c := t.Contacts[0]
		add(c.FromStep, fmt.Sprintf("first contact, on fret %d", c.Fret))
	}
	for p := range filmPeriods {
		from, to := t.period(p)
		if crown >= 0 {
			add(from+least(over[crown][from:to], 1), fmt.Sprintf("lowest over fret %d, period %d", s.Frets[crown], p+1))
		}
		// The release is one end of the first period's swing.
		words, way := "highest", -1.0
		if p == 0 && over[len(rows)-1][0] > 0 {
			words, way = "lowest", 1
		}
		add(from+least(over[len(rows)-1][from:to], way), fmt.Sprintf("%s where plucked, period %d", words, p+1))
	}
	var out []Moment
	for step, words := range why {
		out = append(out, Moment{Step: step, Why: words})
	}
	slices.SortFunc(out, func(a, b Moment) int { return a.Step - b.Step })
	return out, nil
}

// period is the range of steps of the p-th free period, from 0; the release is
// not part of the first.
func (t *Recording) period(p int) (from, to int) {
	at := func(n int) int { return int(math.Round(float64(n) * t.PeriodS / t.StepS)) }
	return max(1, at(p)), at(p + 1)
}

// least is the index of the smallest value times way.
func least(v []float64, way float64) int {
	best := 0
	for i := range v {
		if way*v[i] < way*v[best] {
			best = i
		}
	}
	return best
}

// crownThatMatters is the crown struck first, or the one the string comes
// nearest to in the film; −1 where there is none.
func (t *Recording) crownThatMatters(s Scene, over [][]float64) int {
	if len(t.Contacts) > 0 {
		return t.Contacts[0].Crown
	}
	best, left := -1, math.Inf(1)
	for j, floor := range s.FloorMM {
		if v := floats.Min(over[j]) - floor; v < left {
			best, left = j, v
		}
	}
	return best
}
