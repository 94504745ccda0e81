package heard

import (
	"math"
	"math/cmplx"
	"slices"

	"ringtrue/internal/num"
)

// Of the decay of partials.
const (
	decayPartials = 24
	decayWindowS  = 0.05 // at least 4 periods of the pitch
	decayHopS     = 0.01
	decayFromS    = 0.08
	decayMostS    = 1.6
	decayFallDB   = 30.0
	overBetween   = 3.0 // times what sounds between the partials
	decayLeast    = 10  // points of a line
)

// Decay is how fast one partial dies away.
type Decay struct {
	Hz       float64 `json:"hz"`
	RatePerS float64 `json:"rate_per_s"` // its amplitude falls by e in one over this
}

// decays are the rates of a series' first partials, from an onset to an end.
func (w *worker) decays(x []float64, g *series) (out []Decay) {
	for _, p := range g.partials {
		if p.n > decayPartials {
			break
		}
		if rate, ok := w.decay(x, p.hz, g.f0); ok {
			out = append(out, Decay{p.hz, rate})
		}
	}
	return out
}

// decay is the decay rate of the partial at a frequency in 1/s: a line through the log
// of its amplitude, down to 3 times what lies between the partials or by 30 dB.
func (w *worker) decay(x []float64, hz, pitchHz float64) (float64, bool) {
	hop := int(math.Round(decayHopS * w.rateHz))
	hops := int(math.Ceil(math.Max(decayWindowS, 4/pitchHz) / decayHopS))
	from := w.at(decayFromS)
	if from+hops*hop > len(x) {
		return 0, false
	}
	between := w.between(x, hz+pitchHz/2, hann(hops*hop))
	d := demodulator{f: hz / w.rateHz, hop: hop, hops: hops}
	var at, level []float64
	top := math.Inf(-1)
	for t := from; t+hop <= len(x) && t < from+w.at(decayMostS); t += hop {
		a, ok := d.next(x[t : t+hop])
		if !ok {
			continue
		}
		top = math.Max(top, a)
		if a < overBetween*between || a < top*math.Pow(10, -decayFallDB/20) {
			break
		}
		at, level = append(at, float64(t)/w.rateHz), append(level, math.Log(a))
	}
	if len(at) < decayLeast {
		return 0, false
	}
	rate := -robustSlope(at, level)
	return rate, rate > 0
}

// demodulator gives the amplitude at one frequency, in periods a sample, under a Hann
// window that moves on by hops. The window is the sum of a constant and two sines, so
// each hop is summed at three frequencies once, whatever windows it lies in.
type demodulator struct {
	f    float64
	hop  int
	hops int // of a window
	sums [][3]complex128
}

// next takes one more hop of sound; false until a window is full.
func (d *demodulator) next(x []float64) (float64, bool) {
	side := 1 / float64(d.hop*d.hops)
	first := float64(len(d.sums) * d.hop)
	var turn, step, sum [3]complex128
	for k, f := range [3]float64{d.f, d.f - side, d.f + side} {
		turn[k], step[k] = phase(-f*first), phase(-f)
	}
	t0, t1, t2 := turn[0], turn[1], turn[2]
	for _, v := range x {
		c := complex(v, 0)
		sum[0], sum[1], sum[2] = sum[0]+c*t0, sum[1]+c*t1, sum[2]+c*t2
		t0, t1, t2 = t0*step[0], t1*step[1], t2*step[2]
	}
	d.sums = append(d.sums, sum)
	k := len(d.sums) - d.hops
	if k < 0 {
		return 0, false
	}
	var all [3]complex128
	for _, s := range d.sums[k:] {
		all[0], all[1], all[2] = all[0]+s[0], all[1]+s[1], all[2]+s[2]
	}
	back := phase(-float64(k) / float64(d.hops))
	return cmplx.Abs(0.5*all[0] - 0.25*(back*all[1]+cmplx.Conj(back)*all[2])), true
}

// phase is a turn by so many periods.
func phase(periods float64) complex128 {
	sin, cos := math.Sincos(2 * math.Pi * (periods - math.Round(periods)))
	return complex(cos, sin)
}

// between is the usual amplitude beside a partial.
func (w *worker) between(x []float64, hz float64, window []float64) float64 {
	var all []float64
	for t := int(decayFromS * w.rateHz); t+len(window) <= len(x) && len(all) < 8; t += int(0.2 * w.rateHz) {
		all = append(all, amplitude(x[t:t+len(window)], window, hz/w.rateHz))
	}
	if len(all) == 0 {
		return math.Inf(1)
	}
	return slices.Min(all)
}

// amplitude is that of the part of x at a frequency in periods a sample.
func amplitude(x, window []float64, f float64) float64 {
	sin, cos := math.Sincos(2 * math.Pi * f)
	c, s, re, im := 1.0, 0.0, 0.0, 0.0
	for i, h := range window {
		v := h * x[i]
		re, im = re+v*c, im+v*s
		c, s = c*cos-s*sin, s*cos+c*sin
	}
	return math.Hypot(re, im)
}

// robustSlope is that of the line through y with Huber's weights.
func robustSlope(x, y []float64) float64 {
	huber, w, size := make([]float64, len(x)), make([]float64, len(x)), make([]float64, len(x))
	for i := range w {
		huber[i], w[i] = 1, 1
	}
	slope := 0.0
	for range fitRounds {
		var at float64
		at, slope, _ = line(x, y, w, huber)
		for i := range x {
			size[i] = math.Abs(y[i] - at - slope*x[i])
		}
		sigma := 1.4826 * num.Median(size)
		for i := range huber {
			huber[i] = math.Min(1, huberSigma*sigma/math.Max(size[i], 1e-12))
		}
	}
	return slope
}

// Law is the decay rate base + square·f² in 1/s.
type Law struct {
	Base   float64 `json:"base"`
	Square float64 `json:"square"`
}

// maxForLaw bounds the pairs that are tried.
const maxForLaw = 160

// LawOf is the law nearest to many rates by the sum of absolute errors, neither part
// below 0: one of the lines through two of the points, or through one and an axis.
// False: fewer than four.
func LawOf(d []Decay) (Law, bool) {
	if len(d) < 4 {
		return Law{}, false
	}
	sorted := slices.Clone(d)
	slices.SortFunc(sorted, func(a, b Decay) int {
		switch {
		case a.Hz < b.Hz:
			return -1
		case a.Hz > b.Hz:
			return 1
		}
		return 0
	})
	some := sorted
	if len(sorted) > maxForLaw { // evenly taken: the rest has its say in the sum
		some = nil
		for i := range maxForLaw {
			some = append(some, sorted[i*len(sorted)/maxForLaw])
		}
	}
	best, least := Law{}, math.Inf(1)
	try := func(l Law) {
		if !(l.Base >= 0 && l.Square >= 0) {
			return
		}
		sum := 0.0
		for _, p := range sorted {
			sum += math.Abs(p.RatePerS - l.Base - l.Square*p.Hz*p.Hz)
		}
		if sum < least {
			best, least = l, sum
		}
	}
	for i, p := range some {
		try(Law{p.RatePerS, 0})
		try(Law{0, p.RatePerS / (p.Hz * p.Hz)})
		for _, q := range some[:i] {
			square := (p.RatePerS - q.RatePerS) / (p.Hz*p.Hz - q.Hz*q.Hz)
			try(Law{p.RatePerS - square*p.Hz*p.Hz, square})
		}
	}
	return best, true
}
