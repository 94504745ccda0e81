package heard

import (
	"math"
	"slices"
)

// Of the search for onsets. Times in s, levels as shares.
const (
	frameS          = 0.0464 // 2048 samples at 44.1 kHz
	hopS            = 0.01
	fluxLow         = 70.0 // Hz
	fluxHigh        = 9000.0
	fluxOver        = 3 // frames that a rise is taken over
	quietShare      = 0.10
	quietTimes      = 4.0
	quietLeast      = 1e-4 // of the loudest bin: silence to the last digit has no level
	quietFrames     = 2000 // that the quiet level is taken from, at most
	apartS          = 0.12
	medianS         = 0.4
	overMedian      = 0.25
	leastRise       = 0.2
	riseShare       = 0.98
	stepS           = 0.003
	nearS           = 0.05
	noiseBlockS     = 0.05
	noiseShare      = 0.05
	softShare       = 0.0005 // of the loudest energy nearby, which a rise has to leave behind
	maxFluxSeconds  = 3600
	minFluxFrames   = 8
	leastOnsetSlope = 1e-12
)

// Find gives the first sample of every sound that begins in a recording, in order.
//
// Each bin of a short spectrum is taken in units of four times its own quiet level, so
// that steady hum and hiss vanish; an onset is where the mean rise of their logs is
// greatest within 0.12 s and stands out of its surroundings.
func Find(x []float64, rateHz float64) []int {
	rise, frame, hop := newWorker(rateHz).flux(x)
	if len(rise) < minFluxFrames {
		return nil
	}
	sorted := slices.Clone(rise)
	slices.Sort(sorted)
	least := overMedian * math.Max(leastRise, sorted[int(riseShare*float64(len(sorted)-1))])
	apart, around := int(apartS/hopS), int(medianS/hopS)
	var onsets []int
	near := make([]float64, 0, 2*around+1)
	for t, r := range rise {
		if r < least || r < slices.Max(rise[max(0, t-apart):min(len(rise), t+apart+1)]) {
			continue
		}
		near = append(near[:0], rise[max(0, t-around):min(len(rise), t+around+1)]...)
		slices.Sort(near)
		if r < near[len(near)/2]+least {
			continue
		}
		at := steepest(x, rateHz, int((float64(t)-fluxOver/2.0)*hop)+frame/2)
		if n := len(onsets); n == 0 || at-onsets[n-1] > int(apartS/2*rateHz) {
			onsets = append(onsets, at)
		}
	}
	return onsets
}

// flux is the mean rise of the bins' logs over three frames, frame by frame.
func (w *worker) flux(x []float64) (rise []float64, frame int, hop float64) {
	frame = int(math.Exp2(math.Round(math.Log2(frameS * w.rateHz))))
	hop = hopS * w.rateHz
	x = x[:min(len(x), int(maxFluxSeconds*w.rateHz))]
	low, high := int(math.Ceil(fluxLow*float64(frame)/w.rateHz)), min(frame/2, int(fluxHigh*float64(frame)/w.rateHz))
	var bins [][]float32
	window, plan := hann(frame), w.plan(frame)
	part, c := make([]float64, frame), make([]complex128, frame/2+1)
	loudest := float32(0)
	for t := 0; int(float64(t)*hop)+frame <= len(x); t++ {
		at := int(float64(t) * hop)
		for i := range part {
			part[i] = window[i] * x[at+i]
		}
		plan.Coefficients(c, part)
		row := make([]float32, high-low)
		for i := range row {
			re, im := real(c[low+i]), imag(c[low+i])
			row[i] = float32(math.Sqrt(re*re + im*im))
			loudest = max(loudest, row[i])
		}
		bins = append(bins, row)
	}
	if loudest == 0 {
		return nil, frame, hop
	}
	quiet(bins, quietLeast*loudest)
	rise = make([]float64, len(bins))
	for t := fluxOver; t < len(bins); t++ {
		sum := 0.0
		for i, v := range bins[t] {
			if d := v - bins[t-fluxOver][i]; d > 0 {
				sum += float64(d)
			}
		}
		rise[t] = sum / float64(high-low)
	}
	return rise, frame, hop
}

// quiet turns magnitudes into logs of one plus them, each bin in units of four times its
// own quiet level.
func quiet(bins [][]float32, least float32) {
	every := max(1, len(bins)/quietFrames)
	column := make([]float32, 0, len(bins)/every+1)
	for i := range bins[0] {
		column = column[:0]
		for t := 0; t < len(bins); t += every {
			column = append(column, bins[t][i])
		}
		slices.Sort(column)
		unit := quietTimes * max(least, column[int(quietShare*float64(len(column)-1))])
		for t := range bins {
			bins[t][i] = float32(math.Log1p(float64(bins[t][i] / unit)))
		}
	}
}

// steepest is where the energy of 3 ms rises most near a sample: by its log, over what
// is soft beside the loudest nearby.
func steepest(x []float64, rateHz float64, about int) int {
	step, near := int(stepS*rateHz), int(nearS*rateHz)
	from, to := max(step, about-near), min(len(x)-step, about+near)
	loudest := 0.0
	for i := from; i <= to; i += step {
		loudest = math.Max(loudest, power(x[i:i+step]))
	}
	soft := math.Max(softShare*loudest, leastOnsetSlope)
	best, most := min(max(0, about), len(x)-1), math.Inf(-1)
	for i := from; i <= to; i += max(1, step/3) {
		if r := math.Log((power(x[i:i+step]) + soft) / (power(x[i-step:i]) + soft)); r > most {
			best, most = i, r
		}
	}
	return best
}

// Noise is the mean square of a recording's quietest moments.
func Noise(x []float64, rateHz float64) float64 {
	n := int(noiseBlockS * rateHz)
	var all []float64
	for i := 0; i+n <= len(x); i += n {
		all = append(all, power(x[i:i+n]))
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[int(noiseShare*float64(len(all)-1))]
}
