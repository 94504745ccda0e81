package neck

import (
	"fmt"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/unit"
)

// maxTouches is how many ways of plucking a file may name.
const maxTouches = 20

func setupFields() []field[Model] {
	return []field[Model]{
		length("relief", span{0, 10}, "what strings and rod bow beyond the shape",
			func(m *Model) *float64 { return &m.Setup.Relief }).or(`"0.12 mm"`),
		whole("relief_to", 1, MaxFrets, "the fret where the bow ends; beyond it the neck runs straight on",
			func(m *Model) *int { return &m.Setup.ReliefTo }).orElse("neck.joint, or the last fret"),
		eachString("nut", span{0, 10}, "the string's underside at the nut above the line of the crowns: one, or one per string",
			func(m *Model) *[]float64 { return &m.Setup.Nut }).orElse(`"0.35 mm", or "0 mm" over a zero fret; not where nut_gap is given`),
		eachString("nut_gap", span{0, 10}, "the open string over fret 1's crown: one, or one per string",
			func(m *Model) *[]float64 { return &m.Setup.NutGap }).orElse("not given: nut counts"),
		actionField().or(`["1.40 mm", "1.80 mm"]`),
		text("judge_by", "the touch that judges a note",
			func(m *Model) *string { return &m.Setup.JudgeBy }).orElse("the first touch"),
		number("graze", "", span{0, 1}, "share of the first period's impulse under which a contact is a graze",
			func(m *Model) *float64 { return &m.Setup.Graze }).or("0.10"),
		touchField().or(`[
  { name = "light", force = "0.2 N", from_saddle = "130 mm" },
  { name = "firm", force = "0.4 N", from_saddle = "110 mm" },
  { name = "hard", force = "0.8 N", from_saddle = "80 mm" },
]`),
	}
}

// eachString reads one length for all strings or a list of one for each.
func eachString(name string, s span, meaning string, at func(*Model) *[]float64) field[Model] {
	return field[Model]{name: name, value: "length or list of lengths", unit: "mm", bounds: s.text("mm"), meaning: meaning,
		read: func(d *decoder, n *node, key string, m *Model) {
			count := len(m.Strings.Set)
			if n.form != arrayForm {
				if v, ok := d.size(n, key, unit.Length, s); ok {
					*at(m) = even(v, v, count)
				}
				return
			}
			v, ok := d.lengths(n, key, s)
			if v != nil && count > 0 && len(v) != count {
				d.fault(n.line, key, "has %d values for %d strings; write one value, or one for each string", len(v), count)
				return
			}
			if ok {
				*at(m) = v
			}
		}}
}

// actionField reads one action, a pair for the first and the last string with
// even steps between, or one for each string.
func actionField() field[Model] {
	s := span{0.05, 30}
	return field[Model]{name: "action", value: "length, pair or list of lengths", unit: "mm", bounds: s.text("mm"),
		meaning: "open string over fret 12's crown: one, or first and last string with even steps between, or one per string",
		read: func(d *decoder, n *node, key string, m *Model) {
			count := len(m.Strings.Set)
			if n.form != arrayForm {
				if v, ok := d.size(n, key, unit.Length, s); ok {
					m.Setup.Action = even(v, v, count)
				}
				return
			}
			v, ok := d.lengths(n, key, s)
			given := n.line > 0 // else it is the default
			switch {
			case !ok || count == 0:
			case len(v) == count:
				m.Setup.Action = v
			case len(v) == 2 && (count > 1 || !given):
				m.Setup.Action = even(v[0], v[1], count)
			default:
				d.fault(n.line, key, "has %d values for %d strings; write one value, a pair for the first and the last string, or one for each", len(v), count)
			}
		}}
}

// even steps from a to b in n values.
func even(a, b float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = a
		if n > 1 {
			out[i] += (b - a) * float64(i) / float64(n-1)
		}
	}
	return out
}

// touchField reads the ways of plucking.
func touchField() field[Model] {
	return field[Model]{name: "touch", value: "list of tables", bounds: fmt.Sprintf("1 to %d", maxTouches),
		meaning: "ways of plucking", parts: describe("setup.touch", touchFields()),
		read: func(d *decoder, n *node, key string, m *Model) {
			if n.form != arrayForm {
				d.fault(n.line, key, `is %s; write a list, as [{ name = "firm", force = "0.4 N", from_saddle = "110 mm" }]`, n.form)
				return
			}
			if len(n.items) == 0 || len(n.items) > maxTouches {
				d.fault(n.line, key, "has %d touches; write 1 to %d", len(n.items), maxTouches)
				return
			}
			for i, item := range n.items {
				var t Touch
				name := fmt.Sprintf("%s[%d]", key, i+1)
				if subTable(d, item, name, touchFields(), &t) {
					checkTouch(d, item, name, t, m.Setup.Touch)
				}
				m.Setup.Touch = append(m.Setup.Touch, t)
			}
		}}
}

func touchFields() []field[Touch] {
	return []field[Touch]{
		text("name", "what judge_by and the answers call it",
			func(t *Touch) *string { return &t.Name }).must(`"firm"`),
		forceField().orElse("none: lift is given"),
		length("lift", span{0.001, 50}, "the height of the triangle",
			func(t *Touch) *float64 { return &t.Lift }).orElse("none: force is given"),
		length("from_saddle", span{1, 2000}, "where the string is plucked",
			func(t *Touch) *float64 { return &t.FromSaddle }).must(`"110 mm"`),
	}
}

func forceSpan() span { return span{0.001, 100} }

// forceField reads one force for all strings or a list of one for each.
func forceField() field[Touch] {
	s := forceSpan()
	return field[Touch]{name: "force", value: "force or list of forces", unit: unit.Force.Unit(), bounds: s.text(unit.Force.Unit()),
		meaning: "the part of the force square to the board: one, or one per string",
		read: func(d *decoder, n *node, key string, t *Touch) {
			if n.form != arrayForm {
				if v, ok := d.size(n, key, unit.Force, s); ok {
					t.Force = v
				}
				return
			}
			if v, ok := d.sizes(n, key, unit.Force, s); ok && len(v) > 0 {
				t.Forces, t.Force = v, stat.Mean(v, nil)
			} else if ok {
				d.fault(n.line, key, "has no value; write one, or one for each string")
			}
		}}
}

// checkTouch checks one touch against itself and those before it.
func checkTouch(d *decoder, n *node, key string, t Touch, before []Touch) {
	force, lift := n.child("force"), n.child("lift")
	switch {
	case force == nil && lift == nil:
		d.fault(n.line, key, `needs force or lift, as force = "0.4 N"`)
	case force != nil && lift != nil:
		d.fault(n.line, key, "has force and lift; give one of them")
	}
	for i, other := range before {
		if other.Name == t.Name {
			d.fault(n.child("name").line, key+".name", "%q is the name of touch %d already", t.Name, i+1)
		}
	}
}
