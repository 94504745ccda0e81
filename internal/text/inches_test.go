package text

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestInches(t *testing.T) {
	for mm, in := range map[string]string{
		"within 0.045 ± 0.004 mm, two times in three; the limit is 0.030 mm": "within 1.8 ± 0.2 thou, two times in three; the limit is 1.2 thou",
		"radius 333.2 ± 2.1 mm at slot 5":                                    "radius 13.118 ± 0.083 in at slot 5",
		"the flat 0.75 mm wide at lane 1, 0.45 mm at lane 6":                 "the flat 29.5 thou wide at lane 1, 17.7 thou at lane 6",
		"its zone lies between 0.010 and 0.020 mm":                           "its zone lies between 0.4 and 0.8 thou",
		"frets 7 and 0.30 mm":                                                "frets 7 and 11.8 thou",
		"frets 8-10, 3 mm":                                                   "frets 8-10, 0.12 in",
		"(+0.025 ± 0.001 mm)":                                                "(+0.98 ± 0.04 thou)",
		"core 0.48, 0.55, 0.62, 0.78 mm by gauge":                            "core 18.9, 21.7, 24.4, 30.7 thou by gauge",
		"flats 0.40 mm in lanes 1, 6, 0.35 mm":                               "flats 15.7 thou in lanes 1, 6, 13.8 thou",
		"stands 95 µm off what the other readings say, 19 times":             "stands 3.7 thou off what the other readings say, 19 times",
		"22 frets on 640 mm":                                                 "22 frets on 25.20 in",
		"taken for 0 to 0.05 mm":                                             "taken for 0 to 2.0 thou",
		"40.9 N mm2, 0.3 N, 72 MPa, 5 min, 12.7 mm²":                         "40.9 N mm2, 0.3 N, 72 MPa, 5 min, 12.7 mm²",
		"11.6 mm3 and 11.6 mm³":                                              "0.71 1/1000 in3 and 0.71 1/1000 in3",
		"gap of −0.12 mm":                                                    "gap of −4.7 thou",
		"0.20 mm in lanes 1, 6, 0.30 mm in lane 2":                           "7.9 thou in lanes 1, 6, 11.8 thou in lane 2",
		"lane 4: 0.10-0.15 mm":                                               "lane 4: 3.9-5.9 thou",
		"nothing here":                                                       "nothing here",
		"mm alone":                                                           "mm alone",
		"\"0.58 mm\"":                                                        "\"22.8 thou\"",
	} {
		if got := Inches(mm); got != in {
			t.Errorf("%q\n  gives %q\n   want %q", mm, got, in)
		}
	}
}

func TestInchColumn(t *testing.T) {
	head, cells, ok := InchColumn("zone mm", []string{"0.093", "-", "0.101"})
	if !ok || head != "zone thou" || strings.Join(cells, " ") != "3.7 - 4.0" {
		t.Error(head, cells, ok)
	}
	head, cells, ok = InchColumn("from nut mm", []string{"35.92", "0.50"})
	if !ok || head != "from nut in" || strings.Join(cells, " ") != "1.4142 0.0197" {
		t.Error(head, cells, ok)
	}
	// One decimal count in a column: heights may read as 0, what goes with ± may not.
	if _, cells, _ = InchColumn("bow mm", []string{"-0.001", "+0.110"}); strings.Join(cells, " ") != "0.0 +4.3" {
		t.Error(cells)
	}
	if _, cells, _ = InchColumn("± mm", []string{"0.001", "0.005", "-"}); strings.Join(cells, " ") != "0.04 0.20 -" {
		t.Error(cells)
	}
	if _, _, ok = InchColumn("lane", []string{"1"}); ok {
		t.Error("lanes are no lengths")
	}
}

// A sentence says the same length in inches, to the digits that it is written with,
// and no millimetre is left over.
func TestInches_SameLength(t *testing.T) {
	wanted := regexp.MustCompile(`^lane 3: ([+-]?[\d.]+) ± ([\d.]+) (thou|in) at fret 12$`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-700, 700).Draw(t, "a"), rapid.Float64Range(0, 3).Draw(t, "b")
		digits := rapid.IntRange(1, 4).Draw(t, "digits")
		if rapid.Bool().Draw(t, "small") {
			a /= 1000
			b /= 1000
		}
		said := fmt.Sprintf("lane 3: %+.*f ± %.*f mm at fret 12", digits, a, digits, b)
		m := wanted.FindStringSubmatch(Inches(said))
		if m == nil {
			t.Fatalf("%q gives %q", said, Inches(said))
		}
		per := mmPerInch
		if m[3] == "thou" {
			per /= 1000
		}
		for i, mm := range []float64{a, b} {
			v, err := strconv.ParseFloat(m[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			_, part, _ := strings.Cut(m[i+1], ".")
			allowed := (0.5*math.Pow(10, -float64(len(part)))*per + 0.5*math.Pow(10, -float64(digits))) * (1 + 1e-9)
			if math.Abs(v*per-mm) > allowed {
				t.Errorf("%q gives %q: %g mm off", said, Inches(said), v*per-mm)
			}
			if allowed > 3.1*math.Pow(10, -float64(digits)) && digits < 4 {
				t.Errorf("%q gives %q: too coarse", said, Inches(said))
			}
		}
	})
}
