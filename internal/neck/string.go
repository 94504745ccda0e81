package neck

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/unit"
)

func stringsFields() []field[Model] {
	return []field[Model]{
		pair("spread", span{0, 300}, "between the outer strings' centres: at the nut, at the saddle",
			func(m *Model) *Pair { return &m.Strings.Spread }).must(`["35 mm", "51 mm"]`),
		setField().must(`[{ pitch = "E4" }, { pitch = "B3" }]`),
		commonDamping().or("{ base = 0.2, q = 1500, square = 5e-8, finger = 0.002 }"),
	}
}

// setField reads the strings. A string with a fault still counts.
func setField() field[Model] {
	return field[Model]{name: "set", value: "list of tables", bounds: fmt.Sprintf("1 to %d strings", MaxStrings),
		meaning: "the strings, from the treble side", parts: describe("strings.set", stringFields()),
		read: func(d *decoder, n *node, key string, m *Model) {
			if n.form != arrayForm {
				d.fault(n.line, key, `is %s; write a list of strings, as [{ pitch = "E4" }, { pitch = "B3" }]`, n.form)
				return
			}
			if len(n.items) == 0 || len(n.items) > MaxStrings {
				d.fault(n.line, key, "has %d strings; a neck has 1 to %d", len(n.items), MaxStrings)
				return
			}
			for i, item := range n.items {
				var s String
				name := fmt.Sprintf("%s[%d]", key, i+1)
				if subTable(d, item, name, stringFields(), &s) {
					checkString(d, item, name, &s)
				}
				m.Strings.Set = append(m.Strings.Set, s)
			}
		}}
}

func stringFields() []field[String] {
	return []field[String]{
		pitchField().must(`"E4"`),
		length("gauge", span{0.05, 10}, "outer diameter",
			func(s *String) *float64 { return &s.Gauge }).orElse("the Heron's, where it has a string of this pitch and no tension or mass is given"),
		choice("kind", "plain", "wound", "plain wire, or a core wound with wire",
			func(s *String) *bool { return &s.Wound }).or(`"plain"`),
		length("core", span{0.05, 5}, "a wound string's core diameter",
			func(s *String) *float64 { return &s.Core }).orElse("from the gauge"),
		oneOf("wrap", Wraps(), "what a wound string is wound with",
			func(s *String) *string { return &s.Wrap }).orElse("nickel-plated steel"),
		size("tension", unit.Force, span{0.1, 2000}, "at pitch; the mass follows from pitch and scale",
			func(s *String) *float64 { return &s.Tension }).orElse("from the mass, or from gauge, kind and wrap"),
		size("mass", unit.LinearMass, span{0.01, 500}, "per length; the tension follows from pitch and scale",
			func(s *String) *float64 { return &s.Mass }).orElse("from the tension, or from gauge, kind and wrap"),
		size("stiffness", unit.Stiffness, span{1e-4, 1e7}, "against bending",
			func(s *String) *float64 { return &s.Stiffness }).orElse("from the gauge or the core"),
		atField().orElse("evenly spaced"),
		dampingField("strings.set.damping", "its own decay, as strings.damping",
			func(s *String, x Damping) { s.Damping = &x }).orElse("strings.damping"),
		size("force", unit.Force, forceSpan(), "what the touch judge_by plucks it with; other touches keep their ratio to it",
			func(s *String) *float64 { return &s.Force }).orElse("the touch's"),
	}
}

// checkString checks what hangs together within one string and gives it the
// example's gauge where nothing tells how heavy it is.
func checkString(d *decoder, n *node, key string, s *String) {
	core, wrap := n.child("core"), n.child("wrap")
	switch {
	case wrap != nil && !s.Wound:
		d.fault(wrap.line, key+".wrap", `belongs to a wound string; write kind = "wound", or leave it out`)
	case core != nil && !s.Wound:
		d.fault(core.line, key+".core", `belongs to a wound string; write kind = "wound", or leave it out`)
	case core != nil && s.Gauge > 0 && s.Core >= s.Gauge:
		d.fault(core.line, key+".core", "%s mm must be thinner than the string, %s mm", short(s.Core), short(s.Gauge))
	}
	if s.Gauge == 0 && s.Tension == 0 && s.Mass == 0 {
		s.Gauge = exampleGauge(s.Pitch)
		d.assumed = append(d.assumed, key+".gauge")
	}
}

