package heights

import (
	"math"
	"slices"
	"testing"

	"ringtrue/internal/reading"
)

// sampleOf is a reading of a method at frets 5 on of lane 1; of a probe, three
// touches across a crown.
func sampleOf(s *simulated, m reading.Method) []reading.Reading {
	r := reading.Reading{Method: m, Lane: 1, Frets: []int{5, 6, 7}[:m.Spec().Frets], Value: 0.1, U: 0.005, Span: 40}
	if m != reading.Probe {
		return []reading.Reading{r}
	}
	at := s.layout.At(5, 1)
	r.Lane, r.Frets = 0, nil
	var touches []reading.Reading
	for k := -1.0; k <= 1; k++ {
		r.X, r.Y, r.Z = at.X+0.3*k, at.Y, 1-0.03*k*k
		touches = append(touches, r)
	}
	return touches
}

// Every method of reading.OfCrowns has an equation, and no other: a method
// without one would be passed over in silence. What has no set-up of its own
// does not see a straight line added to its lane, or the free datum is wrong.
func TestObservations_EveryMethod(t *testing.T) {
	s := newSimulated(t, 1, 22, 6)
	ofCrowns := 0
	for _, m := range reading.Methods() {
		obs, few, bad := observations(Input{Layout: s.layout, Readings: sampleOf(s, m)})
		if len(few)+len(bad) > 0 {
			t.Errorf("%s: %v %v", m, few, bad)
		}
		if !slices.Contains(reading.OfCrowns(), m) {
			if len(obs) != 0 {
				t.Errorf("%s has an equation and is not in reading.OfCrowns", m)
			}
			continue
		}
		ofCrowns++
		if len(obs) != 1 {
			t.Errorf("%s has %d equations of one reading, want one: see observations", m, len(obs))
			continue
		}
		o := obs[0]
		if len(o.weights) != len(o.frets) || o.u <= 0 || o.method != m || !slices.Contains(o.frets, o.reportedAt()) {
			t.Errorf("%s: %+v, told of fret %d", m, o, o.reportedAt())
		}
		if o.pass != (passKey{}) {
			continue
		}
		sum, moment := 0.0, 0.0
		for k, f := range o.frets {
			sum += o.weights[k]
			moment += o.weights[k] * s.layout.LaneX(f, o.lane)
		}
		if math.Abs(sum) > 1e-12 || math.Abs(moment) > 1e-9 {
			t.Errorf("%s sees a line added to its lane: weights %v sum to %g, times x to %g", m, o.weights, sum, moment)
		}
	}
	if ofCrowns != len(reading.OfCrowns()) {
		t.Errorf("reading.OfCrowns lists %v, of which %d are methods", reading.OfCrowns(), ofCrowns)
	}
}

// Every gauge that reads a whole lane does so by itself: no crown stays open, and
// the errors are as large as their uncertainties say.
func TestFrom_EveryGaugeAlongALane(t *testing.T) {
	for _, m := range reading.AlongLane() {
		spec := m.Spec()
		if spec.SetUp == reading.Frame {
			continue // a top takes three touches: TestFrom_Probe has them
		}
		var sum float64
		n := 0
		for seed := range uint64(6) {
			s := newSimulated(t, 100+seed, 14, 2)
			s.press()
			for _, lane := range s.lanes {
				s.read(spec, lane)
			}
			e := s.estimate(t)
			if len(e.Undetermined)+len(e.Misreads) > 0 {
				t.Errorf("%s, neck %d: %v undetermined, %v misread", m, seed, e.Undetermined, e.Misreads)
			}
			diff, u := s.errors(e)
			for i := range diff {
				sum += diff[i] * diff[i] / (u[i] * u[i])
				n++
			}
		}
		if sd := math.Sqrt(sum / float64(n)); n != 6*2*14 || sd < 0.7 || sd > 1.3 {
			t.Errorf("%s: %d errors over their uncertainty have a standard deviation of %.2f, want about 1", m, n, sd)
		}
	}
}

// A pass whose readings each take several crowns may leave more than a line
// open. Steps from each crown to the next with an offset and a tilt unknown are
// such: on an equal-tempered neck alone they fix nothing, beside a beam all.
func TestSortLanes_PassOfSteps(t *testing.T) {
	s := newSimulated(t, 1, 8, 1)
	var steps, beam []observation
	for f := 1; f <= 8; f++ {
		beam = append(beam, observation{lane: 1, frets: []int{f}, weights: []float64{1}, pass: passKey{method: reading.Beam, lane: 1}, u: 1})
		if f < 8 {
			steps = append(steps, observation{lane: 1, frets: []int{f, f + 1}, weights: []float64{-1, 1}, pass: passKey{method: "step", lane: 1}, u: 1})
		}
	}
	for _, c := range []struct {
		name string
		obs  []observation
		want int
	}{
		{"steps alone", steps, 0},
		{"steps twice over", slices.Concat(steps, steps), 0},
		{"beside a beam", slices.Concat(steps, beam), 8},
		{"beside a beam on three crowns", slices.Concat(steps, beam[2:5]), 8},
	} {
		ok, _ := sortLanes(collect(Input{Layout: s.layout}, c.obs), c.obs)
		known := 0
		for _, k := range ok {
			if k {
				known++
			}
		}
		if len(ok) != 8 || known != c.want {
			t.Errorf("%s: %d of %d crowns determined, want %d of 8", c.name, known, len(ok), c.want)
		}
	}
}
