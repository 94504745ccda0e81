package heard

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// worker holds what one goroutine needs again and again. Not for two at once.
type worker struct {
	rateHz float64
	lowHz  float64 // no pitch lies below it
	plans  map[int]*fourier.FFT
}

func newWorker(rateHz float64) *worker { return &worker{rateHz, lowestHz, map[int]*fourier.FFT{}} }

// another is a worker of the same kind.
func (w worker) another() *worker {
	w.plans = map[int]*fourier.FFT{}
	return &w
}

func (w *worker) plan(n int) *fourier.FFT {
	p, ok := w.plans[n]
	if !ok {
		p = fourier.NewFFT(n)
		w.plans[n] = p
	}
	return p
}

func powerOfTwo(least int) int {
	n := 1
	for n < least {
		n *= 2
	}
	return n
}

// hann is a Hann window of n samples.
func hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	return w
}

// Of a spectrum: how much it is padded, up to which frequency and share of the
// rate it is looked at, and what counts as a peak.
const (
	padding     = 4
	mostHz      = 12000.0
	topShare    = 0.45
	peakDB      = 14.0
	floorPitchs = 3.0 // the floor is a median over so many times the pitch
)

// spectrum is the log of the magnitudes of a stretch of sound, and of the floor
// that its peaks rise from.
type spectrum struct {
	log, floor []float64
	everyHz    float64 // of floor
	binHz      float64
	lobeHz     float64 // half the width of the window's main lobe
	topHz      float64
}

// spectrumOf takes x through a Hann window. The floor is a running median over
// three times the pitch, found at every third of it and straight between. Nothing is
// looked at above topHz.
func (w *worker) spectrumOf(x []float64, pitchHz, topHz float64) *spectrum {
	n := powerOfTwo(padding * len(x))
	padded := make([]float64, n)
	for i, h := range hann(len(x)) {
		padded[i] = h * x[i]
	}
	c := w.plan(n).Coefficients(nil, padded)
	s := &spectrum{binHz: w.rateHz / float64(n), lobeHz: 2 * w.rateHz / float64(len(x)), topHz: math.Min(topHz, topShare*w.rateHz)}
	bins := min(len(c), int((s.topHz+floorPitchs*pitchHz)/s.binHz))
	s.log = make([]float64, bins)
	for i := range s.log {
		re, im := real(c[i]), imag(c[i])
		s.log[i] = 0.5 * math.Log(re*re+im*im+1e-30)
	}
	s.everyHz = pitchHz / 3
	half := floorPitchs * pitchHz / 2
	var near []float64
	for f := 0.0; f <= s.topHz+s.everyHz; f += s.everyHz {
		near = near[:0]
		for i := max(0, int((f-half)/s.binHz)); i < min(bins, int((f+half)/s.binHz)); i += padding {
			near = append(near, s.log[i])
		}
		slices.Sort(near)
		at := math.Log(1e-15)
		if len(near) > 0 {
			at = near[len(near)/2]
		}
		s.floor = append(s.floor, at)
	}
	return s
}

// over is the log height over the floor at a frequency; 0 beyond the top.
func (s *spectrum) over(hz float64) float64 {
	i := int(hz/s.binHz + 0.5)
	if i < 0 || i >= len(s.log) {
		return 0
	}
	return s.log[i] - s.floorAt(hz)
}

func (s *spectrum) floorAt(hz float64) float64 {
	at := hz / s.everyHz
	i := min(max(0, int(at)), len(s.floor)-2)
	part := at - float64(i)
	return s.floor[i]*(1-part) + s.floor[i+1]*part
}

// peak is the highest peak within reach of a frequency, in Hz, by a parabola in the
// log height; false where none rises far enough over the floor.
func (s *spectrum) peak(hz, reachHz float64) (float64, bool) {
	from, to := max(1, int((hz-reachHz)/s.binHz)), min(len(s.log)-2, int((hz+reachHz)/s.binHz)+1)
	best := -1
	for i := from; i <= to; i++ {
		if s.log[i] >= s.log[i-1] && s.log[i] > s.log[i+1] && (best < 0 || s.log[i] > s.log[best]) {
			best = i
		}
	}
	if best < 0 {
		return 0, false
	}
	at := (float64(best) + vertex(s.log[best-1], s.log[best], s.log[best+1])) * s.binHz
	over := s.log[best] - s.floorAt(at)
	return at, 20/math.Ln10*over >= peakDB
}

// reachHz is how far from its place a partial is looked for.
func (s *spectrum) reachHz(hz float64) float64 { return math.Max(s.lobeHz, 0.004*hz) }
