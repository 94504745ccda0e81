package plausible

import (
	"math"
	"slices"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// taken is one reading as it is compared with others: its height above the
// shape, in mm, upwards positive where the gauge reads crowns along a line.
type taken struct {
	index   int // among the readings
	r       reading.Reading
	spec    reading.Spec
	of      *series
	segment int // of its pass: the gauge was moved between two
	x, h    float64
	base    float64 // what the gauge would read where h is 0
	sign    float64 // of h in what it reads: −1 for an edge's gap

	aside  bool     // it is the odd one
	stands bool     // taken twice alike, or kept by the maker: not asked of again
	off    bool     // it is odd, and stands
	moved  bool     // the first after the gauge was moved
	either []*taken // or one of these is, instead
}

// reads is what the gauge would show at t's place for a height h.
func (t *taken) reads(h float64) float64 {
	v := t.sign*h + t.base
	if t.spec.Gap {
		v = max(v, 0) // no gap is less
	}
	return v
}

// fret is the fret that the reading is reported under.
func (t *taken) fret() int { return t.r.Frets[t.spec.Told] }

// series is what one set-up of a gauge read: readings that one line runs
// through, or that scatter about one height.
type series struct {
	key     key
	all     []*taken // in order of taking
	segment int
	open    []*taken // one of these is odd; which is not known yet
	asked   *taken   // which of them the maker was asked of
}

// key names a set-up.
type key struct {
	method reading.Method
	lane   float64 // 0 where the set-up serves all lanes
	pass   string
	turned bool
}

// hasLine reports whether a pass of a method has an offset and a tilt of its
// own in each lane.
func hasLine(m reading.Method) bool { return m.Spec().SetUp == reading.OffsetTilt }

func keyOf(r reading.Reading) (k key, ok bool) {
	switch s := r.Method.Spec(); {
	case s.SetUp == reading.OffsetTilt:
		return key{r.Method, r.Lane, r.Pass, r.Turned}, true
	case s.SetUp == reading.Frame || s.Across:
		return key{}, false
	}
	return key{method: r.Method, pass: r.Pass}, r.Answer == reading.Number // rocks and still are no sizes
}

// place fills in where a reading lies and its height above the shape.
func (w *Watch) place(t *taken) {
	r := t.r
	lo, hi := r.Ends()
	t.spec, t.sign = r.Method.Spec(), 1
	shape, x := w.layout.Shape(r.Lane, r.Frets), make([]float64, len(r.Frets))
	for i, f := range r.Frets {
		x[i] = w.layout.LaneX(f, r.Lane)
	}
	for i, weight := range heights.Weights(r.Method, x...) {
		t.base += weight * shape[i]
		if hasLine(r.Method) {
			t.sign = weight
		}
	}
	t.x = x[0]
	t.h = ((lo+hi)/2 - t.base) * t.sign
}

// same reports whether both were read at one place of one lane.
func same(a, b *taken) bool { return a.r.Lane == b.r.Lane && sameFrets(a, b) }

func sameFrets(a, b *taken) bool { return slices.Equal(a.r.Frets, b.r.Frets) }

// agreeMM is how far two tries at one crown may differ and still agree, in mm.
const agreeMM = 0.03

// Agree reports whether two tries at one place with one set-up of a gauge say
// the same: within 0.03 mm, or three standard uncertainties of their difference
// where that is more.
func Agree(a, b reading.Reading) bool {
	lo, hi := a.Ends()
	lo2, hi2 := b.Ends()
	apart, leaves := math.Abs((lo+hi)-(lo2+hi2))/2, ((hi-lo)+(hi2-lo2))/2
	return a.Answer == b.Answer && apart <= max(agreeMM, leaves, 3*math.Hypot(a.U, b.U))
}

// active are the series' readings of a segment that count, without one of them.
func (s *series) active(segment int, without *taken) []*taken {
	var out []*taken
	for _, t := range s.all {
		if !t.aside && t.segment == segment && t != without {
			out = append(out, t)
		}
	}
	return out
}

// before is the reading taken just before t in its set-up, nil for none.
func (s *series) before(t *taken) *taken {
	if i := slices.Index(s.all, t); i > 0 {
		return s.all[i-1]
	}
	return nil
}
