package heard

import (
	"math"

	"ringtrue/internal/num"
)

// When a note is listened to, in s from its onset.
const (
	coarseFromS    = 0.045
	seriesFromS    = 0.05
	seriesS        = 0.30 // at least 16 periods
	seriesPeriods  = 16
	toldFromS      = 0.25
	toldToS        = 0.75
	toldLeastS     = 0.18 // of it, where the next note comes early
	toldNote       = 8    // partials that tell the pitch
	mostWeight     = 4
	beforeNextS    = 0.02
	ringFromS      = 0.05
	ringBlockS     = 0.05
	ringFallDB     = 20.0
	ringNoisyDB    = 10.0
	dampedShare    = 0.2  // of the time to fall 10 dB: the next 10 dB in less were damped by a hand
	ringNeedsDB    = 25.0 // of sound over noise for a fall of 20 dB
	onsetUnderDB   = -30.0
	onsetBlockS    = 0.002
	leastCentDoubt = 0.05
)

// Note is what one note sounds like. Times in s from its onset.
type Note struct {
	Hz            float64    `json:"hz"`              // its first partial, f0·√(1 + B)
	HzAtS         [2]float64 `json:"cents_at_s"`      // when
	UCents        float64    `json:"u_cents"`         // standard uncertainty of Hz, in cents
	GlideCents    num.Opt    `json:"glide_cents"`     // how much sharper it began
	Inharmonicity num.Opt    `json:"inharmonicity"`   // B; missing where nothing honest can be said
	UB            num.Opt    `json:"u_inharmonicity"` // its standard uncertainty
	RingS         num.Opt    `json:"ring_s"`          // the time to fall 20 dB; missing where it was cut or damped before, or noise hides it
	RingLeastS    float64    `json:"ring_at_least_s"` // where it is missing: it rings so long at least
	TenDBS        num.Opt    `json:"ten_db_s"`        // the time to fall 10 dB
	Partials      int        `json:"partials"`        // on the law
	Decays        []Decay    `json:"-"`               // of its first partials
}

// Onset is the first sample of a sound that holds one note: the first 2 ms above −30 dB
// of its loudest.
func Onset(x []float64, rateHz float64) int {
	n := max(1, int(onsetBlockS*rateHz))
	most := 0.0
	for i := 0; i+n <= len(x); i += n {
		most = math.Max(most, power(x[i:i+n]))
	}
	for i := 0; i+n <= len(x); i += n {
		if p := power(x[i : i+n]); p > 0 && p >= most*math.Pow(10, onsetUnderDB/10) {
			return i
		}
	}
	return 0
}

func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(max(1, len(x)))
}

// Listen measures one note, x running from its onset to its end, that sounds near a
// pitch; noise is the mean square of what sounds without it. False: it has no series
// of partials there.
//
// The octave is the caller's: a series taken an octave too high fits as well, with a B
// four times as large.
func Listen(x []float64, rateHz, nearHz, noise float64) (Note, bool) {
	return newWorker(rateHz).listen(x, nearHz, noise)
}

// Pitch is the coarse pitch of a note, x running from its onset; false where it has none.
func Pitch(x []float64, rateHz float64) (float64, bool) { return newWorker(rateHz).pitchOf(x) }

func (w *worker) at(s float64) int { return int(s * w.rateHz) }

// pitchOf is the coarse pitch from 45 ms on, or a little later where the pluck hides it.
func (w *worker) pitchOf(x []float64) (float64, bool) {
	for _, from := range []float64{coarseFromS, 2 * coarseFromS, 4 * coarseFromS} {
		if i := w.at(from); i < len(x) {
			if hz, ok := w.coarsePitch(x[i:]); ok {
				return hz, true
			}
		}
	}
	return 0, false
}

