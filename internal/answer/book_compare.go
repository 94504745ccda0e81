package answer

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
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
	records, err := book.RecordsOf(ctx, s, r.Serial)
	if err != nil {
		return nil, nil, err
	}
	if r.From == r.To {
		return nil, nil, fmt.Errorf("%w: %q is one stage; name two", book.ErrUnlike, r.From)
	}
	var stages [2]*comparedStage
	for i, stage := range []string{r.From, r.To} {
		b, err := book.StageOf(ctx, s, records, stage)
		if err != nil {
			return nil, nil, err
		}
		if stages[i], err = estimated(b); err != nil {
			return nil, nil, err
		}
	}
	if err := book.SameNeck(stages[0].Stage, stages[1].Stage); err != nil {
		return nil, nil, err
	}
	a, err := compared(stages[0], stages[1], r)
	return a, stages[1].Layout, err
}

// comparedStage is one stage's record, read and laid out.
type comparedStage struct {
	*book.Stage
	whole    *findings.Neck // judged by itself
	suspects wear.Suspects
	lanes    []wear.Lane // each by itself
	open     []heights.Undetermined
	answer   ComparedStage
}

// estimated works out each lane by itself, since wear stands in single lanes, and
// notes the crowns whose reading the whole neck does not bear out.
func estimated(b *book.Stage) (*comparedStage, error) {
	c := &comparedStage{Stage: b, answer: ComparedStage{Stage: b.Record.Stage, Record: b.Number, Date: book.TakenOn(b.Readings), DatedBy: datedByReadings,
		State: book.StatesOf(b.Readings)}}
	if c.answer.Date.IsZero() {
		c.answer.Date, c.answer.DatedBy = b.Added, datedByRecord
	}
	whole, err := judged(context.Background(), b.Model, b.Layout, b.Readings)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.ReadingsName, err)
	}
	suspects, kept := wear.Suspect(b.Readings, whole.Estimate.Misreads)
	e, err := heights.From(heights.Input{Layout: b.Layout, Readings: kept, CrownRadiusMM: b.Model.Wire.CrownRadius, LanesApart: true})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.ReadingsName, err)
	}
	c.whole, c.suspects, c.lanes, c.open = whole, suspects, wear.LanesOf(e.Lanes), e.Undetermined
	return c, nil
}

// Whose date a stage has.
const (
	datedByReadings = "readings"
	datedByRecord   = "record"
)

// compared asks wear and puts its answer into words.
func compared(from, to *comparedStage, r BookCompareRequest) (*BookCompareAnswer, error) {
	c, err := newComparison(from, to, r)
	if err != nil {
		return nil, err
	}
	return c.told(), nil
}

// told puts what wear found into an answer.
func (c *comparison) told() *BookCompareAnswer {
	held := c.overrule()
	c.frets()
	c.wear()
	c.open()
	c.sight()
	verdict := c.res.Neck(held)
	c.a.Verdict = string(verdict)
	if !c.backwards { // wear would not have shown
		c.a.Summary = text.Compared(verdict, c.res.InDoubt, c.a.leaves, c.res.SeesMM)
	}
	return c.a
}

// newComparison asks wear what changed.
func newComparison(from, to *comparedStage, r BookCompareRequest) (*comparison, error) {
	res, err := wear.Compare(from.lanes, to.lanes, wear.Options{
		Confidence: r.Confidence, LimitMM: to.Model.Level.Zone, BowEndsMM: wear.BowEnds(to.Layout, to.Model.Body.Joint, to.Model.Setup.ReliefTo),
	})
	switch {
	case errors.Is(err, wear.ErrNothing):
		return nil, fmt.Errorf("%w: %s and %s: %w", book.ErrUnlike, r.From, r.To, err)
	case err != nil:
		return nil, fmt.Errorf("%w: %w", book.ErrUnlike, err)
	}
	return &comparison{from: from, to: to, res: res, a: &BookCompareAnswer{
		Serial: r.Serial, Model: to.Model.Name, From: from.answer, To: to.answer, Confidence: r.Confidence, CriticalValue: res.CriticalValue,
		Crowns: []CrownChange{}, Frets: []FretChange{}, Bow: res.Bow, Open: []Undetermined{}, Warnings: []string{},
	}}, nil
}

// overrule looks at dates, states and misreads, which may put changes in doubt; held:
// see wear.Result.Overrule.
func (c *comparison) overrule() (held bool) {
	c.backwards = c.times()
	c.state()
	why, held := c.res.Overrule(wear.Circumstances{Backwards: c.backwards, SameState: c.a.SameState, From: c.from.suspects, To: c.to.suspects})
	for i, x := range c.res.Changes {
		c.a.Crowns = append(c.a.Crowns, CrownChange{x, text.WearReason(why[i])})
	}
	return held
}

// comparison is an answer under way.
type comparison struct {
	from, to *comparedStage
	res      *wear.Result
	a        *BookCompareAnswer

	backwards bool // the second stage was read first
}

