package answer

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"ringtrue/internal/casetest"
)

// Every action tried must come out as Play judges the neck at that action: the
// same room over the same crown, and clear where Play says so for it.
func TestActions_AsPlayAtThatAction(t *testing.T) {
	r := playRequest(t)
	a, err := NewActions(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, by := range []float64{-0.4, 0, 0.35} {
		quick, err := a.At(by)
		if err != nil {
			t.Fatal(err)
		}
		q, err := r.Raised(by)
		if err != nil {
			t.Fatal(err)
		}
		full, err := Play(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range quick.Notes {
			notes := full.Strings[n.String-1].Notes
			i := slices.IndexFunc(notes, func(x PlayNote) bool { return x.Fret == n.Fret && x.Touch == full.JudgeBy })
			if i < 0 {
				t.Fatalf("string %d fret %d is not judged", n.String, n.Fret)
			}
			x := notes[i]
			if (!n.LeftMM.Known()) != (!x.ClearMarginMM.Known()) {
				t.Fatalf("%+g mm: string %d fret %d: %v, Play has %v", by, n.String, n.Fret, n.LeftMM, x.ClearMarginMM)
			}
			if !n.LeftMM.Known() {
				continue
			}
			compared++
			if math.Abs(casetest.Value(n.LeftMM)-casetest.Value(x.ClearMarginMM)) > 1e-9 || n.Chokes != (x.Verdict == "chokes") {
				t.Errorf("%+g mm: string %d fret %d: %g left, chokes %v; Play has %g, %s", by, n.String, n.Fret, casetest.Value(n.LeftMM), n.Chokes, casetest.Value(x.ClearMarginMM), x.Verdict)
			}
			if casetest.Value(n.LeftMM) >= 0 && x.Verdict != "clear" {
				t.Errorf("%+g mm: string %d fret %d has %g mm left, but %s", by, n.String, n.Fret, casetest.Value(n.LeftMM), x.Verdict)
			}
		}
	}
	if compared < 300 {
		t.Fatalf("only %d notes compared", compared)
	}
	for _, by := range []float64{math.NaN(), 9, -2.5} {
		if _, err := a.At(by); !errors.Is(err, ErrAction) {
			t.Errorf("%g mm: %v", by, err)
		}
		if _, err := r.Raised(by); !errors.Is(err, ErrAction) {
			t.Errorf("%g mm: %v", by, err)
		}
	}
}

func BenchmarkActions_At(b *testing.B) {
	a, err := NewActions(context.Background(), playRequest(b))
	if err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		if _, err := a.At(float64(i%21-10) / 20); err != nil {
			b.Fatal(err)
		}
	}
}

func playRequest(t testing.TB) PlayRequest {
	m, l := heronNeck(t)
	return PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
}