func (w *worker) listen(x []float64, nearHz, noise float64) (Note, bool) {
	from, end := w.at(seriesFromS), len(x)-w.at(beforeNextS)
	length := min(w.at(math.Max(seriesS, seriesPeriods/nearHz)), end-from)
	if length < w.at(0.1) || !(nearHz > 0) {
		return Note{}, false
	}
	s := w.spectrumOf(x[from:from+length], nearHz, mostHz)
	g := seriesIn(s, nearHz)
	if g == nil {
		return Note{}, false
	}
	var n Note
	hz, u, at, ok := w.told(x[:end], g)
	if !ok {
		return Note{}, false
	}
	n.Hz, n.UCents, n.HzAtS = hz*math.Sqrt(1+g.b), u, at
	if at[0] > seriesFromS+seriesS/4 {
		n.GlideCents = num.Some(1200 * math.Log2(g.f0/hz))
	}
	if n.Inharmonicity = g.inharmonicity(); n.Inharmonicity.Known() {
		n.UB = num.Some(g.b * g.uB)
	}
	for _, c := range g.cents {
		if math.Abs(c) <= within {
			n.Partials++
		}
	}
	n.Decays = w.decays(x[:end], g)
	w.ring(&n, x, noise)
	return n, true
}

// told is the pitch f0 of the first partials a quarter of a second on, the law's B held:
// their robust mean, in Hz, its uncertainty in cents, and when. Where the next note
// comes early, it is taken earlier.
func (w *worker) told(x []float64, g *series) (f0, u float64, at [2]float64, ok bool) {
	at = [2]float64{toldFromS, math.Min(toldToS, float64(len(x))/w.rateHz)}
	if at[1]-at[0] < toldLeastS {
		at[0] = seriesFromS
	}
	if at[1]-at[0] < 0.1 {
		return 0, 0, at, false
	}
	s := w.spectrumOf(x[w.at(at[0]):w.at(at[1])], g.f0, math.Min(mostHz, (toldNote+2)*g.f0))
	var cents, weights []float64
	for n := 1; n <= toldNote; n++ {
		f := g.at(n)
		if f > s.topHz {
			break
		}
		if hz, found := s.peak(f, s.reachHz(f)); found {
			cents = append(cents, 1200*math.Log2(hz/f))
			weights = append(weights, float64(min(n, mostWeight)))
		}
	}
	if len(cents) == 0 {
		return 0, 0, at, false
	}
	mean, u := robustMean(cents, weights)
	return g.f0 * math.Exp2(mean/1200), u, at, true
}

// robustMean is the weighted mean with Huber's weights, and its standard uncertainty.
func robustMean(v, w []float64) (mean, u float64) {
	mean = num.Median(v)
	size := make([]float64, len(v))
	for range fitRounds {
		for i := range v {
			size[i] = math.Abs(v[i] - mean)
		}
		sigma := math.Max(leastCentDoubt, 1.4826*num.Median(size))
		var sum, all, squares float64
		for i := range v {
			k := w[i] * math.Min(1, huberSigma*sigma/math.Max(size[i], 1e-12))
			sum, all, squares = sum+k*v[i], all+k, squares+k*k
		}
		mean, u = sum/all, sigma*math.Sqrt(squares)/all
	}
	return mean, u
}

// ring finds how long the whole note takes to fall.
func (w *worker) ring(n *Note, x []float64, noise float64) {
	from, block := w.at(ringFromS), w.at(ringBlockS)
	if from+block > len(x) {
		return
	}
	first := power(x[from : from+block])
	quiet := first > noise*math.Pow(10, ringNeedsDB/10)
	for k := 1; from+(k+1)*block <= len(x); k++ {
		fall := 10 * math.Log10(first/math.Max(power(x[from+k*block:from+(k+1)*block]), 1e-30))
		t := float64(k) * ringBlockS
		if fall >= ringNoisyDB && !n.TenDBS.Known() {
			n.TenDBS = num.Some(t)
		}
		if fall >= ringFallDB && quiet {
			if ten := n.TenDBS.Or(t); t-ten >= dampedShare*ten {
				n.RingS = num.Some(t)
			}
			return
		}
		n.RingLeastS = t
	}
}
