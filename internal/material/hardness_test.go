package material

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// What tells a temper's hardness: a printed one first, then Rockwell B within
// its table, then the strength by Tabor's rule (see TestTabor_HRD13).
func TestTemper_Hardness(t *testing.T) {
	strength := Range{620, 640}
	for _, c := range []struct {
		name   string
		temper Temper
		how    string
		want   float64
	}{
		{"printed", Temper{Vickers: Range{180, 200}, RockwellB: Range{80, 90}, StrengthMPa: strength}, "printed", 190},
		{"Rockwell out of its table", Temper{RockwellB: Range{1000, 1000}, StrengthMPa: strength}, "from tensile strength", 3 * 630 / StandardGravity},
		{"strength alone", Temper{StrengthMPa: strength}, "from tensile strength", 3 * 630 / StandardGravity},
		{"nothing", Temper{}, "", 0},
	} {
		if hv, how := c.temper.Hardness(); how != c.how || math.Abs(hv-c.want) > 1e-9 {
			t.Errorf("%s: %g %q, want %g %q", c.name, hv, how, c.want, c.how)
		}
	}
	want, err := VickersFromRockwellB(90)
	if err != nil {
		t.Fatal(err)
	}
	if hv, how := (Temper{RockwellB: Range{80, 90}, StrengthMPa: strength}).Hardness(); how != "from Rockwell B" || hv != want {
		t.Errorf("Rockwell B: %g %q, want %g", hv, how, want)
	}
}

func TestUnknownError_Words(t *testing.T) {
	_, err := FindWood("ebny")
	var u *UnknownError
	if !errors.As(err, &u) {
		t.Fatalf("%v", err)
	}
	if s := err.Error(); !strings.HasPrefix(s, `unknown wood "ebny"; near it: `) || !strings.Contains(s, "ebony") {
		t.Errorf("%q", s)
	}
}
