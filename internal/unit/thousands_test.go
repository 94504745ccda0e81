package unit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// What to write instead is never wrong by a thousand.
func TestParse_Thousands(t *testing.T) {
	for text, want := range map[string]string{
		"1,640 mm":        `"1,640 mm" may be "1640 mm" or "1.640 mm"; write the one you mean`,
		"25,500 in":       `"25,500 in" may be "25500 in" or "25.500 in"; write the one you mean`,
		"1,640.5 mm":      `"1,640.5 mm" has its thousands parted; write "1640.5 mm"`,
		"1.640,5 mm":      `"1.640,5 mm" has its thousands parted; write "1640.5 mm"`,
		"1 640 mm":        `"1 640 mm" has its thousands parted; write "1640 mm"`,
		"1'640 mm":        `"1'640 mm" has its thousands parted; write "1640 mm"`,
		"1\u202f640,5 mm": "has its thousands parted; write \"1640.5 mm\"",
		"1.640.000 mm":    `"1.640.000 mm" has its thousands parted; write "1640000 mm"`,
		"1,640,000 mm":    `"1,640,000 mm" has its thousands parted; write "1640000 mm"`,
		"0,640 mm":        `"0,640 mm" has a decimal comma; write "0.640 mm"`,
		"25,5 mm":         `"25,5 mm" has a decimal comma; write "25.5 mm"`,
		"1,6400 mm":       `"1,6400 mm" has a decimal comma; write "1.6400 mm"`,
		"1,640":           `"1,640" may be "1640" or "1.640"; write the one you mean`,
	} {
		if _, err := Length.Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v; want %s", text, err, want)
		}
	}
	for text, want := range map[string]float64{"1.640 mm": 1.64, "1640 mm": 1640, "1 1/2 in": 38.1, "1 125/250 in": 38.1} {
		if v, err := Length.Parse(text); err != nil || math.Abs(v-want) > 1e-12*want {
			t.Errorf("%s: %v, %v; want %v", text, v, err, want)
		}
	}
	if _, err := Number("1,640"); err == nil || !strings.Contains(err.Error(), `may be "1640" or "1.640"`) {
		t.Error(err)
	}
}

// Whatever is written in groups, what it means is among what is advised.
func TestNumber_Thousands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1000, 999_999_999).Draw(t, "n")
		part := rapid.SampledFrom([]string{"", "5", "25", "125"}).Draw(t, "part")
		marks := rapid.SampledFrom([]string{",.", ".,", " .", " ,", "'."}).Draw(t, "marks")
		plain := fmt.Sprint(n)
		text := plain
		for i := len(plain) - 3; i > 0; i -= 3 {
			text = text[:i] + marks[:1] + text[i:]
		}
		if part != "" {
			text, plain = text+marks[1:]+part, plain+"."+part
		}
		if marks[0] == '.' && part == "" && n < 1_000_000 {
			return // a plain decimal
		}
		if _, err := Number(text); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("%q", plain)) {
			t.Errorf("%s: %v; want %s advised", text, err, plain)
		}
	})
}
