package neck

import (
	"math"
	"reflect"
	"testing"
)

// Forces one a string, a string's own force and its own damping: what each string
// is plucked with, and how it dies away.
func TestTouches_OneAString(t *testing.T) {
	h := heron(t)
	list := parse(t, with(t, h, `force = "0.4 N"`, `force = ["0.32 N", "0.34 N", "0.36 N", "0.4 N", "0.44 N", "0.48 N"]`))
	if f := list.Setup.Touch[1]; math.Abs(f.Force-0.39) > 1e-12 || len(f.Forces) != 6 {
		t.Errorf("a list reads as %+v", f)
	}
	for i, want := range []float64{0.32, 0.34, 0.36, 0.4, 0.44, 0.48} {
		got := list.Setup.Touches(i, list.Strings.Set[i])
		if got[1].Force != want || got[0].Force != 0.2 || got[2].Force != 0.8 || got[1].Forces != nil {
			t.Errorf("string %d: %+v", i+1, got)
		}
	}
	own := parse(t, with(t, h, `gauge = "0.046 in", kind = "wound"`, `gauge = "0.046 in", kind = "wound", wrap = "nickel", force = "0.6 N", damping = { base = 1, q = 900 }`))
	s := own.Strings.Set[5]
	if s.Wrap != Nickel || *s.Damping != (Damping{Base: 1, Square: 5e-8, Q: 900}) {
		t.Errorf("string 6 is %+v, damping %+v", s, s.Damping)
	}
	// The judging touch takes it, the others keep their ratio to that.
	got := own.Setup.Touches(5, s)
	for k, want := range []float64{0.3, 0.6, 1.2} {
		if math.Abs(got[k].Force-want) > 1e-12 {
			t.Errorf("touch %s plucks with %g N, want %g", got[k].Name, got[k].Force, want)
		}
	}
	if again := own.Setup.Touches(4, own.Strings.Set[4]); !reflect.DeepEqual(again, own.Setup.Touch) {
		t.Errorf("string 5 changed: %+v", again)
	}
}

// What new keys refuse says what to write.
func TestParse_PlayedFaults(t *testing.T) {
	h := heron(t)
	for _, c := range []struct{ old, new, want string }{
		{`gauge = "0.010 in", kind = "plain"`, `gauge = "0.010 in", wrap = "nickel"`,
			`heron.toml:19: strings.set[1].wrap: belongs to a wound string; write kind = "wound", or leave it out`},
		{`gauge = "0.026 in", kind = "wound"`, `gauge = "0.026 in", kind = "wound", wrap = "gold"`,
			`heron.toml:22: strings.set[4].wrap: "gold" is unknown here; write "nickel-plated steel", "nickel", "stainless steel", "phosphor bronze" or "80/20"`},
		{`force = "0.4 N"`, `force = ["0.4 N", "0.5 N"]`,
			`heron.toml:53: setup.touch[2].force: has 2 values for 6 strings; write one value, or one for each string`},
		{`force = "0.4 N"`, `force = []`, `heron.toml:53: setup.touch[2].force: has no value; write one, or one for each string`},
		{`force = "0.4 N"`, `force = ["0.4 mm"]`, `heron.toml:53: setup.touch[2].force: "0.4 mm" is a length; this needs a force in N, lbf or kgf`},
	} {
		_, err := Parse("heron.toml", []byte(with(t, h, c.old, c.new)))
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: %v\nwant %s", c.new, err, c.want)
		}
	}
	lift := with(t, with(t, h, `force = "0.4 N"`, `lift = "1 mm"`), `gauge = "0.010 in", kind = "plain"`, `gauge = "0.010 in", force = "0.3 N"`)
	want := `heron.toml:19: strings.set[1].force: touch "firm" has a lift; give it a force, or leave this out`
	if _, err := Parse("heron.toml", []byte(lift)); err == nil || err.Error() != want {
		t.Errorf("%v\nwant %s", err, want)
	}
}

// A new neck hides nothing of what play rests on: every wound string's wrap, the
// decay, the forces and the end of the bow stand in the file.
func TestTemplate_NothingHidden(t *testing.T) {
	for _, like := range Templates() {
		text, _ := Template(like)
		m := parse(t, text)
		for i, s := range m.Strings.Set {
			if s.Wound != (s.Wrap != "") {
				t.Errorf("%s: string %d is wound with %q", like, i+1, s.Wrap)
			}
		}
		for _, key := range m.Assumed {
			if key == "strings.damping" || key == "setup.touch" || key == "setup.relief_to" {
				t.Errorf("%s leaves %s to its default", like, key)
			}
		}
		if d := m.Strings.Damping; d.Base != 0.2 || d.Finger != 0.002 || d.Q != map[string]float64{"electric": 1500, "acoustic": 400, "bass": 1500}[like] {
			t.Errorf("%s: damping %+v", like, d)
		}
		for _, touch := range m.Setup.Touch {
			if len(touch.Forces) != len(m.Strings.Set) {
				t.Errorf("%s: touch %s has %d forces", like, touch.Name, len(touch.Forces))
			}
		}
		if m.Setup.ReliefTo >= m.Scale.Frets {
			t.Errorf("%s: the bow ends at fret %d of %d", like, m.Setup.ReliefTo, m.Scale.Frets)
		}
	}
}
