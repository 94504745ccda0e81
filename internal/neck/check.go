package neck

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/unit"
)

// check looks at what hangs together between keys, as far as these are sound,
// and settles the defaults that hang on other keys.
func (d *decoder) check(root *node, m *Model) {
	d.checkScale(root.child("scale"), m)
	d.checkFrets(root, m)
	d.checkBoard(root.child("board"), m)
	d.checkStrings(root.child("strings"), m)
	d.checkSetup(root.child("setup"), m)
	d.checkForces(root.child("strings").child("set"), m)
}

// checkScale settles straight against slanted frets.
func (d *decoder) checkScale(n *node, m *Model) {
	if n == nil || n.form != tableForm {
		return
	}
	one, bass, treble := n.child("length"), n.child("bass"), n.child("treble")
	switch {
	case one != nil && (bass != nil || treble != nil):
		d.fault(one.line, "scale.length", "can't be used with bass or treble; give length alone, or bass and treble")
	case one == nil && bass == nil && treble == nil:
		d.fault(n.line, "scale.length", `is missing; write length = "640 mm", or bass and treble for slanted frets`)
	case one == nil && bass == nil:
		d.fault(treble.line, "scale.bass", "is missing; slanted frets need bass and treble")
	case one == nil && treble == nil:
		d.fault(bass.line, "scale.treble", "is missing; slanted frets need bass and treble")
	case one != nil:
		m.Scale.Bass = m.Scale.Treble
	default:
		m.Scale.Slanted = true
	}
	d.checkSpacing(n, m)
}

// minSpacing is the least distance in mm between two frets that the program
// looks at; thinner than any wire.
const minSpacing = 0.1

// checkSpacing refuses frets that crowd together near the saddle.
func (d *decoder) checkSpacing(n *node, m *Model) {
	if !d.good("scale.length", "scale.bass", "scale.treble", "scale.frets", "scale.divisions") {
		return
	}
	s := m.Scale
	last := math.Min(s.Bass, s.Treble) * (s.share(s.Frets) - s.share(s.Frets-1))
	if last < minSpacing {
		d.fault(n.child("frets").line, "scale.frets", "%d frets at %d to the octave leave %s mm before the last; ask for fewer",
			s.Frets, s.Divisions, short(last))
	}
}

// share is the part of the scale from the nut to a fret.
func (s Scale) share(fret int) float64 {
	return -math.Expm1(-float64(fret) / float64(s.Divisions) * math.Ln2)
}

// short prints a length for a message.
func short(v float64) string { return unit.Decimal(math.Round(v*1000) / 1000) }

// checkFrets holds every key that names a fret against the number of frets.
func (d *decoder) checkFrets(root *node, m *Model) {
	if d.bad["scale.frets"] {
		return
	}
	last := m.Scale.Frets
	within := func(table, key string, n *node, fret, lo, hi int) {
		name := join(table, key)
		if n == nil || d.bad[name] || (fret >= lo && fret <= hi) {
			return
		}
		if hi < lo {
			d.fault(n.line, name, "has no place on a neck of %d frets", last)
			return
		}
		d.fault(n.line, name, "%d is outside %d to %d on a neck of %d frets", fret, lo, hi, last)
	}
	within("scale", "square_at", root.child("scale").child("square_at"), m.Scale.SquareAt, 0, last)
	within("neck", "joint", root.child("neck").child("joint"), m.Body.Joint, 1, last)
	if heel, pocket := root.child("neck").child("heel"), root.child("neck").child("pocket"); heel != nil && pocket != nil {
		d.fault(pocket.line, "neck.pocket", "a neck is set or bolted on; keep heel or pocket")
	}
	if strung := root.child("level").child("strung"); m.Level.Strung && (m.Body.Wood == "" || m.Body.Thickness[0] == 0) {
		d.fault(strung.line, "level.strung", "needs the neck's stiffness: add neck.wood and neck.thickness")
	}
	if f := m.Level.FallAway; f != nil {
		within("level.fall_away", "from", root.child("level").child("fall_away").child("from"), f.From, 0, last-1)
	}
	to := root.child("setup").child("relief_to")
	if to == nil {
		d.assumed = append(d.assumed, "setup.relief_to")
		m.Setup.ReliefTo = last
		if m.Body.Joint > m.Scale.first() {
			m.Setup.ReliefTo = m.Body.Joint
		}
	}
	// The body may begin beyond the last fret.
	within("setup", "relief_to", to, m.Setup.ReliefTo, m.Scale.first()+1, MaxFrets)
}

// first is the number of the first fret that has a crown.
func (s Scale) first() int {
	if s.ZeroFret {
		return 0
	}
	return 1
}

// checkBoard holds the board's sizes against each other.
func (d *decoder) checkBoard(n *node, m *Model) {
	if !d.good("board.width") {
		return
	}
	b := m.Board
	if r := n.child("radius"); r != nil && d.good("board.radius") && b.Radius != (Pair{}) {
		for end, at := range []string{"the nut", "the last fret"} {
			if b.Radius[end] <= b.Width[end]/2 {
				d.fault(r.line, "board.radius", `%s mm cannot arch a board %s mm wide at %s; write a radius over half the width, or "flat"`,
					short(b.Radius[end]), short(b.Width[end]), at)
				break
			}
		}
	}
	if k := n.child("binding"); k != nil && d.good("board.binding") && 2*b.Binding >= math.Min(b.Width[0], b.Width[1]) {
		d.fault(k.line, "board.binding", "%s mm on each side leaves no wood between", short(b.Binding))
	}
}

