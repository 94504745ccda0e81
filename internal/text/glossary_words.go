package text

// neckWords are of the neck and its parts.
func neckWords() []Word {
	return []Word{
		{"scale", []string{"scale length"}, []string{"scale.length"}, "nut to saddle, before any setback"},
		{"slanted frets", []string{"multi-scale", "fan frets", "fanned frets"}, []string{"scale.bass", "scale.treble", "scale.square_at"}, "a scale of its own along each outer lane; one fret stands square"},
		{"divisions", nil, []string{"scale.divisions"}, "equal steps of the octave; 12 as a rule"},
		{"fret", nil, []string{"scale.frets", "column fret"}, "fret 0 is the nut, fret n the n-th from it"},
		{"zero fret", nil, []string{"scale.zero_fret"}, "a fret at the nut's place that the open strings rest on"},
		{"radius", []string{"camber"}, []string{"board.radius", "board.radius_within"}, "of the board across; two values make a cone, one a cylinder"},
		{"board", []string{"fingerboard", "fretboard"}, []string{"board.width", "board.thickness", "board.wood", "board.sawn"}, "the wood that the frets sit in"},
		{"moisture", []string{"moisture content"}, []string{"board.moisture"}, "water in the wood, in per cent of its dry weight"},
		{"binding", nil, []string{"board.binding"}, "a strip along the board's edge; slots and tangs stop there"},
		{"straight", []string{"flat"}, []string{"board.flat"}, "a board's lane within its limit, without the shape"},
		{"strung", []string{"under tension"}, []string{"level.strung"}, "with the strings on and at pitch; slack: without them. Strings bow the neck, so the two read differently"},
		{"joint", []string{"body joint"}, []string{"neck.joint"}, "the fret at which the neck meets the body"},
		{"heel", []string{"heel cap"}, []string{"neck.heel"}, "the end of a set neck at the body; its depth runs from the board to the cap"},
		{"pocket", []string{"neck pocket"}, []string{"neck.pocket"}, "the hollow in the body that a bolt-on neck sits in"},
		{"reset", []string{"neck reset", "neck angle"}, nil, "turning a neck back at its joint, to bring the strings down where the saddle can't"},
		{"neck", nil, []string{"neck.wood", "neck.thickness", "name"}, "what bends when the strings pull"},
		{"rod", []string{"truss rod"}, []string{"neck.rod"}, "takes out or gives bow; what it can take out is not filed away"},
		{"spread", []string{"string spread", "string spacing"}, []string{"strings.spread", "strings.set.at"}, "between the outer strings' centres, at nut and saddle"},
		{"string", nil, []string{"strings.set", "strings.set.pitch", "strings.set.gauge", "strings.set.kind", "strings.set.core", "strings.set.tension", "strings.set.mass", "strings.set.stiffness"}, "counted from 1, the treble side"},
		{"wrap", []string{"winding", "wrap wire"}, []string{"strings.set.wrap"}, "what a wound string is wound with; with gauge and core it makes the string's weight"},
		{"damping", nil, []string{"strings.damping", "strings.damping.base", "strings.damping.q", "strings.damping.square", "strings.damping.finger",
			"strings.set.damping", "strings.set.damping.base", "strings.set.damping.q", "strings.set.damping.square", "strings.set.damping.finger"},
			"how fast each partial of a string dies away; finger: how much faster on a stopped note"},
		{"wire", []string{"fretwire"}, []string{"wire.alloy", "wire.hardness", "wire.modulus", "wire.yield"}, "what frets are cut from"},
		{"crown", []string{"bead", "fret top"}, []string{"wire.crown_width", "wire.crown_height", "wire.crown_radius"}, "the part above the board; in one lane, the point a string rests on"},
		{"tang", nil, []string{"wire.tang_depth", "wire.tang_width"}, "the part that goes into the slot"},
		{"barb", []string{"stud", "tang nib"}, []string{"wire.barb_width"}, "what grips the tang in the slot's walls"},
		{"bevel", []string{"fret end bevel"}, nil, "the slope filed on all fret ends along a side of the board, as an angle from upright"},
		{"flush", nil, nil, "a fret end level with the board's side; under flush: filed back further, for the season in which the board is narrowest"},
		{"proud", []string{"proud end", "fret sprout"}, nil, "sticking out: a fret end beyond the side of a board that has shrunk, or a crown above the others"},
		{"slot", []string{"fret slot", "kerf"}, []string{"slot.width"}, "the saw cut for a tang"},
		{"activator", []string{"accelerator"}, nil, "makes cyanoacrylate set at once; the joint is weaker for the first hours"},
		{"push-out test", nil, nil, "frets glued into scraps and pushed out one by one over a day: when the force no longer grows, the glue is hard"},
		{"floor gap", nil, []string{"slot.floor_gap"}, "the room left under the tang for glue"},
	}
}

