package tune

import (
	"math"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/necktest"
)

func ofNeck(t *testing.T, toml string) (neck.Model, *geometry.Layout) {
	t.Helper()
	return necktest.Of(t, toml)
}

const plain = `
[scale]
length = "648 mm"
frets = 19
[board]
radius = "300 mm"
width = "50 mm"
[strings]
spread = "40 mm"
set = [{ pitch = "E4", gauge = "0.254 mm" }, { pitch = "G3", gauge = "0.432 mm" }]
[level]
zone = "0.03 mm"
[setup]
relief = "0 mm"
nut = "0.5 mm"
action = ["1.6 mm", "1.7 mm"]
`

// TestOfNeck_I5 comes by the neck file to the setbacks of case I5: nut 0.5 mm
// and saddles 2.7 and 2.9 mm over straight crowns are actions of 1.6 and 1.7.
func TestOfNeck_I5(t *testing.T) {
	m, l := ofNeck(t, plain)
	for i, want := range []float64{1.2973, 3.9353} {
		lane, err := OfNeck(m, l, i+1, 440)
		if err != nil {
			t.Fatal(err)
		}
		mm, err := lane.SaddleSetback(SetbackFret(l))
		if err != nil || math.Abs(mm-want) > 1e-3 {
			t.Errorf("string %d: %g, %v; want %g", i+1, mm, err, want)
		}
	}
}

// TestOfNeck_relief: crowns lie on shape and relief, and the action is kept
// over the sunken fret 12.
func TestOfNeck_relief(t *testing.T) {
	m, l := ofNeck(t, strings.Replace(plain, `relief = "0 mm"`, `relief = "0.2 mm"`, 1))
	lane, err := OfNeck(m, l, 1, 440)
	if err != nil {
		t.Fatal(err)
	}
	f := lane.Frets[11]
	open := lane.NutMM + (lane.SaddleMM-lane.NutMM)*f.XMM/648
	if math.Abs(open-f.ZMM-1.6) > 1e-9 || f.ZMM > -0.15 {
		t.Errorf("open string %g over the crown at %g", open, f.ZMM)
	}
}

// TestOfNeck_fewFrets: under twelve frets the last one counts.
func TestOfNeck_fewFrets(t *testing.T) {
	m, l := ofNeck(t, strings.Replace(plain, "frets = 19", "frets = 7", 1))
	if SetbackFret(l) != 7 {
		t.Fatalf("fret %d", SetbackFret(l))
	}
	lane, err := OfNeck(m, l, 1, 440)
	if err != nil {
		t.Fatal(err)
	}
	if mm, err := lane.SaddleSetback(7); err != nil || mm <= 0 {
		t.Errorf("%g, %v", mm, err)
	}
}

func TestOfNeck_heron(t *testing.T) {
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	m, l := ofNeck(t, string(data))
	for i := range m.Strings.Set {
		lane, err := OfNeck(m, l, i+1, 440)
		if err != nil {
			t.Fatal(err)
		}
		mm, err := lane.SaddleSetback(12)
		if err != nil || mm < 0.3 || mm > 5 {
			t.Errorf("string %d: %g, %v", i+1, mm, err)
		}
	}
}
