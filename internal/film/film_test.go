package film

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// scene is a string of 480 mm (a G3 of 0.43 mm on a scale of 640 mm stopped at
// fret 5) over five crowns, released from a triangle.
func scene(t testing.TB, heightMM float64) Scene {
	t.Helper()
	span := play.Span{LengthMM: 479.5, TensionN: 72, MassGPerM: 1.15, StiffnessNMM2: 180, Decay: stringset.Law{Base: 0.5, Square: 5e-8}}
	m, err := play.NewModes(span)
	if err != nil {
		t.Fatal(err)
	}
	s := Scene{PluckMM: 369.5, WatchedS: 0.1}
	for i := range 5 {
		s.Frets = append(s.Frets, 6+i)
		s.XMM = append(s.XMM, 27.0+25*float64(i))
		s.FloorMM = append(s.FloorMM, -0.12-0.09*float64(i))
	}
	s.Barrier = play.NewBarrier(m, s.XMM)
	s.StartMM = m.Triangle(s.PluckMM)
	for n := range s.StartMM {
		s.StartMM[n] *= heightMM
	}
	return s
}

func record(t testing.TB, s Scene) *Recording {
	t.Helper()
	recording, err := Record(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return recording
}

// Every shape is where the plain stepwise run has the string, at every place,
// and it lies on the same crowns with the same force.
func TestRecord_EqualsThePlainRun(t *testing.T) {
	for _, height := range []float64{0.9, -0.4, 0.05} {
		s := scene(t, height)
		recording := record(t, s)
		moments := map[int][]Moment{}
		end := 0
		for _, m := range append(append([]Moment(nil), recording.Film...), recording.Strip...) {
			moments[m.step] = append(moments[m.step], m)
			end = max(end, m.step)
		}
		seen := 0
		compare := func(step int, q, force []float64) {
			for _, m := range moments[step] {
				seen++
				if m.TimeMS != 1e3*(float64(step)*s.Barrier.StepS) || len(m.HeightMM) != len(recording.PlaceMM) {
					t.Fatalf("step %d: %g ms, %d places of %d", step, m.TimeMS, len(m.HeightMM), len(recording.PlaceMM))
				}
				for j, x := range recording.PlaceMM {
					want := 0.0
					for n, v := range q {
						want += v * math.Sin(float64(n+1)*math.Pi*x/s.Barrier.Span.LengthMM)
					}
					if math.Abs(m.HeightMM[j]-want) > 1e-7 {
						t.Fatalf("height %g, step %d at %g mm: %g, the plain run has %g", height, step, x, m.HeightMM[j], want)
					}
				}
				var on []int
				for j, f := range force {
					if f > 1e-9 {
						on = append(on, j)
					}
				}
				var got []int
				for _, touch := range m.On {
					got = append(got, touch.crown)
					if math.Abs(touch.ForceN-force[touch.crown]) > 1e-6*math.Max(1, touch.ForceN) {
						t.Errorf("step %d: %g N, the plain run has %g N", step, touch.ForceN, force[touch.crown])
					}
				}
				slices.Sort(got)
				if !slices.Equal(got, on) {
					t.Errorf("height %g, step %d: on %v, the plain run on %v", height, step, got, on)
				}
			}
		}
		compare(0, s.StartMM, nil)
		if _, err := s.Barrier.SimulateStepwise(context.Background(), s.StartMM, s.FloorMM, end, func(step int, q, _, force []float64) { compare(step, q, force) }); err != nil {
			t.Fatal(err)
		}
		if seen != len(recording.Film)+len(recording.Strip) || len(recording.Film) < 100 {
			t.Errorf("compared %d of %d moments", seen, len(recording.Film)+len(recording.Strip))
		}
	}
}

// The string never lies below a crown, and where it is on one it is at its
// height.
func TestRecord_NeverUnderACrown(t *testing.T) {
	s := scene(t, 0.9)
	recording := record(t, s)
	on := 0
	for _, m := range append(append([]Moment(nil), recording.Film...), recording.Strip...) {
		for j, x := range s.XMM {
			k := slices.Index(recording.PlaceMM, x)
			if k < 0 {
				t.Fatalf("crown %d is none of the places", j)
			}
			if m.HeightMM[k] < s.FloorMM[j]-1e-9 {
				t.Errorf("%g ms: %g mm under crown %d", m.TimeMS, s.FloorMM[j]-m.HeightMM[k], j)
			}
			for _, touch := range m.On {
				if touch.crown == j {
					on++
					if math.Abs(m.HeightMM[k]-s.FloorMM[j]) > 1e-9 {
						t.Errorf("%g ms: on crown %d but %g mm over it", m.TimeMS, j, m.HeightMM[k]-s.FloorMM[j])
					}
				}
			}
		}
	}
	if on == 0 {
		t.Error("no moment shows the string on a crown")
	}
}

// The contacts hold the whole impulse of the run, in order, and the strip begins
// with the release and shows the first.
func TestRecord_Contacts(t *testing.T) {
	s := scene(t, 0.9)
	recording := record(t, s)
	met, err := s.Barrier.SimulateStepwise(context.Background(), s.StartMM, s.FloorMM, int(math.Round(s.WatchedS/s.Barrier.StepS)), nil)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i, c := range recording.Contacts {
		sum += c.ImpulseMNS / 1e3
		if c.Number != i+1 || c.Fret != s.Frets[c.crown] || c.to < c.from || i > 0 && c.from < recording.Contacts[i-1].from {
			t.Errorf("contact %d: %+v", i+1, c)
		}
	}
	if len(recording.Contacts) == 0 || math.Abs(sum-met.ImpulseNS) > 1e-6*met.ImpulseNS {
		t.Fatalf("%d contacts, impulse %g of %g", len(recording.Contacts), sum, met.ImpulseNS)
	}
	first := recording.Contacts[0]
	if recording.Strip[0].step != 0 || recording.Strip[0].Reason.Kind != Release {
		t.Errorf("the strip begins with %+v", recording.Strip[0])
	}
	found := false
	for i, m := range recording.Strip {
		if m.step == first.from {
			found = len(m.On) > 0 && m.On[0].crown == first.crown
		}
		if i > 0 && m.step <= recording.Strip[i-1].step || m.Reason.Kind == Evenly {
			t.Errorf("moment %d: step %d, %+v", i, m.step, m.Reason)
		}
	}
	if !found {
		t.Error("the strip does not show the first contact")
	}
}

// Without contact the strip looks at the crown that the string comes nearest to.
func TestRecord_NoContact(t *testing.T) {
	recording := record(t, scene(t, 0.05))
	if len(recording.Contacts) != 0 || len(recording.Strip) < 6 {
		t.Fatalf("%d contacts, %d moments", len(recording.Contacts), len(recording.Strip))
	}
	for _, m := range append(append([]Moment(nil), recording.Film...), recording.Strip...) {
		if len(m.On) > 0 {
			t.Errorf("%g ms: on %v", m.TimeMS, m.On)
		}
	}
	// Nothing beyond the stop at all.
	s := scene(t, 0.5)
	s.Barrier = play.NewBarrier(s.Barrier.Modes, nil)
	s.Frets, s.XMM, s.FloorMM = nil, nil, nil
	if recording := record(t, s); len(recording.Strip) < 4 || len(recording.Film) < 100 {
		t.Errorf("over no crown: %d moments, %d of film", len(recording.Strip), len(recording.Film))
	}
}

func TestRecord_CalledOff(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Record(ctx, scene(t, 0.9)); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
}
