package readplan

import (
	"slices"

	"ringtrue/internal/reading"
)

// Gauge is a gauge that a shop has.
type Gauge struct {
	Method reading.Method
	UMM    float64 // standard uncertainty of one of its readings
	Used   bool    // the neck was read with it
	Own    bool    // so it was, or every shop has one
	// Leaves are the lanes that it read with leaves that enter or do not: the same
	// leaves say the same again, so another pass there tells nothing.
	Leaves []float64
}

// Choice is one or more sets to be taken together.
type Choice struct {
	Sets    []Set
	Own     bool // by gauges of the shop
	Minutes float64
	Outlook
}

// everyThird are the first of some frets, every third, and the last.
func everyThird(frets []int) []int {
	var out []int
	for i := 0; i < len(frets); i += 3 {
		out = append(out, frets[i])
	}
	if last := frets[len(frets)-1]; len(frets) > 1 && out[len(out)-1] != last {
		out = append(out, last)
	}
	return out
}

// wideReach is how many frets a bridge's feet stand from its plunger where it is
// set wide: the wave that it sees is three times as long.
const wideReach = 3

// candidates lists what may be read with one gauge: along the outer lanes, both or
// one, all crowns or every third; the lanes in doubt, once and again; all lanes;
// with a bridge the same, with wide feet too. Of a gauge that the neck was not read with
// only what differs most.
func (d Doubt) candidates(g Gauge) []Set {
	all, open := d.lanes()
	if len(all) == 0 {
		return nil
	}
	frets := d.Known.Lanes[0].Frets
	set := func(lanes []float64, frets []int, passes, reach int) Set {
		return Set{Method: g.Method, Lanes: lanes, Frets: frets, Passes: passes, Reach: reach, UMM: g.UMM}
	}
	first, last := all[:1], all[len(all)-1:]
	both := slices.Concat(first, last)
	if len(all) == 1 {
		both = first
	}
	third := everyThird(frets)
	var out []Set
	switch threes := g.Method.Spec().Frets == 3; {
	case threes && g.Used:
		out = []Set{set(open, frets, 1, wideReach), set(all, frets, 1, wideReach), set(open, frets, 1, 1)}
	case threes:
		out = []Set{set(open, frets, 1, wideReach)}
	case g.Used:
		out = []Set{set(both, third, 1, 1), set(both, frets, 1, 1), set(first, frets, 1, 1), set(last, frets, 1, 1),
			set(open, third, 1, 1), set(open, frets, 1, 1), set(open, frets, 2, 1), set(open, frets, 4, 1), set(all, frets, 1, 1)}
	default:
		out = []Set{set(both, third, 1, 1), set(both, frets, 1, 1), set(open, third, 1, 1), set(open, frets, 1, 1), set(all, frets, 1, 1)}
	}
	return d.useful(g, distinct(out))
}

// lanes are the neck's lanes and those in doubt.
func (d Doubt) lanes() (all, open []float64) {
	for l, lane := range d.Known.Lanes {
		all = append(all, lane.Lane)
		if slices.Contains(d.Open, l) {
			open = append(open, lane.Lane)
		}
	}
	return all, open
}

// useful leaves out what the same leaves read before, and sets of no reading.
func (d Doubt) useful(g Gauge, sets []Set) []Set {
	return slices.DeleteFunc(sets, func(s Set) bool {
		again := slices.ContainsFunc(s.Lanes, func(l float64) bool { return slices.Contains(g.Leaves, l) })
		return again || s.Readings() == 0
	})
}

// distinct leaves out sets that are there already.
func distinct(sets []Set) []Set {
	var out []Set
	for _, s := range sets {
		if !slices.ContainsFunc(out, func(o Set) bool {
			return slices.Equal(o.Lanes, s.Lanes) && slices.Equal(o.Frets, s.Frets) && o.passes() == s.passes() && o.reach() == s.reach()
		}) {
			out = append(out, s)
		}
	}
	return out
}
