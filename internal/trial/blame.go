package trial

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// part is the covariance of some of the crowns.
func part(cov mat.Symmetric, at []int) *mat.SymDense {
	out := mat.NewSymDense(len(at), nil)
	for i, p := range at {
		for j := i; j < len(at); j++ {
			out.SetSym(i, j, cov.At(p, at[j]))
		}
	}
	return out
}

// witness holds a neck's findings beside its truth.
type witness struct {
	n     *Neck
	j     *findings.Neck
	lanes []LaneTruth
	found []findings.Finding
	whole []findings.Whole
}

// faults counts what is wrong and was named.
func (s *Score) faults(w witness) {
	t, half := &w.n.Truth, w.n.Model.Level.Zone/2
	for k := range t.Lanes {
		for i, depth := range t.Groove[k] {
			if depth > half+marginMM && w.lanes[k].Off[i] < -half-marginMM {
				s.Dents.add(w.low(k, t.Frets[i]) || w.named(t.Frets[i], t.Lanes[k], findings.KindWorn, findings.KindPit))
			}
		}
	}
	for _, b := range t.Bad {
		switch {
		case b.Kind == findings.KindLoose:
			s.Loose.add(w.named(b.Fret, 0, findings.KindLoose))
		case w.counts(b):
			found := w.named(b.Fret, 0, findings.KindFretHigh, findings.KindFretLow, findings.KindSeat,
				findings.KindEndLow, findings.KindCurved, findings.KindReadAgain)
			s.Frets.add(found)
			if found {
				s.Kinds.add(w.named(b.Fret, 0, b.Kind))
			}
		}
	}
	for _, f := range t.Whole {
		if w.matters(f) {
			s.Wholes.add(slices.ContainsFunc(w.whole, func(x findings.Whole) bool { return alike(x.Kind, f.Kind) && overlap(x.Frets, f.Frets) }))
		}
	}
	for _, p := range t.Passes {
		s.Passes.add(slices.ContainsFunc(w.j.Estimate.Passes, func(x heights.PassFault) bool {
			return x.Lane == p.Lane && x.Pass == p.Pass && x.Finding == p.Finding && math.Abs(float64(x.FromFret-p.FromFret)) <= 1
		}))
	}
}

// low reports whether the crown was called low.
func (w witness) low(k, fret int) bool {
	for _, l := range w.j.Lanes {
		if l.Lane.Lane == w.n.Truth.Lanes[k] {
			i := slices.Index(l.Frets, fret)
			return i >= 0 && l.Crown[i] == straight.Low
		}
	}
	return false
}

// named reports whether a finding of one of the kinds names the fret, and the
// lane where it is not 0; what is worn over several frets counts.
func (w witness) named(fret int, lane float64, kinds ...string) bool {
	in := func(kind string, lanes []float64) bool {
		return slices.Contains(kinds, kind) && (lane == 0 || len(lanes) == 0 || slices.Contains(lanes, lane))
	}
	for _, f := range w.found {
		if f.Fret == fret && in(f.Kind(), f.Lanes) {
			return true
		}
	}
	for _, x := range w.whole {
		if slices.Contains(x.Frets, fret) && in(x.Kind, x.Lanes) {
			return true
		}
	}
	return false
}

// counts reports whether a bad fret's own curve stands off by enough to be
// counted on.
func (w witness) counts(b BadFret) bool {
	most := 0.0
	for k := range w.lanes {
		off := w.lanes[k].CurveOff[w.n.Truth.place(b.Fret)]
		if (off > 0) == (b.AmountMM > 0) {
			most = math.Max(most, math.Abs(off))
		}
	}
	return most > w.n.Model.Level.Zone/2+marginMM
}

// matters reports whether a fault of the whole neck is larger than its limit by
// enough to be counted on.
func (w witness) matters(f WholeFault) bool {
	zone := w.n.Model.Level.Zone
	if f.Kind == findings.KindHump {
		return f.AmountMM > zone/2+marginMM
	}
	return math.Abs(f.AmountMM) > zone+marginMM
}

// alike tells that a rise at the joint is a hump there.
func alike(a, b string) bool {
	rise := func(k string) bool { return k == findings.KindHump || k == findings.KindRise }
	return a == b || rise(a) && rise(b)
}

// overlap reports whether two runs of frets meet; one that names none is all.
func overlap(a, b []int) bool {
	if len(a) == 0 || len(b) == 0 {
		return true
	}
	return slices.ContainsFunc(a, func(f int) bool { return slices.Contains(b, f) })
}

// blame lists findings and work without ground.
func (s *Score) blame(w witness, work *Work) {
	t := &w.n.Truth
	sound := map[int]bool{}
	for _, f := range t.Frets {
		if sound[f] = w.sound(f); sound[f] {
			s.SoundFrets++
		}
	}
	blamed := map[int]bool{}
	for _, f := range w.found {
		if !f.Open() && !w.grounds(f) {
			words, _ := text.Finding(f)
			s.Blamed = append(s.Blamed, fmt.Sprintf("fret %d: %s %v", f.Fret, words, f.Lanes))
			blamed[f.Fret] = sound[f.Fret]
		}
	}
	for _, f := range t.Frets {
		if blamed[f] {
			s.BlamedFrets++
		}
	}
	for _, x := range w.whole {
		if !w.wholeGrounds(x) {
			words, _ := text.Whole(x)
			s.Blamed = append(s.Blamed, words)
		}
	}
	if work == nil {
		return
	}
	for _, f := range work.First {
		if sound[f] {
			s.FalseWork = append(s.FalseWork, fmt.Sprintf("fret %d first", f))
		}
	}
	if s.IsLevel && work.RemoveMM > 0 {
		s.FalseWork = append(s.FalseWork, fmt.Sprintf("%.3f mm off a level neck", work.RemoveMM))
	}
}

