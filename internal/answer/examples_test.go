package answer

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestFrets_Examples: what was put into each invented neck is found, by other
// gauges each: bridge, edge and feelers; a probe; a beam turned end for end on
// slanted frets with a zero fret; a beam under every string of pairs.
func TestFrets_Examples(t *testing.T) {
	for _, c := range []struct {
		neck    string
		frets   []string // some of the findings
		recheck string
		whole   string
	}{
		{"heron-bass", []string{"3 pit under string 2", "5 whole fret high", "11 bass end not seated"}, "fret 14 lane 3", "rise at the body joint, frets 18 to 21"},
		{"heron-seven", []string{"9 whole fret high", "12 pit under string 4", "17 treble end not seated"}, "fret 20 lane 6", ""},
		{"heron-slant", []string{"2 pit under string 5", "4 treble end not seated", "16 whole fret high"}, "fret 13 lane 2", ""},
		{"heron-twelve", []string{"7 whole fret high", "15 bass end not seated"}, "fret 5 lane 5", ""},
	} {
		a := answer(t, example(t, c.neck+".toml", c.neck+"-seated.csv"))
		var got, whole []string
		for _, f := range a.Frets {
			got = append(got, fmt.Sprintf("%d %s", f.Fret, f.Finding))
		}
		for _, f := range a.Findings {
			whole = append(whole, f.Finding)
		}
		for _, want := range c.frets {
			if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, want) }) {
				t.Errorf("%s: want %q among %q", c.neck, want, got)
			}
		}
		if c.whole != "" && !slices.Contains(whole, c.whole) {
			t.Errorf("%s: want %q among %q", c.neck, c.whole, whole)
		}
		if len(a.Recheck) != 1 || fmt.Sprintf("fret %d lane %g", a.Recheck[0].Fret, a.Recheck[0].Lane) != c.recheck {
			t.Errorf("%s: recheck %+v", c.neck, a.Recheck)
		}
		if len(a.Warnings) != 0 || a.Verdict != "not level" {
			t.Errorf("%s: %s, %q", c.neck, a.Verdict, a.Warnings)
		}
	}
}
