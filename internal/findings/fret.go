package findings

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
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
				if found, ok = n.orWorn(found); ok {
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

func laneName(lane float64) string {
	if lane == math.Trunc(lane) {
		return fmt.Sprintf("string %g", lane)
	}
	return fmt.Sprintf("lane %g", lane)
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

// classify puts a fret's crowns into the trade's words.
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
		if !anyOff {
			return f, false
		}
		return f.named(KindFretLow, "low in "+laneName(f.Lanes[0]), adviseLow, KindFretHigh, "high in "+laneName(f.Lanes[0]), adviseWholeHigh, a.off[0] > 0), true
	}
	if found, ok := n.curved(a, f); ok {
		return found, true
	}
	treble, middle, bass, _ := a.fit(1)
	tilt := part{treble.mm - bass.mm, math.Hypot(treble.u, bass.u), a.c}
	switch {
	case treble.certain(half) && tilt.certain(half):
		f.Kind, f.Words, f.Advice = KindSeat, "treble end not seated", adviseSeatTreble
	case bass.certain(half) && tilt.minus().certain(half):
		f.Kind, f.Words, f.Advice = KindSeat, "bass end not seated", adviseSeatBass
	case middle.certain(half):
		f.Kind, f.Words, f.Advice = KindFretHigh, "whole fret high", adviseWholeHigh
	case treble.minus().certain(half) && tilt.minus().certain(half):
		f.Kind, f.Words, f.Advice = KindEndLow, "treble end low", adviseLow
	case bass.minus().certain(half) && tilt.certain(half):
		f.Kind, f.Words, f.Advice = KindEndLow, "bass end low", adviseLow
	case middle.minus().certain(half):
		f.Kind, f.Words, f.Advice = KindFretLow, "whole fret low", adviseLow
	case anyOff:
		f.Kind, f.Words, f.Advice = KindReadAgain, "off in "+laneList(f.Lanes), adviseCrown
	default:
		return f, false
	}
	return f, true
}

// named is the finding in the words for low or those for high.
func (f Finding) named(lowKind, lowWords, lowAdvice, highKind, highWords, highAdvice string, high bool) Finding {
	f.Kind, f.Words, f.Advice = lowKind, lowWords, lowAdvice
	if high {
		f.Kind, f.Words, f.Advice = highKind, highWords, highAdvice
	}
	return f
}

// curved tells a fret that is bent otherwise than the board.
func (n *Neck) curved(a across, f Finding) (Finding, bool) {
	if len(a.lanes) < 3 || !n.archIsReal(a) {
		return f, false
	}
	half := n.Model.Level.Zone / 2
	treble, middle, bass, arch := a.fit(2)
	f.Kind = KindCurved
	switch {
	case arch.certain(half) && middle.certain(half):
		f.Words, f.Advice = "middle proud", adviseMiddle
	case arch.minus().certain(half) && treble.certain(half) && bass.certain(half):
		f.Words, f.Advice = "both ends proud", adviseEnds
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
