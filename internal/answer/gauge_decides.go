package answer

import (
	"fmt"
	"math"

	"ringtrue/internal/gauge"
)

// passesShown are the numbers of passes that an answer looks at.
func passesShown() []int { return []int{1, 2, 3, 4, 6, 8} }

// decides says what readings with these variances settle at the zone. upper is
// the upper limit of confidence of one reading's standard deviation.
//
// What averages out is repeatability. One hand's own height does not matter,
// since it is part of the pass's offset; what it reads differently from place
// to place (the interaction) does, and so does, with changing hands, both.
func (g *gauger) decides(v gauge.Variances, upper float64) {
	free := math.Sqrt(v.Repeatability)
	anyFixed, oneFixed := math.Sqrt(v.Reproducibility()), math.Sqrt(v.Interaction)
	largest := gauge.LargestU(g.zone)
	sharp := gauge.SharpU(g.zone)
	d := &DecidesAnswer{
		Zone: g.zone, LargestU: largest, SharpU: sharp, UUpper: known(upper),
		PassesAnyHand: passes(anyFixed, free, largest), PassesOneHand: passes(oneFixed, free, largest),
		SharpAnyHand: passes(anyFixed, free, sharp), SharpOneHand: passes(oneFixed, free, sharp),
	}
	for _, n := range passesShown() {
		d.AnyHand = append(d.AnyHand, sight(gauge.See(anyFixed, free, g.zone, n)))
		d.OneHand = append(d.OneHand, sight(gauge.See(oneFixed, free, g.zone, n)))
	}
	if u := math.Sqrt(v.Gauge()); v.Part > 0 && u > 0 {
		r := gauge.WrongVerdicts(math.Sqrt(v.Part), u, g.zone/2, g.zone/2)
		d.PassedWrongly, d.RefusedWrong = known(100*r.PassedWrongly), known(100*r.RefusedWrongly)
	}
	g.answer.Decides = d
	g.decidesWords(d, v)
}

func passes(fixed, free, u float64) *int {
	if n := gauge.Passes(fixed, free, u); n > 0 {
		return &n
	}
	return nil
}

func sight(s gauge.Sight) SightAnswer {
	return SightAnswer{Passes: s.Passes, U: s.U, LevelWithin: known(s.LevelWithin), OffBeyond: s.OffBeyond}
}

// decidesWords says the same in plain words.
func (g *gauger) decidesWords(d *DecidesAnswer, v gauge.Variances) {
	one := d.AnyHand[0]
	if one.LevelWithin == nil {
		g.say("one reading (u %s) cannot call a crown level at a zone of %s, not even one that reads dead on: that wants u of %s or less", g.size(one.U), g.zoneSize(), g.size(d.LargestU))
		g.say("it can call a crown high or low that reads more than %s off", g.size(one.OffBeyond))
	} else {
		g.say("one reading (u %s) at a zone of %s: a crown read within %s of its place is level, one read more than %s off is high or low, between these it stays in doubt", g.size(one.U), g.zoneSize(), g.size(*one.LevelWithin), g.size(one.OffBeyond))
	}
	hands := v.Reproducibility() > 0
	switch {
	case d.PassesAnyHand == nil && d.PassesOneHand == nil:
		g.say("no number of passes will do: what does not average out is too large by itself")
	case d.PassesAnyHand == nil:
		g.say("no number of passes by changing hands will do, the hands differ too much; of one and the same hand: %s", plural(*d.PassesOneHand))
	case *d.PassesAnyHand > 1 && hands && d.PassesOneHand != nil && *d.PassesOneHand < *d.PassesAnyHand:
		g.say("averaged, %s can call a crown level, or %s of one and the same hand", plural(*d.PassesAnyHand), plural(*d.PassesOneHand))
	case *d.PassesAnyHand > 1:
		g.say("averaged, %s can call a crown level", plural(*d.PassesAnyHand))
	}
	switch {
	case d.SharpAnyHand != nil && *d.SharpAnyHand > 1:
		g.say("%s call every crown level that is read within half of that side of the zone, %s", plural(*d.SharpAnyHand), g.size(d.Zone/4))
	case d.SharpAnyHand == nil && d.SharpOneHand != nil && *d.SharpOneHand > 1:
		g.say("%s of one hand call every crown level that is read within half of that side of the zone, %s", plural(*d.SharpOneHand), g.size(d.Zone/4))
	}
	if d.UUpper != nil && one.U <= d.LargestU && *d.UUpper > d.LargestU {
		g.warn("the study is too small to be sure of that: u may be as large as %s", g.size(*d.UUpper))
	}
}

func plural(passes int) string {
	if passes == 1 {
		return "1 pass"
	}
	return fmt.Sprintf("%d passes", passes)
}
