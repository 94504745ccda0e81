package neck

import "ringtrue/internal/unit"

func wireFields() []field[Model] {
	w := func(m *Model) *Wire { return &m.Wire }
	return []field[Model]{
		text("alloy", "the wire's alloy, by its number or trade name",
			func(m *Model) *string { return &w(m).Alloy }).or(`"C75200"`),
		number("hardness", "HV", span{10, 1000}, "Vickers hardness",
			func(m *Model) *float64 { return &w(m).Hardness }).orElse("the alloy's hard temper"),
		size("modulus", unit.Stress, span{1000, 1e6}, "Young's modulus, in place of the alloy's",
			func(m *Model) *float64 { return &w(m).Modulus }).orElse("the alloy's"),
		size("yield", unit.Stress, span{10, 10000}, "yield strength, in place of alloy and hardness",
			func(m *Model) *float64 { return &w(m).Yield }).orElse("from hardness, or the alloy's"),
		length("crown_width", span{0.3, 10}, "across the crown at the board",
			func(m *Model) *float64 { return &w(m).CrownWidth }).or(`"2.4 mm"`),
		length("crown_height", span{0.1, 10}, "from the board to the crown's top",
			func(m *Model) *float64 { return &w(m).CrownHeight }).or(`"1.2 mm"`),
		length("crown_radius", span{0.05, 100}, "of the crown's top, across the wire",
			func(m *Model) *float64 { return &w(m).CrownRadius }).orElse("the circle through crown width and height"),
		length("tang_depth", span{0.1, 10}, "from the board down",
			func(m *Model) *float64 { return &w(m).TangDepth }).or(`"1.5 mm"`),
		length("tang_width", span{0.1, 5}, "between the barbs",
			func(m *Model) *float64 { return &w(m).TangWidth }).or(`"0.52 mm"`),
		length("barb_width", span{0.1, 5}, "over the barbs",
			func(m *Model) *float64 { return &w(m).BarbWidth }).or(`"0.78 mm"`),
	}
}

func slotFields() []field[Model] {
	return []field[Model]{
		length("width", span{0.1, 5}, "of the saw cut",
			func(m *Model) *float64 { return &m.Slot.Width }).or(`"0.58 mm"`),
		length("floor_gap", span{0, 5}, "left under the tang for glue",
			func(m *Model) *float64 { return &m.Slot.FloorGap }).or(`"0.30 mm"`),
	}
}

func levelFields() []field[Model] {
	return []field[Model]{
		length("zone", span{0.001, 5}, "every crown of a lane within this",
			func(m *Model) *float64 { return &m.Level.Zone }).must(`"0.03 mm"`),
		length("relief", span{0, 10}, "depth of the parabola that the crowns should follow",
			func(m *Model) *float64 { return &m.Level.Relief }).or(`"0 mm"`),
		yesNo("strung", "judge readings taken strung with the bow that strings and rod give the neck: setup.relief, by beam theory",
			func(m *Model) *bool { return &m.Level.Strung }).or("false"),
		fallAwayField().orElse("none"),
		length("least_crown", span{0, 10}, "below this height the fret is replaced, not levelled",
			func(m *Model) *float64 { return &m.Level.LeastCrown }).or(`"0.90 mm"`),
	}
}

func fallAwayField() field[Model] {
	return field[Model]{name: "fall_away", value: "table", parts: describe("level.fall_away", fallAwayFields()),
		meaning: "how the last frets drop away from the straight line",
		read: func(d *decoder, n *node, key string, m *Model) {
			var f FallAway
			if subTable(d, n, key, fallAwayFields(), &f) {
				m.Level.FallAway = &f
			}
		}}
}

func fallAwayFields() []field[FallAway] {
	depth := pair("depth", span{0, 10}, "at the last fret: one, or bass and treble side",
		func(f *FallAway) *Pair { return &f.Depth })
	return []field[FallAway]{
		whole("from", 0, MaxFrets, "the last fret on the straight line",
			func(f *FallAway) *int { return &f.From }).must("15"),
		depth.must(`"0.10 mm"`),
		choice("form", "curved", "straight", "falls with the square of the distance, or in proportion to it",
			func(f *FallAway) *bool { return &f.Straight }).or(`"curved"`),
	}
}
