package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// A long answer is the same text that encoding/json makes: words that must be
// escaped, numbers very small and large, missing limits, parts without an answer.
func TestPrintLongJSON_EncodingJSON(t *testing.T) {
	for name, r := range longSeries() {
		a, err := answer.Drift(context.Background(), r)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if len(a.Signals) == 0 {
			t.Errorf("%s: no signal: the case shows little", name)
		}
		var want, got bytes.Buffer
		e := json.NewEncoder(&want)
		e.SetEscapeHTML(false)
		if err := e.Encode(a); err != nil {
			t.Fatal(err)
		}
		if err := (&streams{out: &got}).printLongJSON(a); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want.Bytes()) {
			t.Errorf("%s: differs from encoding/json:\n%.2000s\nwant\n%.2000s", name, got.String(), want.String())
		}
	}
}

func longSeries() map[string]answer.DriftRequest {
	rng := rand.New(rand.NewPCG(5, 0))
	words := []string{"", "0412", `0"4\1`, "<&>", "é\n", "\u2028", "a\xffb", "\x01"}
	series := func(n int, scale float64) drift.Series {
		s := drift.Series{Name: "zone <mm>", Unit: "mm"}
		for i := range n {
			v := scale * rng.NormFloat64()
			if i > n/2 {
				v += 2 * scale
			}
			p := drift.Point{Value: v, Label: words[i%len(words)], Tags: map[string]string{"wire": words[i*3/n]}}
			if i%7 > 0 {
				p.Date = time.Date(2026, 1, 1, i, 0, 0, 0, time.UTC)
			}
			s.Points = append(s.Points, p)
		}
		return s
	}
	all := request(series(3*atOnce+1, 0.01))
	all.By, all.EWMA, all.CUSUM = "wire", &drift.EWMADesign{Lambda: 0.2, Width: 2.7}, &drift.CusumDesign{K: 0.5, H: 5}
	all.Basis.Rules = drift.NelsonRules()
	grouped := request(series(90, 1e25))
	grouped.Spec.Upper = num.Some(1e3)
	for i := range grouped.Series.Points {
		grouped.Series.Points[i].Group = words[1+i/20]
		if i == 89 {
			grouped.Series.Points[i].Group = "alone" // one value: its spread is not known
		}
	}
	lonely := request(series(60, 1e-9))
	lonely.By = "wire"
	lonely.Series.Points[59].Tags = map[string]string{"wire": "one neck only"}
	counts := request(drift.Series{})
	counts.Kind = drift.KindProportion
	for i := range 30 {
		counts.Series.Points = append(counts.Series.Points, drift.Point{Value: float64(i / 25 * 9), OutOf: 10 + i%2})
	}
	return map[string]answer.DriftRequest{"all charts, split": all, "groups": grouped, "a part too short": lonely, "shares": counts}
}

func request(s drift.Series) (r answer.DriftRequest) {
	r.Series.Series = s
	return r
}

// stuck takes so many bytes and then no more.
type stuck struct{ room int }

var errStuck = errors.New("no room")

func (s *stuck) Write(b []byte) (int, error) {
	if s.room -= len(b); s.room < 0 {
		return 0, errStuck
	}
	return len(b), nil
}

func TestPrintLongJSON_WriteFails(t *testing.T) {
	a, err := answer.Drift(context.Background(), longSeries()["all charts, split"])
	if err != nil {
		t.Fatal(err)
	}
	for _, room := range []int{0, 10, 1000, 1_000_000} {
		if err := (&streams{out: &stuck{room}}).printLongJSON(a); !errors.Is(err, errStuck) {
			t.Errorf("room for %d bytes: %v, want %v", room, err, errStuck)
		}
	}
}