// exampleGauge is the gauge in mm of the Heron's string of a pitch, 0 where it
// has none.
func exampleGauge(pitch string) float64 {
	const thousandths = unit.MMPerInch / 1000
	switch pitch {
	case "E4":
		return 10 * thousandths
	case "B3":
		return 13 * thousandths
	case "G3":
		return 17 * thousandths
	case "D3":
		return 26 * thousandths
	case "A2":
		return 36 * thousandths
	case "E2":
		return 46 * thousandths
	}
	return 0
}

// atField reads where a string stands that is not spaced evenly.
func atField() field[String] {
	s := span{-150, 150}
	return field[String]{name: "at", value: "length or pair of lengths", unit: "mm", bounds: s.text("mm"),
		meaning: "its distance from the centre line at the nut and the saddle, treble side positive",
		read: func(d *decoder, n *node, key string, to *String) {
			if p, ok := d.pair(n, key, s); ok {
				to.At = &p
			}
		}}
}

// pitchField reads a pitch in scientific notation, C0 to C9.
func pitchField() field[String] {
	return field[String]{name: "pitch", value: "text", bounds: "C0 to C9",
		meaning: "of the open string: letter, # or b, octave",
		read: func(d *decoder, n *node, key string, to *String) {
			if n.form != textForm {
				d.fault(n.line, key, `is %s; write a pitch in quotes, as "E4"`, n.form)
				return
			}
			p := strings.TrimSpace(n.text)
			if !isPitch(p) {
				d.fault(n.line, key, `%s is not a pitch from C0 to C9; write a letter A to G, # or b, and an octave, like "E4" or "Bb3"`, unit.Quote(n.text))
				return
			}
			to.Pitch = p
		}}
}

// isPitch reports a pitch name from C0 to C9: a letter, at most two sharps or
// flats, an octave that changes at C.
func isPitch(s string) bool {
	if s == "" {
		return false
	}
	semitone := strings.IndexByte("C D EF G A B", s[0]&^0x20)
	if semitone < 0 {
		return false
	}
	s = s[1:]
	for range 2 {
		switch r, n := utf8.DecodeRuneInString(s); r {
		case '#', '♯':
			semitone, s = semitone+1, s[n:]
		case 'b', '♭':
			semitone, s = semitone-1, s[n:]
		}
	}
	if len(s) == 0 || len(s) > 2 || s[0] == '+' {
		return false
	}
	octave, err := strconv.Atoi(s)
	semitone += 12 * octave
	return err == nil && semitone >= 0 && semitone <= 9*12
}

// commonDamping is the decay of every string that has none of its own. The
// default is an electric's: the quality factor from memory, the finger's part an
// estimate.
func commonDamping() field[Model] {
	return dampingField("strings.damping", "decay rate of a partial in 1/s: base + π·f/q + square·f², f in Hz, and finger·f on a stopped note",
		func(m *Model, x Damping) { m.Strings.Damping = x })
}

func dampingField[T any](table, meaning string, set func(*T, Damping)) field[T] {
	return field[T]{name: "damping", value: "table", parts: describe(table, dampingFields()), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			var x Damping
			subTable(d, n, key, dampingFields(), &x)
			set(to, x)
		}}
}

// dampingFields are those of a decay that is given: the whole of it.
func dampingFields() []field[Damping] {
	return []field[Damping]{
		number("base", "1/s", span{0, 1000}, "the same for every partial",
			func(x *Damping) *float64 { return &x.Base }).or("0.5"),
		number("q", "", span{10, 1e6}, "quality factor: π·f/q, what neck and body take",
			func(x *Damping) *float64 { return &x.Q }).orElse("no such part"),
		number("square", "s", span{0, 0.001}, "times the square of the partial's frequency in Hz",
			func(x *Damping) *float64 { return &x.Square }).or("5e-8"),
		number("finger", "", span{0, 0.5}, "share of its amplitude that a stopped note loses each period in finger and fret",
			func(x *Damping) *float64 { return &x.Finger }).or("0"),
	}
}
