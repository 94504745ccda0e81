package level

import (
	"math"
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// HandMM is how true a hand files that is told what to take off, standard
// deviation in mm. From memory.
const HandMM = 0.004

// Levelling is what lies between two sets of readings of a neck: what was planned,
// and what the readings say was done.
type Levelling struct {
	Layout        *geometry.Layout
	Before, After []reading.Reading
	Lanes, Now    []Lane       // what either set tells, the second taken alone
	Aside         map[int]bool // places in Before of readings that were set aside
	First         map[int]bool // frets that were pressed or replaced
	Planned       Plan         // in the order of Lanes
	Known         bool         // Planned is what the hand was told
	// Was and Is are the layouts that either set was judged by: strung, their shapes
	// hold a bow. Lanes and Now are off their own. Nil: Layout.
	Was, Is *geometry.Layout

	removed   map[Place]float64 // what was planned off
	strays    map[Place]float64 // how far moves end from that
	bowFree   bool
	sameState bool
	crowns    map[Place]*filing
	bows      map[float64]curve // by lane, where the bow is free
}

// filing is one crown of both sets.
type filing struct {
	planned, taken, u float64
	told              bool // the readings tell what came off
	far               bool // more or less than planned, beyond chance
	unsure            bool // it may have moved, or the lane was not filed as planned
}

// Compare finds what came off each crown. It comes before all else.
func (v *Levelling) Compare() {
	v.removed, v.strays, v.crowns, v.bows = map[Place]float64{}, map[Place]float64{}, map[Place]*filing{}, map[float64]curve{}
	one, two := StateOf(v.Before), StateOf(v.After)
	v.sameState = one != "" && one == two
	v.bowFree = !v.sameState
	for i, l := range v.Lanes {
		for k, f := range l.Frets {
			p, plan := Place{f, l.Lane}, v.Planned.Lanes[i]
			v.removed[p] = plan.RemoveMM[k]
			if plan.StrayMM != nil {
				v.strays[p] = plan.StrayMM[k]
			}
		}
		for _, now := range v.Now {
			if now.Lane == l.Lane {
				v.compare(l, now)
			}
		}
	}
}

// hand is how true a crown was filed to what was planned, standard deviation: 0 where
// nothing touched it.
func (v *Levelling) hand(p Place) float64 {
	switch stray := v.strays[p]; {
	case stray > untouchedMM:
		return math.Max(HandMM, stray)
	case v.removed[p] > 0:
		return HandMM
	}
	return 0
}

// untouchedMM is the least that moves take off a crown that counts. Chosen: a marker's
// film is about a micrometre thick (from memory), so what takes off less still shows
// its ink, and no gauge here tells 1 µm from nothing.
const untouchedMM = 0.001

// StateOf is the state of the neck that all readings of crowns note; "" where one
// notes none, or they differ.
func StateOf(readings []reading.Reading) string {
	state, seen := "", false
	for _, r := range readings {
		if r.Method.Spec().Rank == 0 {
			continue
		}
		if seen && r.State != state {
			return ""
		}
		state, seen = r.State, true
	}
	return state
}

// Filed is what came off each crown of both sets as planned, mm.
func (v *Levelling) Filed() map[Place]float64 {
	out := map[Place]float64{}
	for p, k := range v.crowns {
		if k.planned > 0 && v.Known {
			out[p] = k.planned
		}
	}
	return out
}

// Mistake is a crown that lost metal and should not have, as JSON has it.
type Mistake struct {
	Fret    int     `json:"fret"`
	Lane    float64 `json:"lane"`
	TakenMM float64 `json:"taken_mm"`
	UMM     float64 `json:"u_mm"`
}

// Deed is a crown after levelling: what was to come off and what did.
type Deed struct {
	Fret      int     `json:"fret"`
	Lane      float64 `json:"lane"`
	PlannedMM float64 `json:"planned_mm"`
	TakenMM   float64 `json:"taken_mm"`
	UMM       float64 `json:"u_mm"`
}

// Deeds are what the hand did otherwise than planned, as JSON has it.
type Deeds struct {
	// FiledByMistake are crowns that were not to be filed and now stand lower by
	// more than chance.
	FiledByMistake []Mistake `json:"filed_by_mistake"`
	Proud          []Deed    `json:"proud"`  // still above what the plan leaves
	Beyond         []Deed    `json:"beyond"` // filed beyond the plan
	BeyondMM       float64   `json:"beyond_total_mm"`
}

// Otherwise names what the hand did otherwise than planned; high are the crowns
// that stand high now.
func (v *Levelling) Otherwise(high map[Place]bool) Deeds {
	d := Deeds{FiledByMistake: []Mistake{}, Proud: []Deed{}, Beyond: []Deed{}}
	for _, l := range v.Lanes {
		for _, f := range l.Frets {
			p := Place{f, l.Lane}
			k := v.crowns[p]
			if k == nil || !k.told {
				continue
			}
			over := k.taken - k.planned
			row := Deed{f, p.Lane, k.planned, k.taken, k.u}
			switch {
			case k.far && over > 0 && k.planned == 0:
				d.FiledByMistake = append(d.FiledByMistake, Mistake{f, p.Lane, k.taken, k.u})
				d.BeyondMM += over
			case k.far && over > 0:
				d.Beyond = append(d.Beyond, row)
				d.BeyondMM += over
			case high[p]:
				d.Proud = append(d.Proud, row)
			}
		}
	}
	return d
}

const (
	// falseMoves is the chance that anything is said to have moved on a neck where
	// nothing did, all crowns together.
	falseMoves = 0.01
	// holdsWithin is how many standard uncertainties the two sets may differ at a
	// crown for its readings before to count: less than what is said to have moved,
	// since a crown that moved a little unseen would be taken half-way.
	holdsWithin = 2.5
	// handFarOff is how many standard uncertainties what a hand took off a lane may
	// differ from what was planned, in proportion, before it counts as unknown.
	handFarOff = 3.0
	// minCommon is how many crowns both sets must know in a lane to be compared:
	// with a line and a bow of its own fewer would fit anything.
	minCommon = 6
)

// compare finds what came off one lane, crown by crown. Both sets see the lane only
// up to a line, and where the rod or the strings may be set otherwise, a bow.
func (v *Levelling) compare(before, now Lane) {
	var x, left, u []float64
	var all []*filing
	for i, f := range before.Frets {
		k := slices.Index(now.Frets, f)
		if k < 0 || v.First[f] {
			continue
		}
		p := Place{f, before.Lane}
		c := &filing{planned: v.removed[p], u: math.Hypot(before.U[i], now.U[k])}
		c.u = math.Hypot(c.u, v.hand(p))
		all = append(all, c)
		x, left, u = append(x, before.X[i]), append(left, before.D[i]-c.planned-now.D[k]), append(u, c.u)
		v.crowns[p] = c
	}
	if len(all) < minCommon {
		return
	}
	fit := robust(x, left, u, v.bowFree)
	if v.bowFree {
		v.bows[before.Lane] = fit
	}
	n := 0 // crowns that the second set knows
	for _, l := range v.Now {
		n += len(l.Frets)
	}
	// What lies beyond chance for all crowns together, by the bound of Bonferroni.
	much := math.Sqrt2 * math.Erfinv(1-falseMoves/float64(max(n, 1)))
	for i, c := range all {
		over := left[i] - fit.at(x[i])
		c.told, c.taken, c.far = true, c.planned+over, math.Abs(over) > much*c.u
		c.unsure = math.Abs(over) > holdsWithin*c.u
	}
	if !asPlanned(all) {
		for _, c := range all {
			c.unsure = c.unsure || c.planned > 0
		}
	}
}

// asPlanned reports whether a lane's filed crowns lost what was planned, in
// proportion: a little too little on each is beyond chance together.
func asPlanned(all []*filing) bool {
	told, done := 0.0, 0.0
	for _, c := range all {
		if c.planned > 0 {
			w := c.planned / (c.u * c.u)
			told += w * c.planned
			done += w * c.taken
		}
	}
	return told == 0 || math.Abs(done/told-1)*math.Sqrt(told) <= handFarOff
}
