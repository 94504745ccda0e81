package readplan

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// Doubt is a neck of which some lanes are neither level nor not level.
type Doubt struct {
	Known *Known
	// HeightMM are the crowns' heights less the shape, in the order of Known.Cov, up
	// to a line a lane.
	HeightMM []float64
	// Open are the lanes without a verdict, by their places in Known.Lanes. The
	// others keep theirs.
	Open []int
	// Missing are crowns that nothing determines: their lanes stay in doubt unless
	// a set reads them. Their heights and covariance say what they are thought to be.
	Missing []Place
	LimitMM float64
	Seed    uint64 // of the draws: the same seed gives the same answer
}

// Place is a crown.
type Place struct {
	Lane float64
	Fret int
}

// Outlook is what sets of readings promise.
type Outlook struct {
	Doubt   float64 // lanes that are expected to stay in doubt
	Settles float64 // the chance that none does
}

// After draws how the neck may truly lie, reads each by the sets, and judges the
// heights that will then be estimated as a lane is judged. Errors as of Known.After,
// and of straight.NewYardstick.
func (d Doubt) After(draws int, sets ...Set) (Outlook, error) {
	return d.after(d.truths(draws), sets)
}

// after judges what sets would show of some necks, given by how far each stands
// above what is estimated, a row a neck.
func (d Doubt) after(truths *mat.Dense, sets []Set) (Outlook, error) {
	g, err := d.Known.gainOf(sets)
	if err != nil {
		return Outlook{}, err
	}
	z := d.estimates(truths, g)
	judged := make([]straight.Yardstick, len(d.Open))
	for i, l := range d.Open {
		if judged[i], err = straight.NewYardstick(d.Known.Lanes[l].XMM, d.Known.laneAfter(l, g), d.LimitMM); err != nil {
			return Outlook{}, fmt.Errorf("lane %g: %w", d.Known.Lanes[l].Lane, err)
		}
	}
	left := d.unread(sets)
	inDoubt, settled := 0, 0
	draws, _ := z.Dims()
	for k := range draws {
		open := 0
		row := z.RawRowView(k)
		for i, l := range d.Open {
			from, n := d.Known.from[l], len(d.Known.Lanes[l].Frets)
			if left[l] || judged[i].Verdict(row[from:from+n]) == straight.InDoubt {
				open++
			}
		}
		inDoubt += open
		if open == 0 {
			settled++
		}
	}
	return Outlook{Doubt: float64(inDoubt) / float64(draws), Settles: float64(settled) / float64(draws)}, nil
}

// estimates are the heights as they will be estimated, a row a neck.
func (d Doubt) estimates(truths *mat.Dense, g *gain) *mat.Dense {
	draws, n := truths.Dims()
	z := mat.NewDense(draws, n, nil)
	if g != nil {
		seen := g.apply(truths)
		_, m := seen.Dims()
		r := rand.New(rand.NewPCG(d.Seed, uint64(m)))
		for i := range draws {
			row := seen.RawRowView(i)
			for j := range row {
				row[j] += r.NormFloat64()
			}
		}
		var part mat.Dense
		if err := g.lower.SolveTo(&part, false, seen.T()); err != nil {
			panic(err) // it was factorized with success
		}
		z.Mul(part.T(), g.moves)
	}
	for i := range draws {
		row := z.RawRowView(i)
		for j, h := range d.HeightMM {
			row[j] += h
		}
	}
	return z
}

// unread are the lanes in which some missing crown is read by none of the sets.
func (d Doubt) unread(sets []Set) map[int]bool {
	left := map[int]bool{}
	for _, p := range d.Missing {
		read := slices.ContainsFunc(sets, func(s Set) bool {
			return slices.Contains(s.Lanes, p.Lane) && slices.Contains(s.Frets, p.Fret)
		})
		if l := slices.IndexFunc(d.Known.Lanes, func(l Lane) bool { return l.Lane == p.Lane }); l >= 0 && !read {
			left[l] = true
		}
	}
	return left
}
