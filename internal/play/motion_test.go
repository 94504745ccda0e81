package play

import (
	"context"
	"math"
	"testing"

	"ringtrue/internal/stringset"
)

// TestMotion_Issanchou2018 goes through the contact run of twenty frets again by
// the forces that SimulateForces tells, and meets the plain run in every mode at
// its last step. The string is that of K8.
func TestMotion_Issanchou2018(t *testing.T) {
	s := Span{LengthMM: 863, TensionN: 191.6, MassGPerM: 6.7, Decay: stringset.Law{Base: 0.5, Square: 5e-8}}
	s.StiffnessNMM2 = 3.5e-5 * s.TensionN * s.LengthMM * s.LengthMM / (math.Pi * math.Pi)
	m, err := NewModes(s)
	if err != nil {
		t.Fatal(err)
	}
	x, floor := []float64{48, 94, 137, 216, 350, 432, 501}, []float64{-0.63, -0.88, -1.13, -1.58, -2.13, -2.33, -2.33}
	barrier := NewBarrier(m, x)
	start := m.Triangle(637)
	for n := range start {
		start[n] *= 3.573
	}
	const steps = 9600
	forces, met, err := barrier.SimulateForces(context.Background(), start, floor, steps)
	if err != nil || !met.Touched() {
		t.Fatalf("%v, touched %v", err, met != nil && met.Touched())
	}
	sum := 0.0
	for _, f := range forces {
		sum += f.N * m.StepS
	}
	if math.Abs(sum/met.ImpulseNS-1) > 1e-12 {
		t.Errorf("the forces told add up to %g N s, the run met %g", sum, met.ImpulseNS)
	}
	var end []float64
	if err := barrier.Replay(context.Background(), start, forces, steps, func(step int, now, _ []float64, _ []Force) {
		if step == steps {
			end = append(end, now...)
		}
	}); err != nil {
		t.Fatal(err)
	}
	var last []float64
	if _, err := barrier.SimulateStepwise(context.Background(), start, floor, steps, func(step int, q, _, _ []float64) {
		if step == steps {
			last = append(last, q...)
		}
	}); err != nil {
		t.Fatal(err)
	}
	for n := range last {
		if math.Abs(last[n]-end[n]) > 1e-6 {
			t.Fatalf("mode %d ends at %g mm, the run's at %g", n+1, end[n], last[n])
		}
	}
}
