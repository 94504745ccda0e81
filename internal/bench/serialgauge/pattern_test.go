package serialgauge

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// mustPattern is a pattern that is right.
func mustPattern(t testing.TB, text string) Pattern {
	t.Helper()
	p, err := NewPattern(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The plain forms, and lines that look like them and are none.
func TestPattern_PlainForms(t *testing.T) {
	p := mustPattern(t, "")
	for line, want := range map[string]Reading{
		"+0.371":                {"0.371", ""},
		"-0.371":                {"-0.371", ""},
		"0.371 mm":              {"0.371", "mm"},
		"0,371":                 {"0.371", ""},
		"01A+00000.371":         {"0.371", ""},
		"01A-00012.3450":        {"-12.3450", ""},
		"0.0146 in":             {"0.0146", "in"},
		`.0146"`:                {"0.0146", "in"},
		"0.0146 INCH":           {"0.0146", "in"},
		"371.0 µm":              {"371.0", "um"},
		"371.0um":               {"371.0", "um"},
		"  + 0.371\t mm  ":      {"0.371", "mm"},
		"−0.371":                {"-0.371", ""},
		"-0.000":                {"0.000", ""},
		"\x02+0.371\x03":        {"0.371", ""},
		"000000012.345":         {"12.345", ""},
		"02B+1.2 mm":            {"1.2", "mm"},
		"0.3710000000000":       {}, // more digits than a gauge shows
		"911":                   {}, // a fault's code, not a height
		"5":                     {},
		"5.":                    {},
		"0.371 0.372":           {},
		"0.3710.372":            {},
		"0.371,":                {},
		"1.234,5":               {},
		"1,234.5":               {},
		"0.371 deg":             {},
		"0.371 m":               {},
		"01A00000.371":          {}, // no sign: where does the number begin?
		"1A+0.371":              {},
		"++0.371":               {},
		"0.37e1":                {},
		`0.37\xff1`:             {},
		"":                      {},
		"mm":                    {},
		"T 0.371":               {},
		strings.Repeat("0", 99): {},
	} {
		got, err := p.Read(line)
		if got != want || (err == nil) != (want != Reading{}) || err != nil && !errors.Is(err, ErrUnfit) {
			t.Errorf("%q: %+v, %v; want %+v", line, got, err, want)
		}
	}
}

// Patterns of a maker's own.
func TestPattern_Own(t *testing.T) {
	for _, c := range []struct {
		pattern, line string
		want          Reading
	}{
		{`H=(\S+);`, "H=+0.371;", Reading{"0.371", ""}},
		{`H=(?P<mm>\S+);`, "H=0,371;", Reading{"0.371", "mm"}},
		{`\d+ (?P<um>\d+)`, "17 00371", Reading{"371", "um"}},
		{`(a|b)(?P<number>[0-9.]+)(?P<unit>mm|in)?`, "b0.0146in", Reading{"0.0146", "in"}},
		{`(a|b)(?P<number>[0-9.]+)(?P<unit>mm|in)?`, "b0.371", Reading{"0.371", ""}},
		{`(a)?([0-9.]+)`, "0.371", Reading{}}, // the first group is not there
		{`([0-9.]+)`, "x0.371", Reading{}},    // the whole line has to fit
		{`([0-9.]+).*`, "0.371 x", Reading{"0.371", ""}},
		{`(.*)`, "0.371 x", Reading{}},
		{`([0-9.]+) (?P<unit>\w+)`, "0.371 deg", Reading{}},
	} {
		got, err := mustPattern(t, c.pattern).Read(c.line)
		if got != c.want || (err == nil) != (c.want != Reading{}) {
			t.Errorf("%s on %q: %+v, %v", c.pattern, c.line, got, err)
		}
	}
	for pattern, says := range map[string]string{
		`[0-9.]+`:                    "no group for the number",
		`(?:[0-9.]+)(?P<unit>mm)`:    "no group for the number",
		`(`:                          "not a regular expression: missing closing )",
		`(?P<mm>\d+)(?P<in>\d+)`:     "two groups are the number, mm and in",
		`(?P<mm>\d+) (?P<unit>\w+)`:  "leave out the group unit",
		`(?P<height>\d+)`:            `unknown group "height"`,
		strings.Repeat("a", 600):     "longer than",
		`(?P<number>\d+(?P<mm>\d+))`: "two groups",
	} {
		if _, err := NewPattern(pattern); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", pattern, err, says)
		}
	}
}

// A number in another unit loses nothing of what the gauge shows.
func TestReading_In(t *testing.T) {
	for _, c := range []struct {
		r    Reading
		unit string
		want string
	}{
		{Reading{"0.0146", "in"}, "mm", "0.37084"},
		{Reading{"0.371", "mm"}, "in", "0.014606"},
		{Reading{"0.3710", "mm"}, "mm", "0.3710"},
		{Reading{"0.371", ""}, "in", "0.371"},
		{Reading{"371.5", "um"}, "mm", "0.3715"},
		{Reading{"371", "um"}, "in", "0.014606"},
		{Reading{"-0.0001", "in"}, "mm", "-0.00254"},
		{Reading{"0.000", "in"}, "mm", "0"},
		{Reading{"1.0", "in"}, "mm", "25.4"},
	} {
		if got := c.r.In(c.unit); got != c.want {
			t.Errorf("%+v in %s: %s, want %s", c.r, c.unit, got, c.want)
		}
	}
}

// What fits is a number that a pass takes, reads back as itself, and is no other
// than the line's.
func FuzzPattern(f *testing.F) {
	for _, line := range []string{"+0.371", "0.371 mm", "0,371", "01A+00000.371", "0.0146 in", "911", "−.5\"", "\x020.1\x03", "0.371\xff"} {
		f.Add(line, `H=(?P<mm>\S+)`)
	}
	plain := mustPattern(f, "")
	f.Fuzz(func(t *testing.T, line, pattern string) {
		all := []Pattern{plain}
		if own, err := NewPattern(pattern); err == nil {
			all = append(all, own)
		}
		for _, p := range all {
			r, err := p.Read(line)
			if err != nil {
				continue
			}
			v, err := strconv.ParseFloat(r.Number, 64)
			if err != nil || math.Abs(v) >= 1e12 {
				t.Fatalf("%q gives %q", line, r.Number)
			}
			if _, fits := unitOf(r.Unit); !fits {
				t.Fatalf("%q gives the unit %q", line, r.Unit)
			}
			if strings.Contains(r.Number, ".") {
				if again, err := plain.Read(r.Number + " " + r.Unit); err != nil || again != r {
					t.Fatalf("%q gives %+v, that %+v, %v", line, r, again, err)
				}
			}
			factor := map[string]float64{"": 1, "mm": 1, "in": 25.4, "um": .001}[r.Unit]
			if mm, err := strconv.ParseFloat(r.In("mm"), 64); err != nil || math.Abs(mm-v*factor) > 1e-9*math.Abs(v) {
				t.Fatalf("%+v is %s mm", r, r.In("mm"))
			}
		}
	})
}

// However the bytes come in pieces, the lines are the same.
func FuzzLines(f *testing.F) {
	f.Add([]byte("+0.371\r\n0.372\n\n\r0.3"), 3)
	f.Add([]byte(strings.Repeat("x", 300)+"\r1\r"), 7)
	f.Fuzz(func(t *testing.T, data []byte, at int) {
		split := func(pieces ...[]byte) (out []string) {
			var l lines
			for _, p := range pieces {
				l.add(p, func(line string, cut bool) {
					if strings.ContainsFunc(line, func(r rune) bool { return r != '\t' && !unicode.IsPrint(r) }) || line == "" {
						t.Fatalf("a line %q", line)
					}
					out = append(out, line+strconv.FormatBool(cut))
				})
			}
			return out
		}
		at = max(0, min(at, len(data)))
		if a, b := split(data), split(data[:at], data[at:]); strings.Join(a, "\n") != strings.Join(b, "\n") {
			t.Fatalf("%q in one piece %q, cut at %d %q", data, a, at, b)
		}
	})
}
