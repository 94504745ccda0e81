package heard

import "math"

// The coarse pitch: how low and high it is looked for, over which stretch, and how
// unlike itself a period later a sound may be.
const (
	lowestHz, highestHz = 27.0, 1600.0 // A0, and a 24th fret in a high tuning
	pitchWindowS        = 0.10
	dipUnder            = 0.15
	noisyDip            = 0.08      // what noise adds to a dip
	bandFrom, bandTo    = 0.6, 0.85 // of the lowest pitch: hum below it goes
	bandTopHz           = 2500.0
	bandEndHz           = 4500.0
)

// coarsePitch is the pitch at the start of a sound in Hz; false where it has none.
// The difference function made relative to its running mean, first dip below 0.15.
// Source: de Cheveigné and Kawahara, JASA 111 (2002) 1917, steps 2 to 5.
func (w *worker) coarsePitch(x []float64) (hz float64, ok bool) {
	low := bandTo * w.lowHz
	longest := int(w.rateHz / low)
	window := int(math.Max(pitchWindowS, 3.2/low) * w.rateHz)
	if window = min(window, len(x)-longest-2); window < longest {
		return 0, false
	}
	d := w.difference(w.band(x[:window+longest+2]), window, longest+2)
	relative(d)
	shortest := max(2, int(w.rateHz/highestHz))
	for t := shortest; t <= longest; t++ {
		if d[t] >= dipUnder {
			continue
		}
		for t+1 < len(d)-1 && d[t+1] < d[t] {
			t++
		}
		if t > longest {
			return 0, false
		}
		t = shortened(d, t, shortest)
		return w.rateHz / (float64(t) + vertex(d[t-1], d[t], d[t+1])), true
	}
	return 0, false
}

// shortened is the lag of a half, third or quarter of a period, where noise alone keeps
// the dip there above the limit.
func shortened(d []float64, t, shortest int) int {
	for part := 4; part >= 2; part-- {
		near, reach := t/part, max(1, t/part/30)
		if near-reach < shortest {
			continue
		}
		best := near - reach
		for k := best; k <= near+reach; k++ {
			if d[k] < d[best] {
				best = k
			}
		}
		if d[best] < d[t]+noisyDip {
			return best
		}
	}
	return t
}

// band takes away what lies below and above the pitches and their first partials: hum
// and hiss.
func (w *worker) band(x []float64) []float64 {
	n := powerOfTwo(len(x))
	plan, padded := w.plan(n), make([]float64, n)
	copy(padded, x)
	c := plan.Coefficients(nil, padded)
	for i := range c {
		f := float64(i) * w.rateHz / float64(n)
		c[i] *= complex(ramp(f, bandFrom*w.lowHz, bandTo*w.lowHz)*ramp(f, bandEndHz, bandTopHz)/float64(n), 0)
	}
	return plan.Sequence(padded, c)[:len(x)]
}

// ramp rises from 0 at one frequency to 1 at another, by a half cosine; or falls.
func ramp(f, zero, one float64) float64 {
	part := math.Max(0, math.Min(1, (f-zero)/(one-zero)))
	return 0.5 - 0.5*math.Cos(math.Pi*part)
}

// difference is the sum over a window of (x[j] − x[j+t])², for t below lags: powers less
// twice the correlation, by a Fourier transform. Equation 6 of the source.
func (w *worker) difference(x []float64, window, lags int) []float64 {
	n := powerOfTwo(window + lags)
	plan := w.plan(n)
	head, all := make([]float64, n), make([]float64, n)
	copy(head, x[:window])
	copy(all, x[:min(window+lags, len(x))])
	a, b := plan.Coefficients(nil, head), plan.Coefficients(nil, all)
	for i := range a {
		a[i] = complex(real(a[i]), -imag(a[i])) * b[i]
	}
	correlation := plan.Sequence(head, a)
	first, moved := 0.0, 0.0
	for _, v := range x[:window] {
		first += v * v
	}
	moved = first
	d := make([]float64, lags)
	for t := range d {
		d[t] = math.Max(0, first+moved-2*correlation[t]/float64(n))
		if t+window < len(x) {
			moved += x[t+window]*x[t+window] - x[t]*x[t]
		}
	}
	return d
}

// relative divides a difference function by its mean from lag 1 on. Equation 8.
func relative(d []float64) {
	sum := 0.0
	for t := range d {
		if t == 0 {
			d[t] = 1
			continue
		}
		if sum += d[t]; sum > 0 {
			d[t] *= float64(t) / sum
		} else {
			d[t] = 1
		}
	}
}

// vertex is how far the vertex of a parabola through three values lies from the
// middle one, in steps; within half a step.
func vertex(before, at, after float64) float64 {
	bend := before - 2*at + after
	if bend == 0 {
		return 0
	}
	return math.Max(-0.5, math.Min(0.5, 0.5*(before-after)/bend))
}