// checkStrings holds the strings' places against each other and the board.
func (d *decoder) checkStrings(n *node, m *Model) {
	if !d.good("strings.spread", "strings.set", "board.width", "scale.length", "scale.bass", "scale.treble", "scale.frets", "scale.divisions") {
		return
	}
	nut, saddle := m.stringPlaces()
	set := n.child("set")
	for i := 1; i < len(nut); i++ {
		if nut[i] >= nut[i-1] || saddle[i] >= saddle[i-1] {
			key := fmt.Sprintf("strings.set[%d]", i+1)
			if m.Strings.Set[i].At == nil && m.Strings.Set[i-1].At == nil {
				d.fault(n.child("spread").line, "strings.spread", "puts strings on top of each other; write the distance between the outer strings' centres")
			} else {
				d.fault(set.items[i].line, key, "is not on the bass side of string %d; strings count from the treble side, where at is positive", i)
			}
			return
		}
	}
	d.checkOnBoard(n, m, nut, saddle)
}

// checkOnBoard refuses outer strings that lie off the board.
func (d *decoder) checkOnBoard(n *node, m *Model, nut, saddle []float64) {
	p := m.Scale.share(m.Scale.Frets)
	for _, i := range []int{0, len(nut) - 1} {
		places := []float64{nut[i], nut[i] + p*(saddle[i]-nut[i])}
		for end, at := range []string{"the nut", "the last fret"} {
			half := m.Board.Width[end] / 2
			if math.Abs(places[end]) <= half {
				continue
			}
			line, key := n.child("spread").line, "strings.spread"
			if m.Strings.Set[i].At != nil {
				line, key = n.child("set").items[i].line, fmt.Sprintf("strings.set[%d].at", i+1)
			}
			d.fault(line, key, "string %d lies %s mm from the centre line at %s, off the board, which is %s mm wide there",
				i+1, short(math.Abs(places[end])), at, short(m.Board.Width[end]))
			return
		}
	}
}

// stringPlaces is each string's distance from the centre line at the nut and
// the saddle, treble side positive.
func (m *Model) stringPlaces() (nut, saddle []float64) {
	last := len(m.Strings.Set) - 1
	for i, s := range m.Strings.Set {
		t := 0.5
		if last > 0 {
			t = float64(i) / float64(last)
		}
		at := Pair{m.Strings.Spread[0] * (0.5 - t), m.Strings.Spread[1] * (0.5 - t)}
		if s.At != nil {
			at = *s.At
		}
		nut, saddle = append(nut, at[0]), append(saddle, at[1])
	}
	return nut, saddle
}

// checkSetup settles nut against nut_gap and holds the touches together.
func (d *decoder) checkSetup(n *node, m *Model) {
	s := &m.Setup
	nut, gap := n.child("nut"), n.child("nut_gap")
	switch {
	case nut != nil && gap != nil:
		d.fault(gap.line, "setup.nut_gap", "can't be used with nut; give one of them")
	case nut == nil && gap == nil:
		height := 0.35 // as the Heron's
		if m.Scale.ZeroFret {
			height = 0 // the string rests on fret 0's crown
		}
		s.Nut = even(height, height, len(m.Strings.Set))
	}
	if d.good("setup.touch") && len(s.Touch) > 0 {
		d.checkTouches(n, m)
	}
}

// checkTouches finds the touch that judges, and refuses a pluck off the string.
func (d *decoder) checkTouches(n *node, m *Model) {
	s := &m.Setup
	var known []string
	for i, t := range s.Touch {
		known = append(known, t.Name)
		list := n.child("touch")
		if count := len(m.Strings.Set); list != nil && t.Forces != nil && count > 0 && len(t.Forces) != count {
			d.fault(list.items[i].child("force").line, fmt.Sprintf("setup.touch[%d].force", i+1),
				"has %d values for %d strings; write one value, or one for each string", len(t.Forces), count)
		}
		if list == nil || !d.good("scale.length", "scale.bass", "scale.treble") {
			continue
		}
		if shortest := math.Min(m.Scale.Bass, m.Scale.Treble); t.FromSaddle >= shortest {
			d.fault(list.items[i].child("from_saddle").line, fmt.Sprintf("setup.touch[%d].from_saddle", i+1),
				"%s mm must be shorter than the scale, %s mm", short(t.FromSaddle), short(shortest))
		}
	}
	judge := n.child("judge_by")
	switch {
	case judge == nil:
		s.JudgeBy = known[0]
	case d.good("setup.judge_by") && !contains(known, s.JudgeBy):
		d.fault(judge.line, "setup.judge_by", "there is no touch %q; use %s", s.JudgeBy, strings.Join(known, ", "))
	}
}

// checkForces refuses a string's own force where the touch that judges has none
// for it to replace.
func (d *decoder) checkForces(set *node, m *Model) {
	if !d.good("strings.set", "setup.touch", "setup.judge_by") {
		return
	}
	for i, own := range m.Strings.Set {
		for _, t := range m.Setup.Touch {
			if own.Force > 0 && t.Name == m.Setup.JudgeBy && t.Force == 0 {
				d.fault(set.items[i].child("force").line, fmt.Sprintf("strings.set[%d].force", i+1),
					"touch %q has a lift; give it a force, or leave this out", t.Name)
			}
		}
	}
}
