package findings

import (
	"math"
	"slices"
	"sort"

	"ringtrue/internal/heights"
	"ringtrue/internal/straight"
)

// Chances of an end that yields: from which it is said, and from which it may be.
const (
	saidLoose  = 0.8
	maybeLoose = 0.1
)

// loose is a fret whose end yields to the gauge, or may: what moves has no place
// of its own, and no pit.
func (n *Neck) loose(fret int) (Finding, bool) {
	b := n.believed(fret)
	chance, said, maybe := b.LooseTreble, TrebleMoves, TrebleMayMove
	if b.LooseBass > chance {
		chance, said, maybe = b.LooseBass, BassMoves, BassMayMove
	}
	f := Finding{Fret: fret, Case: said}
	if chance < saidLoose {
		f.Case = maybe
	}
	for _, l := range n.Lanes {
		if i := l.at(fret); i >= 0 && l.Aside[i] {
			f.Lanes = append(f.Lanes, l.Lane.Lane)
		}
	}
	return f, chance >= maybeLoose
}

// believed is what is believed of a fret as a whole.
func (n *Neck) believed(fret int) heights.Fret {
	for _, b := range n.Estimate.Frets {
		if b.Fret == fret {
			return b
		}
	}
	return heights.Fret{}
}

// dented reports whether a crown may stand in a groove or on a burr.
func (l *Lane) dented(i int) bool { return l.Groove[i] >= mayBeDented || l.Burr[i] >= mayBeDented }

// parts are a crown's explanations.
func (l *Lane) parts(i int) []heights.Part {
	if i < len(l.Parts) && len(l.Parts[i]) > 0 {
		return l.Parts[i]
	}
	return []heights.Part{{Chance: 1, ZMM: l.Z[i], UMM: l.U[i]}}
}

// dents are a fret's pits and burrs, and where strings wore it.
func (n *Neck) dents(fret int) []Finding {
	var out []Finding
	worn := Finding{Fret: fret, Case: WornUnder}
	for _, d := range n.Estimate.Dents {
		if d.Fret != fret || math.Abs(d.OffMM) < n.Model.Level.Zone/2 {
			continue // what stays within the zone asks for no work
		}
		one := Finding{Fret: fret, Case: Burr, Lanes: []float64{d.Lane}, MM: d.OffMM}
		switch {
		case d.OffMM > 0:
			out = append(out, one)
		case n.alone(d):
			one.Case = Pit
			out = append(out, one)
		default:
			worn.Lanes = append(worn.Lanes, d.Lane)
			worn.MM = min(worn.MM, d.OffMM)
		}
	}
	if len(worn.Lanes) > 0 {
		slices.Sort(worn.Lanes)
		out = append(out, worn)
	}
	return out
}

// nearFrets is how near another groove must be, in frets, for wear.
const nearFrets = 3

// alone reports whether a groove has no other one near it: a pit, not wear.
func (n *Neck) alone(d heights.Dent) bool {
	for _, o := range n.Estimate.Dents {
		if o == d || o.OffMM > 0 {
			continue
		}
		if o.Fret == d.Fret || o.Lane == d.Lane && abs(o.Fret-d.Fret) <= nearFrets {
			return false
		}
	}
	return true
}

// wornFrets are the frets from the first to the last of each run of grooves.
func (n *Neck) wornFrets() map[int]bool {
	in := map[int]bool{}
	for _, w := range n.worn() {
		for f := w.Frets[0]; f <= w.Frets[len(w.Frets)-1]; f++ {
			in[f] = true
		}
	}
	return in
}

// grooved reports whether any crown of a fret may stand in a groove.
func (n *Neck) grooved(fret int) bool {
	for _, l := range n.Lanes {
		if i := l.at(fret); i >= 0 && l.Groove[i] >= mayBeDented {
			return true
		}
	}
	return false
}

// crooked reports whether no smooth curve runs through a fret's crowns.
func (n *Neck) crooked(fret int) bool {
	b := n.believed(fret)
	return b.Free+b.Wild > 0.5
}

// orWorn turns a fret that lies low among worn ones into a worn one: strings wore
// it in every lane. So is one that no smooth curve runs through, if it is uneven:
// a fret that is low all along is not. A low fret with a groove is left to what
// says the groove.
func (n *Neck) orWorn(f Finding, a across) (Finding, bool) {
	if k := f.Kind(); k != KindFretLow && k != KindEndLow {
		return f, true
	}
	if n.wornFrets()[f.Fret] || n.crooked(f.Fret) && a.uneven() {
		f.Case = WornUnder
		return f, true
	}
	return f, !n.grooved(f.Fret)
}

func abs(i int) int { return max(i, -i) }

// minWorn is how many grooves make one finding over several frets.
const minWorn = 3

// worn joins the grooves of neighbouring frets into one finding.
func (n *Neck) worn() []Whole {
	var list []heights.Dent
	for _, d := range n.Estimate.Dents {
		if d.OffMM < 0 && !n.alone(d) {
			list = append(list, d)
		}
	}
	sort.Slice(list, func(i, j int) bool { return list[i].Fret < list[j].Fret })
	var out []Whole
	for len(list) > 0 {
		end := 1
		for end < len(list) && list[end].Fret-list[end-1].Fret <= nearFrets {
			end++
		}
		if end >= minWorn {
			out = append(out, wornOver(list[:end]))
		}
		list = list[end:]
	}
	return out
}

func wornOver(list []heights.Dent) Whole {
	w := Whole{Kind: KindWorn}
	for _, d := range list {
		if !slices.Contains(w.Frets, d.Fret) {
			w.Frets = append(w.Frets, d.Fret)
		}
		if !slices.Contains(w.Lanes, d.Lane) {
			w.Lanes = append(w.Lanes, d.Lane)
		}
		if -d.OffMM > w.DepthMM {
			w.DepthMM, w.UMM = -d.OffMM, d.UMM
		}
	}
	slices.Sort(w.Lanes)
	w.AmountMM = -w.DepthMM
	return w
}

// readAgain is a fret with a crown that may as well be dented as misread: both are
// said, and the reading that settles it.
func (n *Neck) readAgain(fret int) (Finding, bool) {
	f := Finding{Fret: fret, Case: DentOrMisread}
	for _, l := range n.Lanes {
		i := l.at(fret)
		if i < 0 || l.Aside[i] || l.Readings[i] > 1 || l.Crown[i] != straight.InDoubt {
			continue // what two readings agree on is real
		}
		if p := l.Groove[i] + l.Burr[i]; p < minEither || p > 1-minEither {
			continue
		}
		if off := l.dentedOff(i); math.Abs(off) > n.Model.Level.Zone/2 {
			f.Lanes = append(f.Lanes, l.Lane.Lane)
			if math.Abs(off) > math.Abs(f.MM) {
				f.MM = off
			}
		}
	}
	return f, len(f.Lanes) > 0
}

// minEither is the chance that the less likely of two explanations must have for
// both to be said: within e³ of the other.
const minEither = 0.047

// dentedOff is how far a crown stands off by those of its explanations that leave
// its fret's curve.
func (l *Lane) dentedOff(i int) float64 {
	chance, sum := 0.0, 0.0
	for _, p := range l.parts(i) {
		if math.Abs(p.ZMM-l.Curve[i]) > 3*math.Max(p.UMM, 0.002) {
			chance, sum = chance+p.Chance, sum+p.Chance*(l.Off[i]+p.ZMM-l.Z[i])
		}
	}
	if chance == 0 {
		return 0
	}
	return sum / chance
}