// gaugeWords are of reading a neck, beside the methods' own.
func gaugeWords() []Word {
	return []Word{
		{"lane", []string{"string path"}, []string{"column lane"}, "the straight path under a string; 3.5 lies halfway between strings 3 and 4"},
		{"reading", nil, []string{"column reading", "column unit", "column method"}, "one number off one gauge at one place"},
		{"pass", []string{"set-up of the gauge"}, []string{"column pass"}, "readings that share one set-up, so one unknown offset and tilt"},
		{"standard uncertainty", []string{"u", "±"}, []string{"column u"}, "how far a value may be off, as one standard deviation: two times in three it is off by less"},
		{"thou", []string{"thousandth", "mil"}, nil, "a thousandth of an inch: 0.0254 mm, about 25 µm"},
		{"feeler", []string{"leaf", "feeler gauge"}, []string{"column no_go"}, "a leaf of known thickness that enters a gap, or no longer does"},
		{"state", nil, []string{"column state"}, "slack, rod set or strung: the neck's state when it was read"},
		{"record of a pass", nil, []string{"column by", "column gauge", "column date", "column temperature", "column humidity"}, "who read it, with what, when, in which air"},
	}
}

// answerWords are of the verdicts and the plan.
func answerWords() []Word {
	return []Word{
		{"zone", []string{"straightness", "levelness"}, []string{"level.zone"}, "the least width that all crowns of a lane lie within, its shape taken out (ISO 1101)"},
		{"relief", []string{"neck relief"}, []string{"level.relief", "setup.relief", "setup.relief_to"}, "a hollow along the neck: under level, the one the crowns should follow; under setup, the bow that strings and rod add to it"},
		{"fall-away", []string{"drop-off", "tail-off"}, []string{"level.fall_away", "level.fall_away.from", "level.fall_away.depth", "level.fall_away.form"}, "how the last frets drop away from the straight line"},
		{"hump", []string{"bump"}, nil, "frets in a row, or a stretch of board, that are higher than the rest: find out why before you file"},
		{"loose", []string{"loose end", "loose fret"}, nil, "a fret end that moves under the gauge, or a tang that only glue holds: press and glue it before filing"},
		{"sprung", []string{"sprung fret", "lifted", "not seated"}, nil, "a fret that has come up out of its slot, most often at one end: press and glue it, then read again"},
		{"shape", nil, nil, "what a lane should be: straight, plus relief and fall-away"},
		{"minimum crown", []string{"least crown"}, []string{"level.least_crown"}, "a crown lower than this is replaced, not levelled"},
		{"land", []string{"flat"}, nil, "the flat that the file leaves on a crown"},
		{"refit", []string{"reseat or replace", "part re-fret", "re-fret"}, []string{"minutes.reseat"}, "lift a fret and fit it again, or fit a new one"},
		{"levelling", []string{"fret dress"}, []string{"minutes.file"}, "taking crowns down to one zone, then shaping and polishing them"},
		{"off", nil, nil, "a crown's signed distance from its lane's reference line"},
		{"in doubt", nil, nil, "the readings give less than 95 % confidence either way"},
		{"reference line", []string{"reference"}, nil, "the line through a lane that most of its crowns lie closest to, the shape taken out; heights are measured from it"},
		{"bow", nil, nil, "the depth of the curve that fits a lane best: + a hollow, - a hump"},
		{"step", nil, nil, "how far a crown is off the line between its two neighbours; tables show a lane's largest"},
		{"levellings left", nil, nil, "how many more like this one until the minimum crown is reached"},
		{"cost", nil, nil, "the work a plan needs: level, part re-fret or re-fret"},
		{"recheck", []string{"misread"}, nil, "a reading that disagrees with the others and was set aside: read it again"},
		{"twist", []string{"wind"}, nil, "one end of the neck turned against the other"},
		{"setback", []string{"set back", "compensation", "intonation"}, nil, "how far saddle or nut are moved off the bare scale so that notes are in tune"},
	}
}

