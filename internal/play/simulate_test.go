package play

import (
	"context"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/stringset"
)

// sameMet compares a quick run with the plain one.
func sameMet(t interface{ Errorf(string, ...any) }, what string, got, want *Met) {
	if math.Abs(got.ImpulseNS-want.ImpulseNS) > 1e-8*want.ImpulseNS || math.Abs(got.FirstPeriodNS-want.FirstPeriodNS) > 1e-8*want.ImpulseNS {
		t.Errorf("%s: impulse %.12g and %.12g N s, plain run %.12g and %.12g", what, got.ImpulseNS, got.FirstPeriodNS, want.ImpulseNS, want.FirstPeriodNS)
	}
	for j, w := range want.Strikes {
		g := got.Strikes[j]
		if g.Contacts != w.Contacts || g.First != w.First || g.Last != w.Last || math.Abs(g.ImpulseNS-w.ImpulseNS) > 3e-8*want.ImpulseNS {
			t.Errorf("%s: crown %d met %+v, plain run %+v", what, j, g, w)
		}
	}
}

// followsAs follows a string and compares with the plain run.
func followsAs(t interface {
	Helper()
	Fatal(...any)
	Errorf(string, ...any)
}, what string, b *Barrier, start, floor []float64, steps int, want *Met) {
	t.Helper()
	got, err := b.Simulate(context.Background(), start, floor, steps)
	if err != nil {
		t.Fatal(err)
	}
	sameMet(t, what, got, want)
}

// guitarSpan is a string of a 648 mm neck stopped at a fret, and the distances
// of the crowns beyond.
func guitarSpan(t interface{ Fatal(...any) }, tension, mass, ei float64, stop int) (Span, []float64) {
	at := func(n int) float64 { return 648 * (1 - math.Exp2(-float64(n)/12)) }
	s := Span{LengthMM: 648 - at(stop), TensionN: tension, MassGPerM: mass, StiffnessNMM2: ei,
		Decay: stringset.Law{Base: 0.5, Square: 5e-8}}
	var x []float64
	for n := stop + 1; n <= 22; n++ {
		x = append(x, at(n)-at(stop))
	}
	return s, x
}

func TestSimulate_SameAsPlainRun(t *testing.T) {
	casetest.OneByOne(t)
	touched, clear := 0, 0
	for _, str := range [][3]float64{{72.5, 0.398, 40.9}, {77, 1.14, 342}, {87.6, 7.68, 268}} {
		for _, stop := range []int{0, 1, 5, 12, 20} {
			span, x := guitarSpan(t, str[0], str[1], str[2], stop)
			m, err := NewModes(span)
			if err != nil {
				t.Fatal(err)
			}
			b := NewBarrier(m, x)
			for _, force := range []float64{0.2, 0.4, 0.8, -0.4} {
				x0 := span.LengthMM - 110
				h := force * x0 * 110 / (span.TensionN * span.LengthMM)
				floor := make([]float64, len(x))
				for j := range x {
					floor[j] = -(0.15 + 0.0045*x[j])
				}
				steps := int(0.1 / m.StepS)
				want, err := b.SimulateStepwise(t.Context(), released(m, x0, h), floor, steps, nil)
				if err != nil {
					t.Fatal(err)
				}
				if want.Touched() {
					touched++
				} else {
					clear++
				}
				followsAs(t, fmt.Sprintf("%g g/m, fret %d, %g N", str[1], stop, force), b, released(m, x0, h), floor, steps, want)
			}
		}
	}
	if touched < 10 || clear < 10 {
		t.Errorf("%d runs touched and %d did not: too few of either", touched, clear)
	}
}

func TestSimulate_SameAsPlainRunAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stop := rapid.IntRange(0, 20).Draw(t, "stop")
		span, x := guitarSpan(t, rapid.Float64Range(30, 120).Draw(t, "tension"), rapid.Float64Range(0.3, 9).Draw(t, "mass"),
			rapid.Float64Range(0, 500).Draw(t, "stiffness"), stop)
		span.Decay = stringset.Law{Base: rapid.Float64Range(0, 20).Draw(t, "base"), Square: rapid.Float64Range(0, 1e-5).Draw(t, "square")}
		m, err := NewModes(span)
		if err != nil {
			t.Fatal(err)
		}
		b := NewBarrier(m, x)
		x0 := span.LengthMM * rapid.Float64Range(0.05, 0.95).Draw(t, "x0")
		start := released(m, x0, rapid.SampledFrom([]float64{-1, 1}).Draw(t, "way"))
		floor := make([]float64, len(x))
		for j := range x {
			floor[j] = -rapid.Float64Range(0.05, 1.5).Draw(t, "gap")
		}
		const steps = 1500
		want, err := b.SimulateStepwise(t.Context(), start, floor, steps, nil)
		if err != nil {
			t.Fatal(err)
		}
		followsAs(t, "random", b, start, floor, steps, want)
	})
}

