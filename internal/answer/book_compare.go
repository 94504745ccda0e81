package answer

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// BookCompareRequest names a neck, two of its stages and how sure to be.
type BookCompareRequest struct {
	Serial, From, To string
	Confidence       float64 // 0: 0.95
}

// compareConfidence is used where none is asked for.
const compareConfidence = 0.95

// BookCompare says what moved or wore between two stages of a neck, from the
// latest record of each that no other corrects. An unknown serial or stage is
// book.ErrNotFound with the near ones; stages of necks that differ, or one
// stage named twice, are book.ErrUnlike. The layout is for pictures.
func BookCompare(ctx context.Context, s book.Store, r BookCompareRequest) (*BookCompareAnswer, *geometry.Layout, error) {
	if r.Confidence == 0 {
		r.Confidence = compareConfidence
	}
	records, err := s.Records(ctx, r.Serial)
	if err != nil {
		return nil, nil, err
	}
	if len(records) == 0 {
		return nil, nil, unknownSerial(ctx, s, r.Serial)
	}
	if r.From == r.To {
		return nil, nil, fmt.Errorf("%w: %q is one stage; name two", book.ErrUnlike, r.From)
	}
	from, err := stageOf(ctx, s, records, r.From)
	if err != nil {
		return nil, nil, err
	}
	to, err := stageOf(ctx, s, records, r.To)
	if err != nil {
		return nil, nil, err
	}
	if err := sameNeck(from, to); err != nil {
		return nil, nil, err
	}
	a, err := compared(from, to, r)
	return a, to.layout, err
}

// stageRecord is one stage's record, read and laid out.
type stageRecord struct {
	record    *book.Record
	model     neck.Model
	layout    *geometry.Layout
	readings  []reading.Reading
	lanes     []heights.Lane      // each lane by itself
	low, high map[wear.Place]bool // crowns with a reading lower, or higher, than the neck's others bear out
	open      []heights.Undetermined
	states    []string
	taken     time.Time
	heights   level.CrownHeights
}

// stageOf finds the latest record of a stage in force, and reads it.
func stageOf(ctx context.Context, s book.Store, records []book.Record, stage string) (*stageRecord, error) {
	pick, err := inForce(records, stage)
	if err != nil {
		return nil, err
	}
	f, err := wholeFiles(ctx, s, pick)
	if err != nil {
		return nil, fmt.Errorf("record %d, %s: %w", pick.Number, stage, err)
	}
	c := &stageRecord{record: pick}
	if c.model, c.layout, c.readings, err = ParseFiles(f); err != nil {
		return nil, fmt.Errorf("%w: the files of record %d, %s, can no longer be read: %v", book.ErrUnlike, pick.Number, stage, err)
	}
	c.states, c.taken, c.heights = statesOf(c.readings), takenOn(c.readings), level.HeightsOf(c.model, c.readings)
	return c, c.estimate()
}

// estimate works out each lane by itself, since wear stands in single lanes, and
// notes the crowns whose reading the whole neck does not bear out: it may be a
// slip or a groove. A reading of several frets, such as a bridge's, says nothing
// of a crown alone, and would bend the whole lane: it is left out.
func (c *stageRecord) estimate() error {
	whole, err := judged(c.model, c.layout, c.readings)
	if err != nil {
		return fmt.Errorf("%s: %w", c.record.ReadingsName, err)
	}
	out := map[int]bool{}
	c.low, c.high = map[wear.Place]bool{}, map[wear.Place]bool{}
	for _, m := range whole.Estimate.Misreads {
		at := wear.Place{Fret: m.Fret, Lane: m.Lane}
		off := m.ValueMM - m.ExpectedMM
		method := c.readings[m.Reading].Method
		if method.Spec().Frets > 1 {
			out[m.Reading] = true
			continue
		}
		if heights.Weights(method, 0)[0] < 0 { // a gap: more is lower
			off = -off
		}
		if off < 0 {
			c.low[at] = true
		} else {
			c.high[at] = true
		}
	}
	kept := make([]reading.Reading, 0, len(c.readings))
	for i, r := range c.readings {
		if !out[i] {
			kept = append(kept, r)
		}
	}
	e, err := heights.From(heights.Input{Layout: c.layout, Readings: kept, CrownRadiusMM: c.model.Wire.CrownRadius, LanesApart: true})
	if err != nil {
		return fmt.Errorf("%s: %w", c.record.ReadingsName, err)
	}
	c.lanes, c.open = e.Lanes, e.Undetermined
	return nil
}

