package neck

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestParseShop(t *testing.T) {
	s, err := ParseShop("shop.toml", []byte(`units = "in"
[tools]
beams = ["6 in", "18 in"]
straight_to = "0.0004 in"
files = []
block_radius = "12 in"
[minutes]
spot = 4
`))
	if err != nil {
		t.Fatal(err)
	}
	if !s.Inches || !near(s.Tools.Beams, 457.2, 152.4) || len(s.Tools.Files) != 0 ||
		!near(s.Tools.BlockRadius, 304.8) || s.Minutes.Spot != 4 || s.Minutes.Look != 0.25 {
		t.Errorf("read %+v", s)
	}
	if slices.Contains(s.Assumed, "tools.beams") || !slices.Contains(s.Assumed, "tools.paper") {
		t.Errorf("assumed %v", s.Assumed)
	}
}

func TestUsualShop(t *testing.T) {
	s := UsualShop()
	if s.Inches || len(s.Tools.Beams) == 0 || !slices.IsSortedFunc(s.Tools.Beams, func(a, b float64) int { return int(b - a) }) || s.Tools.StraightTo != 0.01 {
		t.Errorf("the usual shop is %+v", s)
	}
	if s.Minutes.Reseat != 0 || s.Minutes.File != 0 {
		t.Error("the usual shop knows times that are the neck file's")
	}
	if empty, err := ParseShop("shop.toml", []byte(" \n")); err != nil || !slices.Equal(empty.Tools.Beams, s.Tools.Beams) {
		t.Errorf("an empty file: %+v, %v", empty, err)
	}
}

func TestParseShop_Faults(t *testing.T) {
	for text, want := range map[string]string{
		"units = \"cm\"":                     `shop.toml:1: units: "cm" is unknown here; write "mm" or "in"`,
		"[tools]\nbeams = [450]":             `shop.toml:2: tools.beams: 450 has no unit; write "450 mm"`,
		"[tools]\nbeams = [\"0 mm\"]":        `shop.toml:2: tools.beams: "0 mm" is outside 20 to 1500 mm`,
		"[tools]\nbeam = \"450 mm\"":         `shop.toml:2: tools.beam: is unknown; did you mean beams?`,
		"[tools]\nspot = 3":                  `shop.toml:2: tools.spot: is unknown; spot belongs in [minutes]`,
		"[minutes]\nlook = -1":               `shop.toml:2: minutes.look: -1 is outside 0 to 10000`,
		"[board]\nradius = \"10 in\"":        `shop.toml:1: board: is unknown; known here: units, tools, minutes`,
		"method,lane,fret,reading\nbeam,1,1": `shop.toml: is a file of readings`,
	} {
		_, err := ParseShop("shop.toml", []byte(text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func FuzzParseShop(f *testing.F) {
	f.Add([]byte("units = \"in\"\n[tools]\nbeams = [\"18 in\"]\n"))
	f.Add([]byte("[minutes]\nspot = 1e9\n[[tools]]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseShop("shop.toml", data)
		if err == nil && (s.Tools.StraightTo <= 0 || len(s.Tools.Beams) > MaxTools) {
			t.Errorf("passed %+v", s.Tools)
		}
	})
}

func near(got []float64, want ...float64) bool {
	return slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
}
