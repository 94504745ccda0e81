package findings

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
)

// Finding is what is wrong with a fret.
type Finding struct {
	Fret int
	Case
	Lanes      []float64 // where it shows
	MM         float64   // of a pit, a groove or a burr: how far it stands off; of OneOfThree above 0 where it may be high
	BesideMM   num.Opt   // from the line of its neighbours, where long waves leave its height in doubt
	Run        *Whole    // it stands with its neighbours: the board is looked at before the fret
	Neighbours [2]int    // of OneOfThree
}

// Open reports whether it may as well be a neighbour that is off, the other way.
func (f Finding) Open() bool { return f.Case == OneOfThree }

// Seats reports whether the fret is to be seated again: one that already sits
// down on the board all along may be filed instead.
func (f Finding) Seats() bool {
	switch f.Case {
	case TrebleUnseated, BassUnseated, WholeHigh, HighIn:
		return f.Run == nil
	}
	return false
}

// across is a fret's crowns over the lanes read.
type across struct {
	fret  int
	lanes []int // places in Neck.Lanes
	at    []int // places in the lane
	t     []float64
	off   []float64
	cov   *mat.SymDense
	c     float64 // critical value for the whole neck
}

// Frets says what is wrong fret by fret, lowest first. A fret is named where it
// stands off with 95 % confidence for the whole neck.
func (n *Neck) Frets() []Finding {
	var out []Finding
	runs, local := n.runs(), n.besideNeighbours()
	for f := n.Layout.FirstFret(); f <= n.Layout.LastFret(); f++ {
		if loose, ok := n.loose(f); ok {
			out = append(out, loose)
			continue // what moves has no place of its own
		}
		out = append(out, n.dents(f)...)
		if a := n.across(f); len(a.lanes) > 0 {
			if found, ok := n.classify(a); ok {
				if found, ok = n.orWorn(found, a); ok {
					out = append(out, found.within(runs))
				}
				continue
			}
		}
		if found, ok := local[f]; ok {
			out = append(out, found)
			continue
		}
		if found, ok := n.readAgain(f); ok {
			out = append(out, found)
			continue
		}
		out = append(out, n.ofThree(f)...)
	}
	return out
}

// within notes the run that a whole fret stands in.
func (f Finding) within(runs []Whole) Finding {
	for _, r := range runs {
		if slices.Contains(r.Frets, f.Fret) && (f.Case == WholeHigh || f.Case == WholeLow) {
			f.Run = &r
		}
	}
	return f
}

// mayBeDented is the chance of a groove or a burr from which a crown says nothing
// of its fret's curve.
const mayBeDented = 0.2

// across gathers a fret's crowns but for those that may be dented or lost their
// readings, and for lanes of too few crowns to tell which is off.
func (n *Neck) across(fret int) across {
	a := across{fret: fret, c: n.critical()}
	for k, l := range n.Lanes {
		if i := l.at(fret); i >= 0 && !l.thin() && !l.dented(i) && !l.Aside[i] {
			a.lanes, a.at = append(a.lanes, k), append(a.at, i)
			a.t = append(a.t, n.Layout.Fraction(l.Lane.Lane)-0.5) // treble −0.5, bass 0.5
			a.off = append(a.off, l.Off[i])
		}
	}
	if m := len(a.lanes); m > 0 {
		a.cov = mat.NewSymDense(m, nil)
		for p := range m {
			for q := p; q < m; q++ {
				a.cov.SetSym(p, q, n.covBetween(a.lanes[p], a.at[p], a.lanes[q], a.at[q]))
			}
		}
	}
	return a
}

// part is a weighted sum of a fret's crowns with its uncertainty, and how many of
// these it takes for 95 % over the whole neck.
type part struct{ mm, u, c float64 }

// certain reports whether the part is more than limit, with 95 % confidence for
// the whole neck.
func (p part) certain(limit float64) bool { return p.mm-p.c*p.u > limit }

func (p part) minus() part { return part{-p.mm, p.u, p.c} }

