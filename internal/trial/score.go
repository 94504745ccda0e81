package trial

import (
	"math"

	"ringtrue/internal/findings"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// marginMM is how far beyond half the zone a fault must be to be counted on.
const marginMM = 12 * µ

// Errors are estimated less true heights in each lane's free datum, mm, beside
// what plain averaging gives at the same crowns.
type Errors struct {
	MM, U           []float64
	PlainMM, PlainU []float64
	Dented          []bool // in a true groove or burr
}

// Count is how many of some were found.
type Count struct{ Found, Of int }

func (c *Count) add(found bool) {
	c.Of++
	if found {
		c.Found++
	}
}

// Score is how the judgement of one neck fared.
type Score struct {
	Class string
	Seed  uint64
	Errors

	Dents   Count // deep grooves called low or worn
	Frets   Count // bad frets named
	Kinds   Count // of those named, with the right word
	Wholes  Count // humps, twists, radii named
	Loose   Count
	Passes  Count // faults of whole passes named
	Misread Count

	Invented    int      // right readings set aside
	Crowns      Count    // sound crowns (Of), of them called high or low (Found)
	Blamed      []string // false findings, in words
	FalseWork   []string
	SoundFrets  int
	BlamedFrets int

	Lanes      int
	WrongLevel int // said level, and is not
	WrongNot   int // said not level, and is level
	Doubt      int
	AsideSure  int // crowns with a sure verdict all of whose readings were set aside

	IsLevel            bool // the neck is truly level
	Verdict            straight.Verdict
	UndeterminedCrowns int
	Minutes            float64
}

// Work is what an answer would have the maker do: frets to mend first, and
// metal to take off.
type Work struct {
	First    []int
	RemoveMM float64
}

// Of scores a judged neck. work is nil where the answer names none. The error is
// of the truth's own arithmetic.
func Of(n *Neck, j *findings.Neck, work *Work) (Score, error) {
	s := Score{Class: n.Class, Seed: n.Seed, Verdict: j.Verdict, IsLevel: true, Minutes: n.minutes(),
		UndeterminedCrowns: len(j.Estimate.Undetermined)}
	t := &n.Truth
	lanes := make([]LaneTruth, len(t.Lanes))
	for k := range t.Lanes {
		var err error
		if lanes[k], err = t.Lane(k); err != nil {
			return s, err
		}
		s.IsLevel = s.IsLevel && lanes[k].ZoneMM <= n.Model.Level.Zone
	}
	for _, l := range j.Lanes {
		k := t.laneOf(l.Lane.Lane)
		if k < 0 {
			continue
		}
		s.Errors.of(n, l, k)
		s.lane(n, l, lanes[k])
		s.crowns(n, l, k, lanes[k])
	}
	s.Lanes = len(t.Lanes)
	s.Doubt += len(t.Lanes) - len(j.Lanes)
	s.readings(n, j)
	w := witness{n: n, j: j, lanes: lanes, found: j.Frets(), whole: j.Whole(n.Readings)}
	s.faults(w)
	s.blame(w, work)
	return s, nil
}

// of adds a lane's errors: of the crowns that are estimated, firm, and fixed by
// the lane's own readings too.
func (e *Errors) of(n *Neck, l findings.Lane, k int) {
	t := &n.Truth
	own, ok := n.plain(k)
	if !ok {
		return
	}
	ownAt := map[int]int{}
	for i, at := range own.at {
		ownAt[at] = i
	}
	var here, there, at []int
	for i, f := range l.Frets {
		p := t.place(f)
		if o, known := ownAt[p]; known && t.Gives[k][p] == 0 {
			here, there, at = append(here, i), append(there, o), append(at, p)
		}
	}
	if len(at) < 4 {
		return
	}
	x, mine, plain := make([]float64, len(at)), make([]float64, len(at)), make([]float64, len(at))
	for i, p := range at {
		x[i] = t.X[k][p]
		mine[i], plain[i] = l.Z[here[i]]-t.Z[k][p], own.z[there[i]]-t.Z[k][p]
	}
	num.Detrend(x, mine)
	num.Detrend(x, plain)
	u, plainU := freed(x, part(l.Cov, here)), freed(x, part(own.cov, there))
	for i, p := range at {
		e.MM, e.PlainMM = append(e.MM, mine[i]), append(e.PlainMM, plain[i])
		e.U = append(e.U, math.Sqrt(math.Max(0, u.At(i, i))))
		e.PlainU = append(e.PlainU, math.Sqrt(math.Max(0, plainU.At(i, i))))
		e.Dented = append(e.Dented, t.Groove[k][p] > 0 || t.Burr[k][p] > 0)
	}
}

// lane holds a lane's verdict against its true zone.
func (s *Score) lane(n *Neck, l findings.Lane, t LaneTruth) {
	limit := n.Model.Level.Zone
	switch {
	case l.Verdict == straight.InDoubt:
		s.Doubt++
	case l.Verdict == straight.Level && t.ZoneMM > limit:
		s.WrongLevel++
	case l.Verdict == straight.NotLevel && t.ZoneMM <= limit:
		s.WrongNot++
	}
}

// crowns counts sound crowns that are called high or low, and deep grooves that
// are called low.
func (s *Score) crowns(n *Neck, l findings.Lane, k int, t LaneTruth) {
	half := n.Model.Level.Zone / 2
	for i, f := range l.Frets {
		p := n.Truth.place(f)
		if n.Truth.Gives[k][p] > 0 {
			continue
		}
		if off := t.Off[p]; math.Abs(off) <= half {
			s.Crowns.add(l.Crown[i] == straight.High || l.Crown[i] == straight.Low)
		}
	}
}

// minutes is how long the readings take: 8 s a reading, 20 s a set-up of a beam,
// an edge or a probe; a machine's touches of a crown count as one reading. Both
// figures are assumptions.
func (n *Neck) minutes() float64 {
	const perReading, perSetup = 8.0, 20.0
	setups, tops := map[reading.Setup]bool{}, map[[2]any]bool{}
	seconds := 0.0
	for i, r := range n.Readings {
		switch r.Method {
		case reading.Probe:
			tops[[2]any{n.Truth.At[i], r.Pass}] = true
			setups[r.Setup()] = true
			continue
		case reading.Beam, reading.Edge:
			setups[r.Setup()] = true
		}
		seconds += perReading
	}
	return (seconds + perReading*float64(len(tops)) + perSetup*float64(len(setups))) / 60
}
