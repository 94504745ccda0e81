package play

import (
	"fmt"
	"math"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// neck24Seconds is how long each note of the timed neck is followed.
const neck24Seconds = 0.25

// neckNote is one note of the timed neck, ready to be followed.
type neckNote struct {
	string, fret int
	barrier      *Barrier
	start, floor []float64
	steps        int
}

// neck24 lays out the 144 notes of testdata/contact/neck24.toml under a touch:
// perfect crowns, released from the triangle taken away from the board.
func neck24(t testing.TB, touch string) []neckNote {
	t.Helper()
	const file = "../../testdata/contact/neck24.toml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	model, err := neck.Parse(file, text)
	if err != nil {
		t.Fatal(err)
	}
	layout, err := geometry.New(model)
	if err != nil {
		t.Fatal(err)
	}
	var notes []neckNote
	for _, tc := range model.Setup.Touch {
		if tc.Name != touch {
			continue
		}
		for i, own := range model.Strings.Set {
			notes = append(notes, stringNotes(t, model, layout, i, own, tc)...)
		}
	}
	if len(notes) != 144 {
		t.Fatalf("%d notes under the touch %q, want 144", len(notes), touch)
	}
	return notes
}

func stringNotes(t testing.TB, m neck.Model, l *geometry.Layout, i int, own neck.String, touch neck.Touch) []neckNote {
	lane := float64(i + 1)
	s, err := stringset.Tune(own, l.LaneScale(lane), stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	under := Lane{String: i + 1, ScaleMM: l.LaneScale(lane)}
	for f := 1; f <= l.LastFret(); f++ {
		under.Crowns = append(under.Crowns, Crown{Fret: f, XMM: l.LaneX(f, lane), ZMM: m.Setup.Relief * l.Bow(f, m.Setup.ReliefTo, lane)})
	}
	setup := Setup{NutMM: m.Setup.Nut[i], ActionMM: m.Setup.Action[i], ActionFret: 12}
	rest, err := under.Rest(setup)
	if err != nil {
		t.Fatal(err)
	}
	var notes []neckNote
	for _, stop := range under.Stops(setup, rest)[:l.LastFret()] {
		n := neckNote{string: i + 1, fret: stop.Fret}
		var x []float64
		for _, c := range under.Crowns[stop.Beyond:] {
			x, n.floor = append(x, c.XMM-stop.XMM), append(n.floor, -stop.Gap(c, rest))
		}
		modes, err := NewModes(Span{LengthMM: stop.LengthMM, TensionN: s.TensionN, MassGPerM: s.MassGPerM, StiffnessNMM2: s.StiffnessNMM2,
			Decay: stringset.Law{Base: m.Strings.Damping.Base, Square: m.Strings.Damping.Square}})
		if err != nil {
			t.Fatal(err)
		}
		pluck, err := PluckOf(touch, s.TensionN, stop.LengthMM)
		if err != nil {
			t.Fatal(err)
		}
		n.barrier, n.start = NewBarrier(modes, x), released(modes, pluck.AtMM, pluck.HeightMM)
		n.steps = int(math.Round(neck24Seconds / modes.StepS))
		notes = append(notes, n)
	}
	return notes
}

// The size of the work that the times stand for.
func TestNeck24_Size(t *testing.T) {
	steps, flop, products := 0, 0.0, 0.0
	least, most := math.MaxInt, 0
	for _, n := range neck24(t, "firm") {
		m, p := len(n.start), len(n.floor)
		least, most = min(least, m), max(most, m)
		steps += n.steps
		products += float64(m * p)
		flop += float64(n.steps) * float64(4*m+2*m*p)
	}
	t.Logf("%d steps, M %d to %d, mean M·P %.0f, %.2f Gflop", steps, least, most, products/144, flop*1e-9)
	if steps != 144*24000 || math.Abs(products/144-1358) > 30 {
		t.Errorf("%d steps, mean M·P %.0f", steps, products/144)
	}
}

// Every note of the timed neck, meets what the stepwise run
// meets: the same crowns, first in the same step, with the same impulse.
func TestNeck24_FollowsStepwise(t *testing.T) {
	for _, touch := range []string{"light", "firm", "hard"} {
		t.Run(touch, func(t *testing.T) {
			t.Parallel()
			touched := 0
			for i, n := range neck24(t, touch) {
				steps := 4000
				if touch == "firm" && i%6 == 0 {
					steps = n.steps
				}
				if testing.Short() {
					if i%6 != 0 {
						continue
					}
					steps = 2000
				}
				want := n.barrier.stepwise(n.start, n.floor, steps)
				if want.Touched() {
					touched++
				}
				followsAs(t, fmt.Sprintf("string %d fret %d", n.string, n.fret), n.barrier, n.start, n.floor, steps, want)
			}
			if touched == 0 {
				t.Error("nothing was touched")
			}
		})
	}
}

// BenchmarkNeck24 times all 144 notes of 0.25 s on one and on two cores.
func BenchmarkNeck24(b *testing.B) {
	for _, touch := range []string{"light", "firm", "hard"} {
		notes := neck24(b, touch)
		b.Run(touch+"/stepwise/cores=1", func(b *testing.B) {
			all24(b, notes, 1, func(n *neckNote) (*Met, error) { return n.barrier.stepwise(n.start, n.floor, n.steps), nil })
		})
		for _, cores := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/bounded/cores=%d", touch, cores), func(b *testing.B) {
				all24(b, notes, cores, func(n *neckNote) (*Met, error) {
					return n.barrier.Simulate(b.Context(), n.start, n.floor, n.steps)
				})
			})
		}
	}
}

// all24 follows every note, shared out over some workers.
func all24(b *testing.B, notes []neckNote, workers int, how func(*neckNote) (*Met, error)) {
	var touched atomic.Int64
	for b.Loop() {
		touched.Store(0)
		var next atomic.Int64
		var wait sync.WaitGroup
		for range workers {
			wait.Go(func() {
				for i := int(next.Add(1)) - 1; i < len(notes); i = int(next.Add(1)) - 1 {
					met, err := how(&notes[i])
					if err != nil {
						b.Error(err)
						return
					}
					if met.Touched() {
						touched.Add(1)
					}
				}
			})
		}
		wait.Wait()
	}
	b.ReportMetric(float64(touched.Load()), "notes-touched")
}
