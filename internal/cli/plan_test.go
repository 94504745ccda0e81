package cli

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"ringtrue/internal/plan"
)

func TestParseTrial(t *testing.T) {
	for s, want := range map[string]plan.Trial{
		"loaded 120 mm, free 410 mm": {LoadedMM: 120, FreeMM: 410},
		"free 41 cm , loaded 120 mm": {LoadedMM: 120, FreeMM: 410},
		"loaded 4.5 in,free 16 in":   {LoadedMM: 114.3, FreeMM: 406.4},
	} {
		got, err := parseTrial(s)
		if err != nil || math.Abs(got.LoadedMM-want.LoadedMM) > 1e-9 || math.Abs(got.FreeMM-want.FreeMM) > 1e-9 {
			t.Errorf("%q: %+v, %v; want %+v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "loaded 120 mm", "loaded 120, free 410", "loaded 120 mm, loaded 410 mm", "held 120 mm, free 410 mm", "loaded 120 mm, free 410 mm, free 2 mm", "loaded -5 mm, free 410 mm", "loaded 0 mm, free 410 mm"} {
		if got, err := parseTrial(s); err == nil {
			t.Errorf("%q: %+v, want an error", s, got)
		}
	}
}

func FuzzParseTrial(f *testing.F) {
	f.Add("loaded 120 mm, free 410 mm")
	f.Add("free 16 in,loaded")
	f.Add(",,")
	f.Fuzz(func(t *testing.T, s string) {
		got, err := parseTrial(s)
		if err == nil && !(got.LoadedMM > 0 && got.FreeMM > 0 && got.LoadedMM < 1e6) {
			t.Errorf("%q: %+v", s, got)
		}
	})
}

// TestPlanText_width: no line of a listing is wider than 80 columns.
func TestPlanText_width(t *testing.T) {
	for _, args := range [][]string{
		{"plan", "../../examples/heron.toml", "--alloys", "--coil", "650 mm"},
		{"plan", "../../examples/heron.toml", "--trial", "loaded 120 mm, free 410 mm"},
		{"wood", "../../examples/heron.toml", "--humidity", "80"},
		{"wood", "--species"},
	} {
		var out, errOut bytes.Buffer
		if code := Run(context.Background(), args, strings.NewReader(""), &out, &errOut); code != 0 || out.Len() == 0 {
			t.Fatalf("%v: status %d: %s", args, code, errOut.String())
		}
		for line := range strings.Lines(out.String()) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > lineWidth {
				t.Errorf("%v: %d columns: %s", args, n, line)
			}
		}
	}
}
