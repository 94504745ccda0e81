package cli

import (
	"math"
	"strings"
	"testing"
)

func TestStudyZones(t *testing.T) {
	for text, want := range map[string][]float64{
		"zone=0.03":                  {0.03},
		"zone=0.03 mm":               {0.03},
		"zone=0.001 in":              {0.0254},
		"zone=0":                     {0},
		"zone=0.01..0.08":            {0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08},
		"zone=0.01..0.08/0.01":       {0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08},
		"zone=0.01..0.04/0.02 mm":    {0.01, 0.03},
		"zone = 0 .. 1 mm / 0.05 cm": {0, 0.5, 1},
		"zone=0.001..0.002/0.001 in": {0.0254, 0.0508},
		"zone=0.001..0.002 in/0.001": {0.0254, 0.0508},
	} {
		got, err := studyZones(text)
		if err != nil || len(got) != len(want) {
			t.Errorf("%s: %v, %v; want %v", text, got, err, want)
			continue
		}
		for i := range want {
			if math.Abs(got[i]-want[i]) > 1e-12 {
				t.Errorf("%s: %v, want %v", text, got, want)
			}
		}
	}
}

func TestStudyZones_Faults(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "write zone=0.03",
		"zone":                    "write zone=0.03",
		"action=1":                "write zone=0.03",
		"zone=":                   "--study: ",
		"zone=x":                  "--study: ",
		"zone=0.03 N":             "is a force",
		"zone=-0.01":              "0 to 1 mm",
		"zone=2":                  "0 to 1 mm",
		"zone=0..0.01 in/2":       "0 to 1 mm",
		"zone=0.03/0.01":          "a step without a range",
		"zone=0.08..0.01":         "is empty",
		"zone=0.03..0.03":         "is empty",
		"zone=0.01..0.08/0":       "more than 50 zones",
		"zone=0.01..0.08/0.00001": "more than 50 zones",
		"zone=0.01..0.08..0.1":    "--study: ",
		"zone=NaN":                "--study: ",
	} {
		got, err := studyZones(text)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v, %v; want an error with %q", text, got, err, want)
		}
	}
}

// Whatever is written, zones ascend, are finite and few, or there is an error of
// one line.
func FuzzStudyZones(f *testing.F) {
	for _, s := range []string{"zone=0.03", "zone=0.01..0.08", "zone=0.01..0.08/0.01 mm", "zone=1e-9..1", "zone=..", "zone=0..1/1e-300", "zone=3/64 in"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		z, err := studyZones(text)
		if err != nil {
			if len(z) > 0 || strings.Contains(err.Error(), "\n") {
				t.Fatalf("%q: %v with %q", text, z, err)
			}
			return
		}
		if len(z) == 0 || len(z) > maxZones {
			t.Fatalf("%q: %d zones", text, len(z))
		}
		for i, v := range z {
			if !(v >= 0 && v <= 1) || i > 0 && !(v >= z[i-1]) {
				t.Fatalf("%q: %v", text, z)
			}
		}
	})
}
