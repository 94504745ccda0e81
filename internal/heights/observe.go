package heights

import (
	"math"

	"ringtrue/internal/reading"
)

// bound says which way a one-sided reading holds.
type bound int

const (
	exact   bound = iota
	atMost        // the quantity is at most the value
	atLeast       // the quantity is at least the value
)

// observation is a reading as an equation: Σ weight·crown + set-up = value ± u.
type observation struct {
	reading int // place in Input.Readings; a probe's top names its first touch
	method  reading.Method
	lane    float64
	frets   []int
	weights []float64
	pass    passKey // zero where the reading has no set-up of its own
	sign    float64 // of the set-up's shape: +1, −1 turned end for end
	value   float64
	u       float64
	bound   bound
	agreed  bool // a probe's top on which its touches agree
}

// passKey names a set-up of a gauge: an offset and a tilt in one lane.
type passKey struct {
	method reading.Method
	lane   float64
	pass   string
	turned bool
	part   int // of a pass in which the gauge was knocked: 1 after it
}

// rootTwelve turns the width of an even distribution into its standard
// deviation (JCGM 100:2008, 4.3.7).
const rootTwelve = 3.4641016151377544

// observations turns the readings of crowns into equations. Readings that are
// no crown heights (arch, sticks, height) are left for others.
func observations(in Input) ([]observation, []Undetermined, []Misread) {
	out := make([]observation, 0, len(in.Readings))
	weights := make([]float64, 0, 3*len(in.Readings))
	var x []float64
	for i, r := range in.Readings {
		s := r.Method.Spec()
		if s.Rank == 0 || s.SetUp == reading.Frame {
			continue
		}
		o := observation{reading: i, method: r.Method, lane: r.Lane, frets: r.Frets, value: r.Value, u: r.U, sign: 1}
		if s.SetUp == reading.OffsetTilt {
			o.pass = passKey{method: r.Method, lane: r.Lane, pass: r.Pass, turned: r.Turned}
			if r.Turned {
				o.sign = -1
			}
		}
		if s.Gap {
			o.value, o.u = gap(r)
		}
		if s.Rocks {
			o.rocker(r)
		}
		x = x[:0]
		for _, f := range r.Frets {
			x = append(x, in.Layout.LaneX(f, r.Lane))
		}
		at := len(weights)
		weights = appendWeights(weights, r.Method, x)
		o.weights = weights[at:len(weights):len(weights)]
		out = append(out, o)
	}
	probed, few, bad := probeTops(in)
	return append(out, probed...), few, bad
}

// Weights is the equation of a gauge that reads crowns of one lane against each
// other: its reading is the sum of weight times height of the crowns that it
// names, at x in mm, beside the set-up. Nil of other gauges.
func Weights(m reading.Method, x ...float64) []float64 { return appendWeights(nil, m, x) }

func appendWeights(to []float64, m reading.Method, x []float64) []float64 {
	l := 0.0 // of the first crown in the line from the first to the third, at the second
	if len(x) == 3 {
		l = (x[2] - x[1]) / (x[2] - x[0])
	}
	switch m {
	case reading.Beam, reading.Probe:
		return append(to, 1)
	case reading.Edge: // a gap is the edge less the crown
		return append(to, -1)
	case reading.Bridge:
		return append(to, -l, 1, l-1)
	case reading.Rocker: // gap over the third: (1−λ)·gap is the bridge's reading
		return append(to, -l/(1-l), 1/(1-l), -1)
	}
	return to
}

// gap is the value and the uncertainty of a feeler gap: the leaf that entered,
// or the middle of the step up to the leaf that did not.
func gap(r reading.Reading) (value, u float64) {
	if r.NoGo == nil {
		return r.Value, r.U
	}
	step := *r.NoGo - r.Value
	u = step / rootTwelve
	if r.UGiven {
		u = math.Hypot(u, r.U)
	}
	return r.Value + step/2, u
}

// rocker sets what a rocker's answer says of the gap over the third crown. A
// gap of 0 tells only that the third stands at least that high.
func (o *observation) rocker(r reading.Reading) {
	switch {
	case r.Answer == reading.Rocks:
		o.value, o.u, o.bound = 0, r.U, atLeast
	case r.Answer == reading.Still:
		o.value, o.u, o.bound = 0, r.U, atMost
	case r.Value == 0:
		o.bound = atMost
	}
}

// reportedAt is the fret an observation is reported under.
func (o observation) reportedAt() int { return o.frets[o.method.Spec().Told] }

// topDoubt is the share of the usual chance of a misread that a probe's top has:
// touches that agree on it are not one reading but several.
func (o observation) topDoubt() float64 {
	if o.agreed {
		return agreedTop
	}
	return 1
}
