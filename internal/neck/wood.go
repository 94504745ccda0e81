package neck

import (
	"strings"

	"ringtrue/internal/unit"
)

// scaleSpan holds the scales of everything from a sopranino ukulele to a
// double bass, with room.
func scaleSpan() span { return span{150, 2000} }

// flattest is the largest radius, in mm, that still counts as one: over a
// 60 mm board it stands 0.02 mm proud.
const flattest = 20000

func scaleFields() []field[Model] {
	return []field[Model]{
		length("length", scaleSpan(), "nut to saddle",
			func(m *Model) *float64 { return &m.Scale.Treble }).orElse("none: required unless bass and treble are given"),
		length("bass", scaleSpan(), "scale along the lane of the last string, for slanted frets",
			func(m *Model) *float64 { return &m.Scale.Bass }).orElse("none: straight frets"),
		length("treble", scaleSpan(), "scale along the lane of string 1, for slanted frets",
			func(m *Model) *float64 { return &m.Scale.Treble }).orElse("none: straight frets"),
		whole("frets", 1, MaxFrets, "how many",
			func(m *Model) *int { return &m.Scale.Frets }).must("22"),
		whole("square_at", 0, MaxFrets, "the fret that stands square to the centre line",
			func(m *Model) *int { return &m.Scale.SquareAt }).or("0"),
		whole("divisions", 1, 200, "equal divisions of the octave",
			func(m *Model) *int { return &m.Scale.Divisions }).or("12"),
		yesNo("zero_fret", "fret 0 is a fret too, with a crown that is read and levelled",
			func(m *Model) *bool { return &m.Scale.ZeroFret }).or("false"),
	}
}

func boardFields() []field[Model] {
	b := func(m *Model) *Board { return &m.Board }
	return []field[Model]{
		radiusField().must(`["300 mm", "400 mm"]`),
		pair("width", span{10, 300}, "at the nut, at the last fret",
			func(m *Model) *Pair { return &b(m).Width }).must(`["43 mm", "56.5 mm"]`),
		length("thickness", span{0.5, 40}, "at the centre line",
			func(m *Model) *float64 { return &b(m).Thickness }).or(`"6 mm"`),
		text("wood", "the board's wood, by its trade name",
			func(m *Model) *string { return &b(m).Wood }).or(`"ebony"`),
		size("moisture", unit.Percent, span{0, 30}, "per cent of dry weight, when slotted",
			func(m *Model) *float64 { return &b(m).MoisturePct }).or("8"),
		choice("sawn", "flat", "quarter", "how the board lay in the log",
			func(m *Model) *bool { return &b(m).QuarterSawn }).or(`"flat"`),
		length("flat", span{0.001, 5}, "the bare board is straight within this",
			func(m *Model) *float64 { return &b(m).Flat }).or(`"0.05 mm"`),
		length("radius_within", span{0.01, 1000}, "how far the bare board's radius may stray",
			func(m *Model) *float64 { return &b(m).RadiusWithin }).or(`"5 mm"`),
		length("binding", span{0, 10}, "each side's thickness, where slots and tangs stop; 0 is unbound",
			func(m *Model) *float64 { return &b(m).Binding }).or(`"0 mm"`),
	}
}

// radiusField reads the board's radius, where "flat" stands for none.
func radiusField() field[Model] {
	s := span{30, flattest}
	return field[Model]{name: "radius", value: `length, pair of lengths, or "flat"`, unit: "mm", bounds: s.text("mm"),
		meaning: `at the nut, at the last fret; one value is a cylinder`,
		read: func(d *decoder, n *node, key string, m *Model) {
			if n.saysFlat() {
				m.Board.Radius = Pair{}
				return
			}
			for _, end := range n.items {
				if end.saysFlat() {
					d.fault(n.line, key, `is flat at one end and round at the other; write "flat" alone, or a radius for each end`)
					return
				}
			}
			if p, ok := d.pair(n, key, s); ok {
				m.Board.Radius = p
			}
		}}
}

func (n *node) saysFlat() bool {
	return n.form == textForm && strings.TrimSpace(n.text) == "flat"
}

func bodyFields() []field[Model] {
	return []field[Model]{
		whole("joint", 1, MaxFrets, "the fret at the body",
			func(m *Model) *int { return &m.Body.Joint }).orElse("not known"),
		text("wood", "the neck's wood, by its trade name",
			func(m *Model) *string { return &m.Body.Wood }).orElse("not known"),
		pair("thickness", span{5, 100}, "at fret 1 and at the joint, board included",
			func(m *Model) *Pair { return &m.Body.Thickness }).orElse("not known"),
		length("heel", span{5, 300}, "a set neck's heel, from the board's underside to its cap",
			func(m *Model) *float64 { return &m.Body.Heel }).orElse("not known"),
		length("pocket", span{10, 300}, "a bolt-on neck's pocket, its length along the neck",
			func(m *Model) *float64 { return &m.Body.Pocket }).orElse("none: not bolted on"),
		yesNo("rod", "a rod in the neck takes out or gives relief",
			func(m *Model) *bool { return &m.Body.Rod }).or("true"),
	}
}

func minutesFields() []field[Model] {
	s := span{0, 10000}
	return []field[Model]{
		number("reseat", "min", s, "your own time to lift and refit one fret",
			func(m *Model) *float64 { return &m.Minutes.Reseat }).orElse("none: options have no minutes"),
		number("file", "min", s, "your own time to level, crown and polish one fret",
			func(m *Model) *float64 { return &m.Minutes.File }).orElse("3 for the work itself; options have no minutes"),
	}
}
