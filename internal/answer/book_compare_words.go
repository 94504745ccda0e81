package answer

import (
	"strings"
	"time"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// comparison is an answer under way.
type comparison struct {
	from, to   *stageRecord
	res        *wear.Result
	confidence float64
	a          *BookCompareAnswer
	backwards  bool // the second stage is not later than the first
}

func (c *comparison) warn(words string) { c.a.Warnings = append(c.a.Warnings, words) }

const daysPerYear = 365.2425

// times says how long passed, and by whose dates. Only the readings' own dates
// give years: a record may have been added long after its readings were taken.
func (c *comparison) times() {
	from, to := &c.a.From, &c.a.To
	for _, s := range []*ComparedStage{from, to} {
		if s.DatedBy == datedByRecord {
			c.warn(text.NoDate(s.Stage, s.Date.Format(time.DateOnly)))
		}
	}
	years := to.Date.Sub(from.Date).Hours() / 24 / daysPerYear
	fromDated, toDated := from.DatedBy != datedByRecord, to.DatedBy != datedByRecord
	c.backwards = years < 0
	switch {
	case fromDated && toDated && years > 0:
		c.a.Years = num.Some(years)
	case fromDated && toDated && years == 0:
		c.warn(text.SameDate)
	case !fromDated && toDated && years < 0 && from.Record < to.Record:
		// It was read some day before it was added, and its record came first.
		c.backwards = false
		c.warn(text.TakenEarlier(from.Stage))
	}
	if c.backwards {
		c.warn(text.Backwards(from.Stage, to.Stage))
	}
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

// crowns lists every change with its verdict, and says whether any was held back.
func (c *comparison) crowns() (held bool) {
	why, held := c.res.Overrule(wear.Circumstances{Backwards: c.backwards, SameState: c.a.SameState,
		FromLow: c.from.low, FromHigh: c.from.high, ToLow: c.to.low, ToHigh: c.to.high})
	for i, x := range c.res.Changes {
		c.a.Crowns = append(c.a.Crowns, CrownChange{x.Fret, x.Lane, x.MM, x.UMM, string(x.Verdict), text.WearReason(why[i])})
	}
	return held
}

// frets puts each changed fret into words.
func (c *comparison) frets() {
	c.a.Bow = c.res.Bow
	for _, f := range c.res.Frets {
		x := FretChange{Fret: f.Fret, TrebleMM: f.TrebleMM, BassMM: f.BassMM, Worn: c.res.WornLanes(f)}
		var words []string
		leaned := len(x.Worn) > 0 && f.MayHaveLeaned(c.a.Years)
		if f.Verdict == wear.Moved {
			words = append(words, text.FretMoved(f))
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
		x.Finding, x.Advice = strings.Join(words, ", "), text.FretChanged(f, c.res.InRun(f), leaned)
		c.a.Frets = append(c.a.Frets, x)
	}
}

// open lists what could not be compared, once each.
func (c *comparison) open() {
	seen := map[wear.Place]bool{}
	for _, s := range []*stageRecord{c.from, c.to} {
		for _, u := range s.open {
			at := wear.Place{Fret: u.Fret, Lane: u.Lane}
			if !seen[at] {
				seen[at] = true
				c.a.Open = append(c.a.Open, Undetermined{Fret: u.Fret, Lane: u.Lane, Why: s.record.Stage + ": " + u.Why})
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
	c.a.SeesMM = c.res.SeesMM
	coarse, from, to := c.res.Coarse()
	if !coarse {
		return
	}
	// Two passes of a beam at each stage leave the difference as good as one reading.
	c.warn(text.CanMiss(c.res.SeesMM, c.res.SeesMM/c.res.LargestUMM*reading.DefaultU))
	switch {
	case from:
		c.warn(text.FirstTooRough(c.a.From.Stage, c.a.To.Stage))
	case to:
		c.warn(text.SecondTooRough(c.a.To.Stage))
	}
}
