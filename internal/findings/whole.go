package findings

import (
	"fmt"
	"math"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Whole is what is wrong with the neck as a whole.
type Whole struct {
	Kind          string
	Words, Advice string
	AmountMM, UMM float64
	Frets         []int     // where it shows, if not everywhere
	Lanes         []float64 // likewise
	DepthMM       float64   // of a groove, a hump or a dip; 0 else
}

// Whole says what is wrong with the neck as a whole: bowed, humped or dipped,
// and, where the readings tie the lanes to each other, twisted or off radius.
func (n *Neck) Whole(readings []reading.Reading) []Whole {
	var out []Whole
	if w, ok := n.bowed(); ok {
		out = append(out, w)
	}
	out = append(out, n.tied(readings)...)
	out = append(out, n.worn()...)
	worn := n.wornFrets()
	for _, r := range n.runs() {
		if !n.isWear(r, worn) {
			out = append(out, r.Whole)
		}
	}
	return out
}

// bowed finds a bow that the rod may take out: alike in the lanes, certain, and
// explaining most of what the worst lane's zone has too much.
func (n *Neck) bowed() (Whole, bool) {
	limit := n.Model.Level.Zone
	sum, variance, eased, notLevel, count := 0.0, 0.0, 0, 0, 0.0
	for _, l := range n.Lanes {
		if !n.spanned(l) {
			continue
		}
		count++
		sum += l.Bow.MM
		variance += l.UBow * l.UBow
		if l.Judged.Zone.WidthMM <= limit {
			continue
		}
		notLevel++
		if rest := l.withoutBow(); rest <= limit || rest-limit < (l.Judged.Zone.WidthMM-limit)/2 {
			eased++
		}
	}
	if notLevel == 0 || 2*eased <= notLevel {
		return Whole{}, false
	}
	// Lanes share errors that no average takes out: the mean variance stands.
	mean, u := sum/count, math.Sqrt(variance/count)
	if math.Abs(mean)-1.645*u < limit/4 {
		return Whole{}, false
	}
	w := Whole{Kind: KindBow, AmountMM: mean, UMM: u}
	if mean > 0 {
		w.Words = "the whole neck is hollow (up-bow)"
	} else {
		w.Words = "the whole neck is humped (back-bow)"
	}
	if n.Model.Body.Rod {
		w.Advice = "set the rod and read again before any filing: never file away what the rod takes out"
	} else {
		w.Advice = "this neck has no rod: find what bends it before any filing"
	}
	return w, true
}

// leastSpan is the part of a lane that must be read to speak of its bow.
const leastSpan = 0.5

// spanned reports whether a lane's crowns reach over enough of the neck to show
// how the whole of it is bent.
func (n *Neck) spanned(l Lane) bool {
	whole := n.Layout.LaneX(n.Layout.LastFret(), l.Lane.Lane) - n.Layout.LaneX(n.Layout.FirstFret(), l.Lane.Lane)
	return !l.thin() && l.X[len(l.X)-1]-l.X[0] >= leastSpan*whole
}

// withoutBow is the lane's zone once its best parabola is taken out, mm.
func (l Lane) withoutBow() float64 {
	first, span := l.X[0], l.X[len(l.X)-1]-l.X[0]
	z := make([]float64, len(l.D))
	for i, x := range l.X {
		t := (x - first) / span
		z[i] = l.D[i] + 4*t*(1-t)*l.Bow.MM
	}
	r, err := straight.Zone(l.X, z)
	if err != nil {
		return math.Inf(1)
	}
	return r.WidthMM
}

// run is a hump or a dip and the frets it goes over.
type run struct {
	Whole
	from, to int
}

// isWear reports whether a dip is wear: half of its frets or more are worn, or
// lie as no smooth curve does.
func (n *Neck) isWear(r run, worn map[int]bool) bool {
	count := 0
	for f := r.from; f <= r.to; f++ {
		if worn[f] || n.crooked(f) {
			count++
		}
	}
	return r.Kind == KindDip && 2*count >= r.to-r.from+1
}

// leastRun is how many neighbouring frets make a hump or a dip.
const leastRun = 3

// runs finds humps and dips over several frets: neighbours that all stand off
// the same way for certain, by a quarter of the zone or more, no one of them
// jumping out.
func (n *Neck) runs() []run {
	var out []run
	quarter := n.Model.Level.Zone / 4
	start, sign, peak, uPeak := 0, 0, 0.0, 0.0
	end := func(f int) {
		if sign != 0 && f-start >= leastRun {
			out = append(out, run{n.named(start, f-1, sign, peak, uPeak), start, f - 1})
		}
		sign, peak = 0, 0
	}
	for f := n.Layout.FirstFret(); f <= n.Layout.LastFret(); f++ {
		a := n.across(f)
		s := 0
		var m part
		if len(a.lanes) > 0 {
			_, m, _, _ = a.fit(1)
			switch {
			case m.certain(quarter):
				s = 1
			case m.minus().certain(quarter):
				s = -1
			}
		}
		if s != sign {
			end(f)
			start, sign = f, s
		}
		if s != 0 && math.Abs(m.mm) > math.Abs(peak) {
			peak, uPeak = m.mm, m.u
		}
	}
	end(n.Layout.LastFret() + 1)
	return out
}

// named says what a run is.
func (n *Neck) named(from, to, sign int, peak, u float64) Whole {
	w := Whole{AmountMM: peak, UMM: u, DepthMM: math.Abs(peak)}
	for f := from; f <= to; f++ {
		w.Frets = append(w.Frets, f)
	}
	w.Kind = KindHump
	joint := n.Model.Body.Joint
	switch {
	case sign > 0 && joint > 0 && from <= joint+2 && to >= joint-1:
		w.Kind = KindRise
		w.Words = fmt.Sprintf("rise at the body joint, frets %d to %d", from, to)
		w.Advice = "look at the joint and the board's glue there; what is sound is levelled, with fall-away towards the end if the maker wants it"
	case sign > 0:
		w.Words = fmt.Sprintf("hump over frets %d to %d", from, to)
		w.Advice = "look at the board under them before filing: a board that lifted is glued down, one that is humped is levelled with its frets"
	default:
		w.Kind = KindDip
		w.Words = fmt.Sprintf("dip over frets %d to %d", from, to)
		w.Advice = "a dip is in the board: refit these frets higher, or level the rest to them if the plan leaves enough crown"
	}
	return w
}