// fit gives the values of the least-squares polynomial of the given degree
// through the fret's crowns at the treble end, the middle and the bass end.
func (a across) fit(degree int) (treble, middle, bass, arch part) {
	m := len(a.t)
	degree = min(degree, m-1)
	design := mat.NewDense(m, degree+1, nil)
	for i, t := range a.t {
		p := 1.0
		for k := 0; k <= degree; k++ {
			design.Set(i, k, p)
			p *= t
		}
	}
	var inv mat.Dense
	eye := mat.NewDiagDense(m, nil)
	for i := range m {
		eye.SetDiag(i, 1)
	}
	if err := inv.Solve(design, eye); err != nil {
		return
	}
	value := func(t ...float64) part { // t[0], less the mean of the others where given
		w := mat.NewVecDense(m, nil)
		for j, tj := range t {
			factor := 1.0
			if len(t) > 1 && j > 0 {
				factor = -1 / float64(len(t)-1)
			}
			p := 1.0
			for k := 0; k <= degree; k++ {
				w.AddScaledVec(w, factor*p, inv.RowView(k))
				p *= tj
			}
		}
		return part{mat.Dot(w, mat.NewVecDense(m, a.off)), math.Sqrt(math.Max(0, mat.Inner(w, a.cov, w))), a.c}
	}
	lo, hi := a.t[0], a.t[m-1]
	mid := (lo + hi) / 2
	return value(lo), value(mid), value(hi), value(mid, lo, hi)
}

// unevenShare is the part of a fret's mean height by which a crown must leave the
// line through its crowns for the fret to be uneven.
const unevenShare = 0.25

// uneven reports whether some crown leaves the line through the fret's crowns by
// much, beside how far they all stand off.
func (a across) uneven() bool {
	treble, _, bass, _ := a.fit(1)
	lo, hi := a.t[0], a.t[len(a.t)-1]
	for i, t := range a.t {
		line := treble.mm + (bass.mm-treble.mm)*(t-lo)/math.Max(hi-lo, 1e-9)
		if math.Abs(a.off[i]-line) > unevenShare*math.Abs(a.mean()) {
			return true
		}
	}
	return false
}

// classify tells what is wrong with a fret by its crowns.
func (n *Neck) classify(a across) (Finding, bool) {
	half := n.Model.Level.Zone / 2
	f := Finding{Fret: a.fret}
	anyOff := false
	for i, k := range a.lanes {
		p := part{a.off[i], math.Sqrt(math.Max(0, a.cov.At(i, i))), a.c}
		if p.certain(half) || p.minus().certain(half) {
			anyOff = true
			f.Lanes = append(f.Lanes, n.Lanes[k].Lane.Lane)
		}
	}
	if len(a.lanes) < 2 {
		if f.Case = LowIn; a.off[0] > 0 {
			f.Case = HighIn
		}
		return f, anyOff
	}
	if f.Case = n.curved(a); f.Case != Sound {
		return f, true
	}
	treble, middle, bass, _ := a.fit(1)
	tilt := part{treble.mm - bass.mm, math.Hypot(treble.u, bass.u), a.c}
	switch {
	case treble.certain(half) && tilt.certain(half):
		f.Case = TrebleUnseated
	case bass.certain(half) && tilt.minus().certain(half):
		f.Case = BassUnseated
	case middle.certain(half):
		f.Case = WholeHigh
	case treble.minus().certain(half) && tilt.minus().certain(half):
		f.Case = TrebleLow
	case bass.minus().certain(half) && tilt.certain(half):
		f.Case = BassLow
	case middle.minus().certain(half):
		f.Case = WholeLow
	case anyOff:
		f.Case = OffIn
	}
	return f, f.Case != Sound
}

// curved tells a fret that is bent otherwise than the board: where the parabola
// explains it far better than a tilt, by more than chance and by half the misfit.
func (n *Neck) curved(a across) Case {
	half := n.Model.Level.Zone / 2
	treble, middle, bass, arch := a.fit(2)
	switch {
	case len(a.lanes) < 3 || math.Abs(arch.mm) <= 2.5*arch.u || math.Abs(arch.mm) <= half:
	case arch.certain(half) && middle.certain(half):
		return MiddleProud
	case arch.minus().certain(half) && treble.certain(half) && bass.certain(half):
		return EndsProud
	}
	return Sound
}