// The reach by jumps against the reach step by step.
func TestReach_SameAsStepwise(t *testing.T) {
	for _, stop := range []int{0, 7, 19} {
		span, x := guitarSpan(t, 77, 1.14, 342, stop)
		m, err := NewModes(span)
		if err != nil {
			t.Fatal(err)
		}
		b := NewBarrier(m, x)
		start := released(m, span.LengthMM-110, 1)
		low, high := make([]float64, len(x)), make([]float64, len(x))
		for j := range x {
			high[j] = math.Max(0, heightAt(m, start, x[j]))
		}
		if err := b.reachStepwise(t.Context(), start, 9600, low, high); err != nil {
			t.Fatal(err)
		}
		below, above, err := b.Reach(t.Context(), start, 9600)
		if err != nil {
			t.Fatal(err)
		}
		for j := range x {
			if math.Abs(below[j]+low[j]) > 1e-10 || math.Abs(above[j]-high[j]) > 1e-10 {
				t.Errorf("stop %d crown %d: reach %.12g and %.12g, stepwise %.12g and %.12g", stop, j, below[j], above[j], -low[j], high[j])
			}
		}
	}
}

// Called off, both runs end at once with the reason.
func TestRuns_Cancel(t *testing.T) {
	ctx, stop := cancelled()
	stop()
	m := atRate(bassString(), 96e3)
	b := NewBarrier(m, bassX)
	start := released(m, bassAt, bassPluck)
	if _, err := b.SimulateStepwise(ctx, start, bassZ, 1<<40, nil); err == nil {
		t.Error("the plain run went on")
	}
	if _, err := b.Simulate(ctx, start, bassZ, 1<<40); err == nil {
		t.Error("the quick run went on")
	}
	if _, _, err := b.Reach(ctx, start, 1<<40); err == nil {
		t.Error("the reach went on")
	}
}

func bg() context.Context { return context.Background() }

func cancelled() (context.Context, context.CancelFunc) { return context.WithCancel(bg()) }

// Once set up, the time loops take no memory, however long they run.
func TestRuns_TakeNoMemoryInTheLoop(t *testing.T) {
	span, x := guitarSpan(t, 77, 1.14, 342, 0)
	m, err := NewModes(span)
	if err != nil {
		t.Fatal(err)
	}
	b := NewBarrier(m, x)
	floor := make([]float64, len(x))
	for j := range floor {
		floor[j] = -(0.15 + 0.0045*x[j])
	}
	start := released(m, 518, 1.5)
	for name, run := range map[string]func(steps int){
		"plain": func(n int) { _, _ = b.SimulateStepwise(t.Context(), start, floor, n, nil) },
		"quick": func(n int) { _, _ = b.Simulate(t.Context(), start, floor, n) },
		"reach": func(n int) { _, _, _ = b.Reach(t.Context(), start, n) },
	} {
		short := testing.AllocsPerRun(3, func() { run(500) })
		long := testing.AllocsPerRun(3, func() { run(5000) })
		if long > short {
			t.Errorf("%s: %v allocations in 500 steps, %v in 5000", name, short, long)
		}
	}
}

func benchSpan(b *testing.B) (*Barrier, []float64, []float64) {
	span, x := guitarSpan(b, 77, 1.14, 342, 0)
	m, err := NewModes(span)
	if err != nil {
		b.Fatal(err)
	}
	floor := make([]float64, len(x))
	for j := range floor {
		floor[j] = -(0.3 + 0.0045*x[j])
	}
	return NewBarrier(m, x), released(m, span.LengthMM-110, 1.2), floor
}

func BenchmarkSimulateStepwise(b *testing.B) {
	barrier, start, floor := benchSpan(b)
	for b.Loop() {
		if _, err := barrier.SimulateStepwise(b.Context(), start, floor, 9600, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSimulate(b *testing.B) {
	barrier, start, floor := benchSpan(b)
	for b.Loop() {
		if _, err := barrier.Simulate(b.Context(), start, floor, 9600); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReach(b *testing.B) {
	barrier, start, _ := benchSpan(b)
	for b.Loop() {
		if _, _, err := barrier.Reach(b.Context(), start, 9600); err != nil {
			b.Fatal(err)
		}
	}
}
