package findings

import (
	"slices"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
)

// Next is a set of readings worth taking next: Passes more of Method over Frets in
// each of Lanes.
type Next struct {
	Method string
	Lane   float64 // the first of Lanes
	Lanes  []float64
	Frets  []int
	Passes int
	Reach  int // of a bridge or a rocker: frets from its middle to either end
	Reason
	// Must is set where they must be taken in any case; of the others one is enough.
	Must bool
	// Minutes is how long they take. Settles is the chance that after them, and
	// after those that must be taken in any case, every lane is level or not level;
	// NaN where it is not worked out.
	Minutes, Settles float64

	uMM float64 // of one reading
}

// Purpose is what readings are to be taken for.
type Purpose int

// Purposes: crowns that are not determined, readings that were set aside, lanes in
// doubt.
const (
	TouchAcross Purpose = iota // not determined: a probe's touches
	LaneNotRead
	NotDetermined
	WithTwo   // not determined: with the two crowns beside them
	WholeLane // not determined: the whole lane in one pass
	Retake
	Settle
	OtherLeaf  // a leaf that does not enter would settle it
	FinerSteps // leaves in finer steps should
)

// Reason is why readings are worth taking, and what is to be said of them besides.
type Reason struct {
	For      Purpose
	Alone    reading.Method // it takes another gauge, since this one alone cannot tell
	Odd      []int          // of Retake: the frets whose readings were set aside
	OwnPass  bool           // of Retake: in a pass of its own
	Doubt    []float64      // of Settle: the lanes in doubt
	AllLanes bool           // these are all
	NoLeaf   bool           // of Settle: leaves cannot do it
	// Of OtherLeaf and FinerSteps: the range of the lanes' zones, and the leaf or
	// the step, mm.
	LeastMM, LargestMM, LeafMM float64
}

// What is listed for a neck in doubt: so many choices at most. Where what must be
// read in any case settles it this often, nothing more is listed.
const (
	maxChoices = 3
	settledAs  = 0.75
)

// Next lists the fewest readings that would settle what is open. First come those
// that must be taken in any case: what was set aside, and what was never
// determined. Then, where lanes are in doubt, what takes most of the doubt away in a
// minute, and after it what takes longer and settles more; one of these is enough.
// They may be of any gauge that the neck was read with, or that most shops have.
// readings are those that the neck was judged by. Nothing is listed where every
// lane has its verdict and no crown is open.
func (n *Neck) Next(readings []reading.Reading, t readplan.Times) []Next {
	shop := n.shop(readings)
	out := n.must(readings, shop, t)
	d, err := n.doubt()
	if err != nil || len(d.Open) == 0 {
		for i := range out {
			out[i].Settles = 1 // every lane has its verdict already
		}
		return out
	}
	var must []readplan.Set
	for i := range out {
		must = append(must, out[i].Set())
		if o, err := d.After(fewDraws, must...); err == nil {
			out[i].Settles = o.Settles
		}
	}
	if len(out) > 0 && (out[len(out)-1].Settles >= settledAs || n.halfRead()) {
		return out
	}
	byLeaf, cannot := n.byLeaf(t)
	choices := n.choices(d, must, shop, t)
	if len(choices) > 0 {
		choices[0].NoLeaf = cannot
	}
	out = append(out, byLeaf...)
	return append(out, choices[:min(len(choices), maxChoices-len(byLeaf))]...)
}

// halfRead reports whether a lane of the neck was not read at all: then there is
// no doubt to settle yet.
func (n *Neck) halfRead() bool {
	return slices.ContainsFunc(n.Estimate.Undetermined, func(u heights.Undetermined) bool { return u.Why == heights.WhyLaneNotRead })
}

// Must lists only what must be taken in any case, with no chances.
func (n *Neck) Must(readings []reading.Reading) []Next {
	return n.must(readings, n.shop(readings), readplan.Usual())
}

func (n *Neck) must(readings []reading.Reading, s shop, t readplan.Times) []Next {
	g := gaugesOf(readings)
	out := append(n.retakes(readings, g), n.determine(g)...)
	for i := range out {
		out[i].uMM = s.u(reading.Method(out[i].Method))
		out[i].Minutes, out[i].Must = out[i].Set().Minutes(t), true
	}
	return out
}

// fewDraws are enough for a chance that is said to one digit.
const fewDraws = 100

// choices are what would settle lanes in doubt, the best first.
func (n *Neck) choices(d readplan.Doubt, must []readplan.Set, s shop, t readplan.Times) []Next {
	best, err := d.Best(s, must, t, maxChoices)
	if err != nil {
		return nil // the covariance of an estimate is one: there is no such neck
	}
	why := Reason{For: Settle, AllLanes: len(d.Open) == len(d.Known.Lanes)}
	for _, l := range d.Open {
		why.Doubt = append(why.Doubt, d.Known.Lanes[l].Lane)
	}
	var out []Next
	for _, c := range best {
		for _, s := range c.Sets {
			out = append(out, Next{Method: string(s.Method), Lane: s.Lanes[0], Lanes: s.Lanes, Frets: s.Frets, Passes: max(1, s.Passes), Reach: s.Reach,
				Minutes: c.Minutes, Settles: c.Settles, uMM: s.UMM, Reason: why})
		}
	}
	return out
}

// Set is what is to be read, as a set.
func (x Next) Set() readplan.Set {
	return readplan.Set{Method: reading.Method(x.Method), Lanes: x.Lanes, Frets: x.Frets, Passes: x.Passes, Reach: x.Reach, UMM: x.uMM}
}

// joined puts together what asks the same of several lanes.
func joined(all []Next) []Next {
	var out []Next
	for _, x := range all {
		at := slices.IndexFunc(out, func(o Next) bool {
			return o.Method == x.Method && o.Passes == x.Passes && o.Reach == x.Reach && o.For == x.For && o.OwnPass == x.OwnPass &&
				slices.Equal(o.Odd, x.Odd) && slices.Equal(o.Frets, x.Frets)
		})
		if at < 0 {
			out = append(out, x)
			continue
		}
		for _, l := range x.Lanes {
			if !slices.Contains(out[at].Lanes, l) {
				out[at].Lanes = append(slices.Clone(out[at].Lanes), l)
			}
		}
	}
	return out
}
