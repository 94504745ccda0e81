package relief

import (
	"math"

	"ringtrue/internal/num"
)

// middle is the lane along the centre line.
func (n *Neck) middle() float64 { return float64(n.Layout.Strings()+1) / 2 }

// along is a rise as a lane meets it: the height at a fret's crown over the straight line
// through the first crown and that of fret `to`.
func (n *Neck) along(rise func(x float64) float64, lane float64, to int) func(fret int) float64 {
	at := func(fret int) float64 { return rise(n.Layout.At(fret, lane).X) }
	first := n.Layout.FirstFret()
	x0, x1 := n.Layout.LaneX(first, lane), n.Layout.LaneX(to, lane)
	z0, z1 := at(first), at(to)
	return func(fret int) float64 {
		return at(fret) - z0 - (z1-z0)*(n.Layout.LaneX(fret, lane)-x0)/(x1-x0)
	}
}

// Relief is the depth of a rise under the straight line through the first crown and that
// of fret `to`, hollow positive, and the fret where it is deepest.
func (n *Neck) Relief(rise func(x float64) float64, to int) (mm float64, fret int) {
	bow := n.along(rise, n.middle(), to)
	for f := n.Layout.FirstFret(); f <= min(to, n.Layout.LastFret()); f++ {
		if d := -bow(f); math.Abs(d) > math.Abs(mm) {
			mm, fret = d, f
		}
	}
	return mm, fret
}

// Bow is a neck bent by its strings and the rod, so that it has a relief.
type Bow struct {
	Factor   Factor
	ReliefMM float64 // from the first crown to that of fret To
	To       int
	RodN     float64 // 0 on a neck without one
	scale    float64 // of every bend: the factor, without a rod what the relief asks for
	of       *Neck
}

// Bowed is the neck strung, so that its relief to fret `to` is reliefMM: the rod takes
// back what the strings bend too much, or helps where they bend too little. On a neck
// without a rod the strings' own bow is scaled to it.
func (n *Neck) Bowed(reliefMM float64, to int, f Factor) Bow {
	b := Bow{Factor: f, ReliefMM: reliefMM, To: to, scale: f.Mean, of: n}
	by, _ := n.Relief(n.ByStrings, to)
	rod, _ := n.Relief(n.ByRod, to)
	switch {
	case n.Model.Body.Rod && rod > 0:
		b.RodN = by/rod - reliefMM/(f.Mean*rod)
		// The two are deepest at different frets, by a little: meet the depth itself.
		for range 8 {
			is, _ := n.Relief(b.rise, to)
			b.RodN += (is - reliefMM) / (f.Mean * rod)
		}
	case by > 0:
		b.scale = reliefMM / by
	}
	return b
}

// rise bends by strings and rod alike by the factor: it stands for the neck's stiffness.
func (b Bow) rise(x float64) float64 {
	z := b.of.ByStrings(x)
	if b.RodN != 0 {
		z -= b.RodN * b.of.ByRod(x)
	}
	return b.scale * z
}

// Along is the bow's height at the frets of a lane, mm; 0 at the first crown and at To.
func (b Bow) Along(lane float64, frets []int) []float64 {
	return b.of.each(b.rise, lane, b.To, frets)
}

// Doubt is what one standard uncertainty of the factor changes of it, the relief held: on
// a neck with a rod next to nothing, without one nothing.
func (b Bow) Doubt(lane float64, frets []int) []float64 {
	if !b.of.Model.Body.Rod {
		return make([]float64, len(frets))
	}
	more := b.of.Bowed(b.ReliefMM, b.To, Factor{Mean: b.Factor.Mean + b.Factor.UNext})
	out := more.Along(lane, frets)
	for i, z := range b.Along(lane, frets) {
		out[i] -= z
	}
	return out
}

// URodN is the standard uncertainty of the rod's pull: of the neck's stiffness, which
// counts for the relief that is left, and of where the rod lies.
func (b Bow) URodN() float64 {
	if b.RodN == 0 {
		return 0
	}
	rod, _ := b.of.Relief(b.of.ByRod, b.To)
	return math.Hypot(b.ReliefMM/(rod*b.Factor.Mean)*b.Factor.UNext/b.Factor.Mean, b.RodN*rodDoubtMM/b.of.rodArm())
}

func (n *Neck) each(rise func(x float64) float64, lane float64, to int, frets []int) []float64 {
	bow := n.along(rise, lane, to)
	out := make([]float64, len(frets))
	for i, f := range frets {
		out[i] = bow(f)
	}
	return out
}

// Moves is the most that Doubt moves a crown of the middle lane off a straight line, mm.
func (b Bow) Moves() (most float64) {
	l := b.of.Layout
	lane := b.of.middle()
	var x []float64
	var frets []int
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		frets, x = append(frets, f), append(x, l.LaneX(f, lane))
	}
	g := b.Doubt(lane, frets)
	num.Detrend(x, g)
	for _, z := range g {
		most = math.Max(most, math.Abs(z))
	}
	return most
}
