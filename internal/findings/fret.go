package findings

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// Finding is what is wrong with a fret and what to do about it.
type Finding struct {
	Fret   int
	Kind   string
	Words  string
	Advice string
	Lanes  []float64 // where it shows
	Open   bool      // it may as well be a neighbour that is off, the other way
}

// Advice in the order of the work: seat and glue before any file.
const (
	adviseSeatTreble = "press the treble end again and glue it, let it set, read again; file only what is left"
	adviseSeatBass   = "press the bass end again and glue it, let it set, read again; file only what is left"
	adviseWholeHigh  = "press it again and glue it, let it set, read again; file only what is left"
	adviseLow        = "reseat it higher or replace it; a low fret is not chased with the file"
	adviseMiddle     = "its wire was bent rounder than the board: press the middle again and glue, else bend a new piece flatter"
	adviseEnds       = "its wire was bent flatter than the board: press both ends again and glue, else bend a new piece rounder"
	advisePit        = "replace the fret, or level to the pit's bottom if the plan leaves enough crown"
	adviseBurr       = "stone the burr off this crown alone, polish, read again"
	adviseCrown      = "read this crown once more; if it stands, press, glue and read again before filing"
)

// Seats reports whether the advice is to seat the fret again: one that already
// sits down on the board all along may be filed instead.
func (f Finding) Seats() bool {
	return f.Advice == adviseSeatTreble || f.Advice == adviseSeatBass || f.Advice == adviseWholeHigh
}

// across is a fret's crowns over the lanes read.
type across struct {
	fret  int
	lanes []int // places in Neck.Lanes
	at    []int // places in the lane
	t     []float64
	off   []float64
	cov   *mat.SymDense
}

// Frets says what is wrong fret by fret, lowest first. A fret is named where
// one of its crowns stands off for certain, or the fret as a whole does.
func (n *Neck) Frets() []Finding {
	var out []Finding
	runs := n.runs()
	for f := n.Layout.FirstFret(); f <= n.Layout.LastFret(); f++ {
		out = append(out, n.dents(f)...)
		if a := n.across(f); len(a.lanes) > 0 {
			if found, ok := n.classify(a); ok {
				out = append(out, found.within(runs))
				continue
			}
		}
		out = append(out, n.ofThree(f)...)
	}
	return out
}

// within turns the advice for a fret that stands off with its neighbours: the
// board is looked at before the fret.
func (f Finding) within(runs []run) Finding {
	for _, r := range runs {
		if f.Fret >= r.from && f.Fret <= r.to && strings.HasPrefix(f.Words, "whole fret") {
			f.Advice = "stands with its neighbours, see " + r.Words
		}
	}
	return f
}

// dents are the pits and burrs of a fret.
func (n *Neck) dents(fret int) []Finding {
	var out []Finding
	for _, d := range n.Estimate.Dents {
		if d.Fret != fret {
			continue
		}
		f := Finding{Fret: fret, Lanes: []float64{d.Lane}}
		if d.OffMM < 0 {
			f.Words, f.Advice = "pit under "+laneName(d.Lane), advisePit
		} else {
			f.Words, f.Advice = "burr under "+laneName(d.Lane), adviseBurr
		}
		out = append(out, f)
	}
	return out
}

func laneName(lane float64) string {
	if lane == math.Trunc(lane) {
		return fmt.Sprintf("string %g", lane)
	}
	return fmt.Sprintf("lane %g", lane)
}

// across gathers a fret's crowns but for its dents and for lanes of too few
// crowns to tell which is off.
func (n *Neck) across(fret int) across {
	a := across{fret: fret}
	dented := map[float64]bool{}
	for _, d := range n.Estimate.Dents {
		if d.Fret == fret {
			dented[d.Lane] = true
		}
	}
	for k, l := range n.Lanes {
		if i := l.at(fret); i >= 0 && !dented[l.Lane.Lane] && !l.thin() {
			a.lanes, a.at = append(a.lanes, k), append(a.at, i)
			a.t = append(a.t, n.Layout.Fraction(l.Lane.Lane)-0.5) // treble −0.5, bass 0.5
			a.off = append(a.off, l.Off[i])
		}
	}
	if m := len(a.lanes); m > 0 {
		a.cov = mat.NewSymDense(m, nil)
		for p := range m {
			for q := p; q < m; q++ {
				a.cov.SetSym(p, q, n.Estimate.CovBetween(a.lanes[p], a.at[p], a.lanes[q], a.at[q]))
			}
		}
	}
	return a
}

