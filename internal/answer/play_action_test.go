package answer

import (
	"context"
	"errors"
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/play"
)

// Every action tried must come out as Play judges the neck at that action: the
// same room over the same crown, and clear where Play says so for it.
func TestPlayAnswer_AsPlayAtThatAction(t *testing.T) {
	r := playRequest(t)
	a, err := Play(context.Background(), r)
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
		for _, q := range quick {
			for i, x := range full.Strings[q.String-1].At(full.JudgeBy) {
				n := q.Notes[i]
				if n.Fret != x.Fret || n.ClearMarginMM.Known() != x.ClearMarginMM.Known() {
					t.Fatalf("%+g mm: string %d fret %d: %v, Play has fret %d %v", by, q.String, n.Fret, n.ClearMarginMM, x.Fret, x.ClearMarginMM)
				}
				if !n.ClearMarginMM.Known() {
					continue
				}
				compared++
				left, want := casetest.Value(n.ClearMarginMM), casetest.Value(x.ClearMarginMM)
				if math.Abs(left-want) > 1e-9 || (n.Verdict == play.Chokes) != (x.Verdict == play.Chokes) {
					t.Errorf("%+g mm: string %d fret %d: %g left, %s; Play has %g, %s", by, q.String, n.Fret, left, n.Verdict, want, x.Verdict)
				}
				if (n.Verdict == play.Clear) != (left >= 0) || n.Verdict == play.Clear && x.Verdict != play.Clear {
					t.Errorf("%+g mm: string %d fret %d has %g mm left, %s, but %s", by, q.String, n.Fret, left, n.Verdict, x.Verdict)
				}
			}
		}
	}
	if compared < 300 {
		t.Fatalf("only %d notes compared", compared)
	}
	for _, by := range []float64{math.NaN(), 9, -2.5} {
		if _, err := a.At(by); !errors.Is(err, play.ErrAction) {
			t.Errorf("%g mm: %v", by, err)
		}
		if _, err := r.Raised(by); !errors.Is(err, play.ErrAction) {
			t.Errorf("%g mm: %v", by, err)
		}
	}
}

func BenchmarkPlayAnswer_At(b *testing.B) {
	a, err := Play(context.Background(), playRequest(b))
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
