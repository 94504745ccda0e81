package findings

import (
	"math"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Whole is what is wrong with the neck as a whole.
type Whole struct {
	Kind          string
	AmountMM, UMM float64   // of a bow hollow positive, of a twist the treble side's rise, of a radius the middle above the edges
	Frets         []int     // where it shows, if not everywhere; of a hump, a dip or a rise all of them
	Lanes         []float64 // likewise
	DepthMM       float64   // of a groove, a hump or a dip; 0 else
	Rod           bool      // of a bow: the neck has a rod to take it out
}

// beyond reports whether the amount is the limit or more, with 95 % confidence.
func (w Whole) beyond(limitMM float64) bool { return math.Abs(w.AmountMM)-levelFactor*w.UMM >= limitMM }

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
			out = append(out, r)
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
	// Lanes share errors that no average takes out: the mean variance stands.
	w := Whole{Kind: KindBow, AmountMM: sum / count, UMM: math.Sqrt(variance / count), Rod: n.Model.Body.Rod}
	return w, w.beyond(limit / 4)
}

// minSpan is the part of a lane that must be read to speak of its bow.
const minSpan = 0.5

// spanned reports whether a lane's crowns reach over enough of the neck to show
// how the whole of it is bent.
func (n *Neck) spanned(l Lane) bool {
	whole := n.Layout.LaneX(n.Layout.LastFret(), l.Lane.Lane) - n.Layout.LaneX(n.Layout.FirstFret(), l.Lane.Lane)
	return !l.thin() && l.X[len(l.X)-1]-l.X[0] >= minSpan*whole
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

// isWear reports whether a dip is wear: half of its frets or more are worn, or
// lie as no smooth curve does.
func (n *Neck) isWear(r Whole, worn map[int]bool) bool {
	count := 0
	for _, f := range r.Frets {
		if worn[f] || n.crooked(f) {
			count++
		}
	}
	return r.Kind == KindDip && 2*count >= len(r.Frets)
}

// minRun is how many neighbouring frets make a hump or a dip.
const minRun = 3

// runs finds humps and dips over several frets: neighbours that all stand off
// the same way for certain, by a quarter of the zone or more, no one of them
// jumping out.
func (n *Neck) runs() []Whole {
	var out []Whole
	quarter := n.Model.Level.Zone / 4
	start, sign, peak, uPeak := 0, 0, 0.0, 0.0
	end := func(f int) {
		if sign != 0 && f-start >= minRun {
			out = append(out, n.named(start, f-1, sign, peak, uPeak))
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
	w := Whole{Kind: KindDip, AmountMM: peak, UMM: u, DepthMM: math.Abs(peak)}
	for f := from; f <= to; f++ {
		w.Frets = append(w.Frets, f)
	}
	if sign > 0 {
		w.Kind = KindHump
		if joint := n.Model.Body.Joint; joint > 0 && from <= joint+2 && to >= joint-1 {
			w.Kind = KindRise
		}
	}
	return w
}
