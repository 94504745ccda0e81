package listen

import (
	"math"
	"slices"

	"ringtrue/internal/num"
)

// Of notes that die early.
const (
	earlyShare  = 0.4
	neighbours  = 5 // the nearest of the string
	leastBeside = 3
	withinFrets = 6
)

// diesEarly marks the notes that ring less than 0.4 of the median of their nearest
// neighbours on the string. One that was cut counts as ringing as long as it was heard.
func diesEarly(notes []Note) {
	for i := range notes {
		n := &notes[i]
		ring, known := n.RingS.Get()
		if !known {
			continue
		}
		var near []Note
		for k, o := range notes {
			if k != i && o.String == n.String && o.Fret != n.Fret && apart(o, *n) <= withinFrets {
				near = append(near, o)
			}
		}
		slices.SortStableFunc(near, func(a, b Note) int { return apart(a, *n) - apart(b, *n) })
		var rings []float64
		for _, o := range near[:min(len(near), neighbours)] {
			rings = append(rings, o.RingS.Or(o.RingLeastS))
		}
		if len(rings) < leastBeside {
			continue
		}
		share := ring / num.Median(rings)
		n.RingShare, n.DiesEarly = num.Some(share), share < earlyShare
	}
}

func apart(a, b Note) int { return int(math.Abs(float64(a.Fret - b.Fret))) }

// cents is how far one frequency lies above another.
func cents(hz, over float64) float64 { return 1200 * math.Log2(hz/over) }

func lowest(all []stop) float64 {
	low := math.Inf(1)
	for _, s := range all {
		low = math.Min(low, s.Hz)
	}
	return low * math.Exp2(-mostSemitones/12.0)
}
