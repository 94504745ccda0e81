package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"ringtrue/internal/drift"
)

// Signals print as the list of SignalAnswer that they are, whatever their labels.
func TestSignals_JSON(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 0))
	words := []string{"", "0412", `0"4\1`, "<&>", "é\n", "\u2028", "a\xffb", "\x01"}
	var r DriftRequest
	for i := range 400 {
		r.Series.Points = append(r.Series.Points, drift.Point{Value: rng.NormFloat64() + float64(i/200*3), Label: words[i%len(words)]})
	}
	a, err := Drift(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	if a.Signals.Len() < 10 {
		t.Fatalf("%d signals: the case shows little", a.Signals.Len())
	}
	for _, escape := range []bool{true, false} {
		encode := func(v any) string {
			var b bytes.Buffer
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(escape)
			if err := e.Encode(v); err != nil {
				t.Fatal(err)
			}
			return b.String()
		}
		all := slices.Collect(func(yield func(SignalAnswer) bool) {
			for _, s := range a.Signals.All() {
				if !yield(s) {
					return
				}
			}
		})
		if got, want := encode(a.Signals), encode(all); got != want {
			t.Errorf("escape %v: %.500s, want %.500s", escape, got, want)
		}
	}
}
