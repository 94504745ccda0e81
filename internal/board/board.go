package board

import (
	"math"
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Verdict is what is said of a lane, an arch or the whole board.
type Verdict string

// The words: of a lane, of an arch, of the board; any may be in doubt.
const (
	Straight    Verdict = "straight"
	NotStraight Verdict = "not straight"
	Round       Verdict = "round"
	NotRound    Verdict = "not round"
	Ready       Verdict = "ready"
	NotReady    Verdict = "not ready"
	InDoubt             = Verdict(straight.InDoubt)
)

// doubtful is the greatest chance of being wrong with which a sure word is said.
const doubtful = 0.05

// Answer is a board judged. Lists that JSON has are never nil.
type Answer struct {
	Verdict Verdict
	// OffChance is the largest chance with which a lane, or the radius at an end of
	// what was read, is outside its limit: ready is said at 5 % at most of each, and
	// so is wrong in 5 % at most (Berger 1982).
	OffChance float64
	Lanes     []Lane
	Arches    []Arch
	Cone      *Cone // nil where fewer than two places were read across, and where the board has no radius
	Twist     *Twist
	Open      []Open
	Misreads  []Misread
	Knocked   []Knocked // passes in which the gauge moved
	Unread    []Unread
	Findings  []Finding
	Sanding   *Sanding // nil unless something should be sanded now
	Waits     bool     // not to be sanded yet: a rod or time may take its bow out
	Next      []Next   // what to read next; none on a board that is ready
}

// Open is a place that its readings do not determine, and why.
type Open struct {
	Fret int
	Lane float64
	Why  WhyOpen
}

// WhyOpen is why a place is not determined.
type WhyOpen int

// A pass's offset and tilt are the gauge's own, so that too few readings of one
// set-up say nothing.
const (
	TooFew   WhyOpen = iota // no pass of three slots or more
	NotTied                 // to the lane's other slots
	OneSided                // a rocker that rocks, or not, gives only a limit
	Contrary                // its readings contradict each other
)

// Misread is a reading that does not agree with the others. It has no part in
// the answer.
type Misread struct {
	Reading             int // place in the readings
	Fret                int
	Lane                float64
	ValueMM, ExpectedMM float64 // as read; as the others say
	Why                 WhyOdd
	OffMM               float64 // how far it is off what the others say, 0 or more
}

// WhyOdd is which readings contradict one.
type WhyOdd int

// The others that contradict a reading.
const (
	OddInLane   WhyOdd = iota // those of its lane
	OddAcross                 // those across the board
	OddOrOther                // another arch reading; which is wrong is not known
	OddTouching               // the other touches of the same place
)

// job is a board on its way to an answer.
type job struct {
	m         neck.Model
	l         *geometry.Layout
	readings  []reading.Reading
	places    *places
	rows      []row
	feelers   []laidEdge
	oneSided  []spot       // the middle slots of rockers that give only a limit
	asFlat    bool         // take the board as one that shall be flat
	curvature [2]float64   // where it has no cone: at the nut and at the last slot
	aside     map[int]bool // places all of whose readings were set aside
	sources   []source     // in step with a.Lanes
	cone      *Cone        // also where the board has no radius, none set then
	a         *Answer
}

// Judge judges a bare board from its readings. An error is of the arithmetic
// alone; readings that leave something open are answered with a doubt.
func Judge(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*Answer, error) {
	j := &job{m: m, l: l, readings: believed(readings), a: &Answer{
		Lanes: []Lane{}, Arches: []Arch{}, Findings: []Finding{}, Unread: []Unread{}}}
	j.collect()
	if err := j.setAside(); err != nil {
		return nil, err
	}
	if err := j.judgeLanes(); err != nil {
		return nil, err
	}
	j.judgeRadius()
	j.cover()
	j.find()
	j.conclude()
	if err := j.sand(); err != nil {
		return nil, err
	}
	j.next()
	return j.a, nil
}

// believed are the readings with none surer than minU, and with the leaf that a
// gap of 0 leaves unsaid.
func believed(readings []reading.Reading) []reading.Reading {
	filled, _ := reading.WithLeaves(readings)
	out := slices.Clone(filled)
	for i := range out {
		out[i].U = math.Max(out[i].U, minU)
	}
	return out
}

// conclude joins what is said of lanes, radius and coverage.
func (j *job) conclude() {
	a := j.a
	a.Verdict = InDoubt
	whole := len(a.Open) == 0 && len(a.Unread) == 0 && j.cone != nil
	for _, l := range a.Lanes {
		if l.Verdict == NotStraight {
			a.Verdict = NotReady
		}
		whole = whole && l.Verdict == Straight
		a.OffChance = math.Max(a.OffChance, l.offChance)
	}
	for _, r := range a.Arches {
		if r.Verdict == NotRound {
			a.Verdict = NotReady
		}
		whole = whole && !r.open
	}
	if c := j.cone; c != nil {
		a.OffChance = math.Max(a.OffChance, c.offChance)
	} else {
		a.OffChance = 1
	}
	if a.Verdict == InDoubt && whole && a.OffChance <= doubtful {
		a.Verdict = Ready
	}
}