// soundWords are of the string against the frets.
func soundWords() []Word {
	return []Word{
		{"action", []string{"string height"}, []string{"setup.action"}, "the open string above fret 12's crown"},
		{"nut slot", []string{"string slot"}, nil, "the groove in the nut that a string lies in; its floor sets the string's height over fret 1"},
		{"shim", nil, nil, "a thin piece that raises what lies on it: a nut, a saddle, a neck in its pocket"},
		{"nut height", []string{"first fret action"}, []string{"setup.nut", "setup.nut_gap"}, "the string's underside at the nut; nut_gap: over fret 1's crown"},
		{"touch", []string{"attack", "pick attack"}, []string{"setup.touch", "setup.touch.name", "setup.touch.force", "strings.set.force", "setup.touch.lift", "setup.touch.from_saddle", "setup.judge_by"}, "how hard and where a string is plucked"},
		{"graze", nil, []string{"setup.graze"}, "a contact too small to call a buzz"},
		{"buzzes", []string{"buzz", "rattles"}, nil, "the string strikes frets harder than a graze"},
		{"chokes", []string{"choke", "dead", "frets out", "note out"}, nil, "the string, at rest or in a bend, already lies on a fret beyond its stop"},
		{"margin", nil, nil, "the least of gap minus reach over the frets beyond the stop"},
		{"reach", nil, nil, "how far the free string swings below its rest line"},
	}
}

// bookWords are of the record and the process.
func bookWords() []Word {
	return []Word{
		{"book", nil, nil, "every neck's readings, saved permanently"},
		{"record", nil, nil, "one neck at one stage: its neck file and readings, just as you gave them"},
		{"stage", nil, nil, "when a neck was read: seated, levelled, serviced, or any word of yours"},
		{"stroke", []string{"double stroke", "metal per stroke"}, nil, "one push of a file along a fret; of a beam there and back, a double stroke. Count them for the time, stop by the flat"},
		{"quote", []string{"80 % point"}, nil, "a time that a job keeps within, 8 times in 10"},
		{"tag", nil, nil, "your own word about a record, such as wire=lot7"},
		{"worn", []string{"grooved"}, nil, "a crown lower than it was, under a string, by more than the gauges' noise"},
		{"repeatability", []string{"equipment variation"}, nil, "how far one operator's readings of one part scatter"},
		{"reproducibility", []string{"appraiser variation"}, nil, "how far operators differ from each other"},
		{"sigma", nil, nil, "how far single values scatter by chance, as one standard deviation"},
		{"p", nil, nil, "how often chance alone, in a steady shop, would show as much"},
		{"shift", []string{"step"}, nil, "from one value on, the figure stays higher or lower than before"},
		{"signal", []string{"out of control"}, nil, "a point or a run that chance alone would rarely make: look for its cause"},
	}
}