// sound reports whether nothing of a fret stands off by more than half the zone
// and nothing of it gives.
func (w witness) sound(fret int) bool {
	i := w.n.Truth.place(fret)
	for k, l := range w.lanes {
		if math.Abs(l.Off[i]) > w.n.Model.Level.Zone/2 || w.n.Truth.Gives[k][i] > 0 {
			return false
		}
	}
	return true
}

// grounds reports whether a finding is true of its fret: high frets have a
// crown above half the zone, low ones a curve below it (not a groove alone),
// worn crowns a groove, burrs a burr, or a curve that leaves its line there; what is read again, any crown off. A fret
// worn below the zone in every lane is a low one too.
func (w witness) grounds(f findings.Finding) bool {
	t, i, half := &w.n.Truth, w.n.Truth.place(f.Fret), w.n.Model.Level.Zone/2
	in := func(k int) bool { return len(f.Lanes) == 0 || slices.Contains(f.Lanes, t.Lanes[k]) }
	kind := f.Kind()
	if (kind == findings.KindFretLow || kind == findings.KindEndLow) && w.lowAllOver(i) {
		return true
	}
	for k, l := range w.lanes {
		gives := t.Gives[k][i] > 0
		ok := false
		switch kind {
		case findings.KindWorn, findings.KindPit:
			ok = in(k) && (t.Groove[k][i] > 0 || l.Off[i] < -half || w.beside(k, i) < -besideMM)
		case findings.KindBurr:
			ok = in(k) && (t.Burr[k][i] > 0 || l.Off[i] > half || w.beside(k, i) > besideMM)
		case findings.KindFretHigh, findings.KindSeat:
			ok = l.Off[i] > half || gives
		case findings.KindFretLow, findings.KindEndLow:
			ok = l.CurveOff[i] < -half || gives
		case findings.KindLoose:
			ok = gives
		default:
			ok = math.Abs(l.Off[i]) > half || gives
		}
		if ok {
			return true
		}
	}
	return false
}

// besideMM is how far a fret's curve must leave its line at one lane to be a pit
// or a burr though neither was planted.
const besideMM = 8 * µ

// beside is how far fret i's own curve stands off, in lane k, from the line
// through its other lanes.
func (w witness) beside(k, i int) float64 {
	t, l := &w.n.Truth, w.n.Layout
	var x, z []float64
	own := 0.0
	for j, lane := range t.Lanes {
		v := t.Curve[j][i] - t.Shape[j][i] - l.Surface(l.At(t.Frets[i], lane))
		if j == k {
			own = v
			continue
		}
		x, z = append(x, l.Fraction(lane)), append(z, v)
	}
	a, b := stat.LinearRegression(x, z, nil, false)
	return own - a - b*l.Fraction(t.Lanes[k])
}

// lowAllOver reports whether every crown of a fret lies below the zone.
func (w witness) lowAllOver(i int) bool {
	return !slices.ContainsFunc(w.lanes, func(l LaneTruth) bool { return l.Off[i] >= -w.n.Model.Level.Zone/2 })
}

// wholeGrounds is the same of what is wrong with the neck.
func (w witness) wholeGrounds(x findings.Whole) bool {
	zone, frets := w.n.Model.Level.Zone, x.Frets
	switch x.Kind {
	case findings.KindHump, findings.KindRise:
		return w.meanOff(frets) > zone/8
	case findings.KindDip:
		return w.meanOff(frets) < -zone/8
	case findings.KindBow:
		return math.Abs(w.meanBow()) > zone/8
	case findings.KindTwist, findings.KindRadius:
		return slices.ContainsFunc(w.n.Truth.Whole, func(f WholeFault) bool {
			return f.Kind == x.Kind && math.Abs(f.AmountMM) > zone/2 && f.AmountMM*x.AmountMM > 0
		})
	case findings.KindWorn:
		worn := 0
		for _, f := range frets {
			if w.wornAt(f, x.Lanes) {
				worn++
			}
		}
		return 2*worn >= len(frets) && worn > 0
	}
	return true
}

func (w witness) wornAt(fret int, lanes []float64) bool {
	t := &w.n.Truth
	for k, lane := range t.Lanes {
		if (len(lanes) == 0 || slices.Contains(lanes, lane)) && t.Groove[k][t.place(fret)] > 0 {
			return true
		}
	}
	return false
}

// meanOff is how far the curves of some frets stand off on average.
func (w witness) meanOff(frets []int) (mean float64) {
	n := float64(len(frets) * len(w.lanes))
	for _, f := range frets {
		for _, l := range w.lanes {
			mean += l.CurveOff[w.n.Truth.place(f)] / n
		}
	}
	return mean
}

// meanBow is the lanes' mean bow.
func (w witness) meanBow() (mean float64) {
	t := &w.n.Truth
	for k, l := range w.lanes {
		if b, err := straight.Bow(t.X[k], l.Off); err == nil {
			mean += b.MM / float64(len(w.lanes))
		}
	}
	return mean
}