// part is a weighted sum of a fret's crowns with its uncertainty.
type part struct{ mm, u float64 }

// certain reports whether the part is more than limit, with 95 % confidence.
func (p part) certain(limit float64) bool { return p.mm-1.645*p.u > limit }

func (p part) minus() part { return part{-p.mm, p.u} }

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
		return part{mat.Dot(w, mat.NewVecDense(m, a.off)), math.Sqrt(math.Max(0, mat.Inner(w, a.cov, w)))}
	}
	lo, hi := a.t[0], a.t[m-1]
	mid := (lo + hi) / 2
	return value(lo), value(mid), value(hi), value(mid, lo, hi)
}

// classify puts a fret's crowns into the trade's words.
func (n *Neck) classify(a across) (Finding, bool) {
	half := n.Model.Level.Zone / 2
	f := Finding{Fret: a.fret}
	anyOff := false
	for i, k := range a.lanes {
		if v := n.Lanes[k].Crown[a.at[i]]; v == straight.High || v == straight.Low {
			anyOff = true
			f.Lanes = append(f.Lanes, n.Lanes[k].Lane.Lane)
		}
	}
	if len(a.lanes) < 2 {
		if !anyOff {
			return f, false
		}
		f.Words, f.Advice = "low in "+laneName(f.Lanes[0]), adviseLow
		if a.off[0] > 0 {
			f.Words, f.Advice = "high in "+laneName(f.Lanes[0]), adviseWholeHigh
		}
		return f, true
	}
	treble, middle, bass, arch := a.fit(2)
	if len(a.lanes) >= 3 && n.archIsReal(a) {
		switch {
		case arch.certain(half) && middle.certain(half):
			f.Words, f.Advice = "middle proud", adviseMiddle
			return f, true
		case arch.minus().certain(half) && treble.certain(half) && bass.certain(half):
			f.Words, f.Advice = "both ends proud", adviseEnds
			return f, true
		}
	}
	treble, middle, bass, _ = a.fit(1)
	tilt := part{treble.mm - bass.mm, math.Hypot(treble.u, bass.u)}
	switch {
	case treble.certain(half) && tilt.certain(half):
		f.Words, f.Advice = "treble end not seated", adviseSeatTreble
	case bass.certain(half) && tilt.minus().certain(half):
		f.Words, f.Advice = "bass end not seated", adviseSeatBass
	case middle.certain(half):
		f.Words, f.Advice = "whole fret high", adviseWholeHigh
	case treble.minus().certain(half) && tilt.minus().certain(half):
		f.Words, f.Advice = "treble end low", adviseLow
	case bass.minus().certain(half) && tilt.certain(half):
		f.Words, f.Advice = "bass end low", adviseLow
	case middle.minus().certain(half):
		f.Words, f.Advice = "whole fret low", adviseLow
	case anyOff:
		f.Words, f.Advice = "off in "+laneList(f.Lanes), adviseCrown
	default:
		return f, false
	}
	return f, true
}

// archIsReal reports whether the parabola explains the fret far better than a
// tilt: by more than chance and by half the misfit.
func (n *Neck) archIsReal(a across) bool {
	_, _, _, arch := a.fit(2)
	return math.Abs(arch.mm) > 2.5*arch.u && math.Abs(arch.mm) > n.Model.Level.Zone/2
}

func laneList(lanes []float64) string {
	s := "lane"
	if len(lanes) > 1 {
		s = "lanes"
	}
	for i, l := range lanes {
		if i > 0 {
			s += ","
		}
		s += fmt.Sprintf(" %g", l)
	}
	return s
}
