package neck

import (
	"strings"
	"testing"
)

func TestParseSet(t *testing.T) {
	set, damping, err := ParseSet("low.toml", []byte(`
[strings]
set = [
  { pitch = "D4" },
  { pitch = "A3", gauge = "0.013 in" },
  { pitch = "E2", kind = "wound", tension = "80 N", gauge = "0.046 in" },
]
`))
	if err != nil {
		t.Fatal(err)
	}
	if len(set) != 3 || damping != nil || set[0].Gauge != 0 || set[1].Gauge < 0.33 || set[2].Tension != 80 || !set[2].Wound {
		t.Errorf("set %+v, damping %v", set, damping)
	}
	// A string of the example's pitch keeps no gauge of the example's.
	set, damping, err = ParseSet("e.toml", []byte("[strings]\nset = [{ pitch = \"E4\" }]\ndamping = { base = 2 }\n"))
	if err != nil || set[0].Gauge != 0 || damping == nil || damping.Base != 2 || damping.Square != 5e-8 {
		t.Errorf("set %+v, damping %+v, error %v", set, damping, err)
	}
}

func TestParseSet_Faults(t *testing.T) {
	for text, want := range map[string]string{
		"name = \"x\"\n":                 "[strings] is missing",
		"[strings]\nsat = 3\n":           "strings.sat",
		"[board]\nwidth = \"3 mm\"\n":    "board",
		"[strings]\nset = [{}]\n":        "pitch",
		"[strings]\nset = [{pitch=1}]\n": "pitch",
	} {
		_, _, err := ParseSet("x.toml", []byte(text))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "x.toml:") {
			t.Errorf("%q: error %v, want one with %q", text, err, want)
		}
	}
}

func FuzzParseSet(f *testing.F) {
	f.Add([]byte("[strings]\nset = [{ pitch = \"D4\" }]\n"))
	f.Add([]byte("[strings]\ndamping = 3\nset = 4\n[[strings]]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		set, _, err := ParseSet("f.toml", data)
		if err == nil && len(set) == 0 {
			t.Error("a set without strings passed")
		}
	})
}