// crowns are a stage's crowns as wear takes them.
func (c *stageRecord) crowns() []wear.Lane {
	out := make([]wear.Lane, len(c.lanes))
	for i, l := range c.lanes {
		out[i] = wear.Lane{Lane: l.Lane, Frets: l.Frets, XMM: l.X, ZMM: l.Z, Cov: l.Cov}
	}
	return out
}

func (c *stageRecord) date() (time.Time, string) {
	if !c.taken.IsZero() {
		return c.taken, datedByReadings
	}
	return c.record.Added, datedByRecord
}

// Whose date a stage has.
const (
	datedByReadings = "readings"
	datedByRecord   = "record"
)

// mostShiftMM is how far the same fret may lie from itself in two neck files.
const mostShiftMM = 0.5

// sameNeck refuses stages whose neck files lay the frets out otherwise.
func sameNeck(a, b *stageRecord) error {
	say := func(what string, x, y any) error {
		return fmt.Errorf("%w: %s (record %d) has %v %s, %s (record %d) %v", book.ErrUnlike,
			a.record.Stage, a.record.Number, x, what, b.record.Stage, b.record.Number, y)
	}
	switch {
	case a.layout.LastFret() != b.layout.LastFret():
		return say("frets", a.layout.LastFret(), b.layout.LastFret())
	case a.layout.Strings() != b.layout.Strings():
		return say("strings", a.layout.Strings(), b.layout.Strings())
	}
	for _, lane := range []float64{1, float64(a.layout.Strings())} {
		f := a.layout.LastFret()
		if x, y := a.layout.LaneX(f, lane), b.layout.LaneX(f, lane); math.Abs(x-y) > mostShiftMM {
			return say(fmt.Sprintf("mm from the nut to fret %d", f), math.Round(x*10)/10, math.Round(y*10)/10)
		}
	}
	return nil
}

// bowEnds are where a bow of the neck may end: at the last fret, or where the
// neck meets the body.
func (c *stageRecord) bowEnds() []float64 {
	middle := (1 + float64(c.layout.Strings())) / 2
	ends := []float64{c.layout.LaneX(c.layout.LastFret(), middle)}
	for _, f := range []int{c.model.Body.Joint, c.model.Setup.ReliefTo} {
		if f > c.layout.FirstFret()+leastBowFrets && f < c.layout.LastFret() {
			ends = append(ends, c.layout.LaneX(f, middle))
		}
	}
	return ends
}

// leastBowFrets is how many frets a bow goes over at the least.
const leastBowFrets = 6

// compared asks wear and puts its answer into words.
func compared(from, to *stageRecord, r BookCompareRequest) (*BookCompareAnswer, error) {
	res, err := wear.Compare(from.crowns(), to.crowns(), wear.Options{
		Confidence: r.Confidence, LimitMM: to.model.Level.Zone, BowEndsMM: to.bowEnds(),
	})
	switch {
	case errors.Is(err, wear.ErrNothing):
		return nil, fmt.Errorf("%w: %s and %s: %w", book.ErrUnlike, r.From, r.To, err)
	case err != nil:
		return nil, fmt.Errorf("%w: %w", book.ErrUnlike, err)
	}
	c := &comparison{from: from, to: to, res: res, confidence: r.Confidence, a: &BookCompareAnswer{
		Serial: r.Serial, Model: to.model.Name, From: from.side(), To: to.side(), Confidence: r.Confidence, CriticalValue: res.CriticalValue,
		Crowns: []CrownChange{}, Frets: []FretChange{}, Wear: []WornCrown{}, Open: []Undetermined{}, Warnings: []string{},
	}}
	c.times()
	c.state()
	held := c.crowns()
	c.frets()
	c.wear()
	c.open()
	c.sight()
	verdict := res.Neck(held)
	c.a.Verdict, c.a.Summary = string(verdict), text.Compared(verdict, res.InDoubt, res.SeesMM)
	return c.a, nil
}

func (c *stageRecord) side() ComparedStage {
	date, by := c.date()
	s := ComparedStage{Stage: c.record.Stage, Record: c.record.Number, Date: date, DatedBy: by}
	for i, state := range c.states {
		if i > 0 {
			s.State += " + "
		}
		s.State += state
	}
	return s
}