func (c *comparison) warn(words string) { c.a.Warnings = append(c.a.Warnings, words) }

// times says how long passed, by whose dates, and whether the second stage is
// earlier than the first. Only the readings' own dates give years: a record may
// have been added long after its readings were taken.
func (c *comparison) times() (backwards bool) {
	from, to := &c.a.From, &c.a.To
	for _, s := range []*ComparedStage{from, to} {
		if s.DatedBy == datedByRecord {
			c.warn(text.NoDate(s.Stage, s.Date.Format(time.DateOnly)))
		}
	}
	years := wear.YearsBetween(from.Date, to.Date)
	fromDated, toDated := from.DatedBy != datedByRecord, to.DatedBy != datedByRecord
	switch {
	case fromDated && toDated && years > 0:
		c.a.Years = num.Some(years)
	case fromDated && toDated && years == 0:
		c.warn(text.SameDate)
	case !fromDated && toDated && years < 0 && from.Record < to.Record:
		// It was read some day before it was added, and its record came first.
		c.warn(text.TakenEarlier(from.Stage))
		return false
	}
	if years < 0 {
		c.warn(text.Backwards(from.Stage, to.Stage))
	}
	return years < 0
}

// state warns where the neck was read in two states: strings and rod bend it.
func (c *comparison) state() {
	a, b := c.a.From.State, c.a.To.State
	c.a.SameState = a == b || a == "" || b == ""
	switch {
	case !c.a.SameState:
		c.warn(text.TwoStates(c.a.From.Stage, a, c.a.To.Stage, b))
	case a != b:
		c.warn(text.StateNotNoted)
	}
}

// frets puts each changed fret into words.
func (c *comparison) frets() {
	for _, f := range c.res.Frets {
		x := FretChange{Fret: f.Fret, TrebleMM: f.TrebleMM, BassMM: f.BassMM, Worn: c.res.WornLanes(f)}
		var words []string
		leaned := len(x.Worn) > 0 && f.MayHaveLeaned(c.a.Years)
		if f.Verdict == wear.Moved {
			x.moved = text.FretMoved(f)
			words = append(words, x.moved)
		}
		if len(x.Worn) > 0 {
			words = append(words, text.FretWorn(f, x.Worn, leaned))
		}
		if len(words) == 0 {
			continue
		}
		if f.Ends.UTrebleMM > 0 && (f.Verdict == wear.Moved || leaned) {
			x.Ends = &f.Ends
		}
		x.Finding, x.Advice = strings.Join(words, ", "), text.FretChanged(f, c.res.InRun(f), leaned, wear.TooSoon(c.a.Years))
		c.a.Frets = append(c.a.Frets, x)
	}
}

// wear says how long the worn crowns last.
func (c *comparison) wear() {
	earlier, later := level.HeightsOf(c.from.Model, c.from.Readings), level.HeightsOf(c.to.Model, c.to.Readings)
	c.a.Wear, c.a.LeastCrown = c.res.Last(wear.Playing{Years: c.a.Years, To: c.a.To.Date, LeastMM: c.to.Model.Level.LeastCrown, Confidence: c.a.Confidence,
		Stands: func(x wear.Change) (float64, bool) {
			return later.After(earlier, level.Place{Fret: x.Fret, Lane: x.Lane}, x.MM)
		}})
	if slices.ContainsFunc(c.a.Wear, func(w WornCrown) bool { return !w.Measured }) {
		c.warn(text.HeightsAssumed(c.a.To.Stage))
	}
}

// open lists what could not be compared, once each.
func (c *comparison) open() {
	seen := map[wear.Place]bool{}
	for _, s := range []*comparedStage{c.from, c.to} {
		for _, u := range s.open {
			at := wear.Place{Fret: u.Fret, Lane: u.Lane}
			if !seen[at] {
				seen[at] = true
				c.a.Open = append(c.a.Open, Undetermined{Fret: u.Fret, Lane: u.Lane, Why: s.answer.Stage + ": " + u.Why})
			}
		}
	}
	for _, p := range c.res.Unpaired {
		if !seen[p] {
			c.a.Open = append(c.a.Open, Undetermined{Fret: p.Fret, Lane: p.Lane, Why: text.NotAtBoth})
		}
	}
}

// sight says what change the readings would show, and, where that is too much,
// which gauge shows less.
func (c *comparison) sight() {
	c.a.SeesMM, c.a.leaves = c.res.SeesMM, c.from.whole.ByLeaves() || c.to.whole.ByLeaves()
	coarse, from, to := c.res.Coarse()
	if !coarse {
		return
	}
	c.warn(text.CanMiss(c.res.SeesMM, c.res.BeamSeesMM()))
	switch {
	case from:
		c.warn(text.FirstTooRough(c.a.From.Stage, c.a.To.Stage))
	case to:
		c.warn(text.SecondTooRough(c.a.To.Stage))
	}
}
