package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/wear"
)

// comparison is an answer under way.
type comparison struct {
	from, to   *stageRecord
	res        *wear.Result
	confidence float64
	a          *BookCompareAnswer
	backwards  bool // the second stage is not later than the first
	held       bool // a change is called nothing, for a reason that its numbers do not give
}

func (c *comparison) warn(format string, args ...any) {
	c.a.Warnings = append(c.a.Warnings, fmt.Sprintf(format, args...))
}

const daysPerYear = 365.2425

// times says how long passed, and by whose dates. Only the readings' own dates
// give years: a record may have been added long after its readings were taken.
func (c *comparison) times() {
	from, to := &c.a.From, &c.a.To
	for _, s := range []*ComparedStage{from, to} {
		if s.DatedBy == datedByRecord {
			c.warn("the readings of %s have no date; the day they were added, %s, is shown, and there is no rate and no year. Put a column date into the readings", s.Stage, s.Date.Format(time.DateOnly))
		}
	}
	years := to.Date.Sub(from.Date).Hours() / 24 / daysPerYear
	fromDated, toDated := from.DatedBy != datedByRecord, to.DatedBy != datedByRecord
	c.backwards = years < 0
	switch {
	case fromDated && toDated && years > 0:
		c.a.Years = num.Some(years)
	case fromDated && toDated && years == 0:
		c.warn("both stages have the same date, so there is no rate or year to give")
	case !fromDated && toDated && years < 0 && from.Record < to.Record:
		// It was read some day before it was added, and its record came first.
		c.backwards = false
		c.warn("%s is taken to be the earlier, as its record is", from.Stage)
	}
	if c.backwards {
		c.warn("%s was read before %s, so nothing is called worn. Name the earlier stage first to see wear", to.Stage, from.Stage)
	}
}

// state warns where the neck was read in two states: strings and rod bend it.
func (c *comparison) state() {
	a, b := c.a.From.State, c.a.To.State
	c.a.SameState = a == b || a == "" || b == ""
	switch {
	case !c.a.SameState:
		c.warn("%s was read %s, %s %s: strings and rod bend a neck, so nothing is called worn; read both in one state", c.a.From.Stage, a, c.a.To.Stage, b)
	case a != b:
		c.warn("the state of one stage (slack, rod set or strung) is not noted; it is taken to be the other's")
	}
}

// Reasons for a verdict that the numbers alone do not give.
const (
	whyAlone = "one low reading and no worn crown beside it: a groove or a misreading. Read it again"
	whyOnce  = "one low reading that its fret does not share: a groove, or a misreading. Read it again before filing"
	whyState = "lower, but read in another state"
	whyBack  = "lower, but read earlier"
	whyFirst = "the first stage's reading disagrees with the neck's others: a misreading then, it seems"
	whyHigh  = "one high reading that its fret does not share. Read it again"
)

// crowns lists every change with its verdict.
func (c *comparison) crowns() {
	worn := map[wear.Place]bool{} // not by a reading that stands alone
	for _, x := range c.res.Changes {
		if at := (wear.Place{Fret: x.Fret, Lane: x.Lane}); x.Verdict == wear.Worn && !c.to.low[at] {
			worn[at] = true
		}
	}
	for i := range c.res.Changes {
		x := &c.res.Changes[i]
		at := wear.Place{Fret: x.Fret, Lane: x.Lane}
		why := ""
		switch {
		case x.Verdict == wear.Worn && c.backwards:
			x.Verdict, why = wear.InDoubt, whyBack
		case x.Verdict == wear.Worn && !c.a.SameState:
			x.Verdict, why = wear.InDoubt, whyState
		case x.Verdict == wear.Worn && c.from.high[at]:
			x.Verdict, why = wear.InDoubt, whyFirst
		case x.Verdict == wear.Worn && c.to.low[at] && !hasNeighbour(worn, at):
			x.Verdict, why = wear.InDoubt, whyAlone
		case x.Verdict == wear.Worn && c.to.low[at]:
			why = whyOnce
		case x.Verdict == wear.Raised && c.from.low[at]:
			x.Verdict, why = wear.InDoubt, whyFirst
		case x.Verdict == wear.Raised && c.to.high[at]:
			x.Verdict, why = wear.InDoubt, whyHigh
		}
		// A misreading of the first stage stays one, whatever is read now.
		c.held = c.held || why != "" && why != whyFirst && x.Verdict == wear.InDoubt
		c.a.Crowns = append(c.a.Crowns, CrownChange{x.Fret, x.Lane, x.MM, x.UMM, string(x.Verdict), why})
	}
	slices.SortStableFunc(c.a.Crowns, func(p, q CrownChange) int { return p.Fret - q.Fret })
}

// hasNeighbour reports whether a worn crown lies beside another.
func hasNeighbour(worn map[wear.Place]bool, at wear.Place) bool {
	for p := range worn {
		if p == at {
			continue
		}
		if p.Fret == at.Fret && math.Abs(p.Lane-at.Lane) <= 1 || p.Lane == at.Lane && p.Fret-at.Fret <= 2 && at.Fret-p.Fret <= 2 {
			return true
		}
	}
	return false
}

// verdictOf is the verdict that stands in the answer.
func (c *comparison) isWorn(fret int, lane float64) bool {
	for _, x := range c.a.Crowns {
		if x.Fret == fret && x.Lane == lane {
			return x.Verdict == string(wear.Worn)
		}
	}
	return false
}

// leastToWear is how many years must pass before crowns on one slanted line are
// taken for worn and nothing else: strings need months to wear what a press does
// at once. A convention.
const leastToWear = 0.25

// Advice on a fret that changed.
const (
	adviseRose   = "press it again and glue it, let it set, read again before filing"
	adviseSank   = "where it was filed or pressed in between, that is what it shows; else find what let go, the glue or the board under it; where every string may have worn it alike, a reading between two strings tells, the wire there is not worn"
	adviseWorn   = "level while enough crown is left, else replace it"
	adviseLeaned = "where that end was pressed or filed in between, that is what it shows; else "
	adviseRun    = "moves with its neighbours: look at the board and the joint before any fret"
)

// frets puts each changed fret into words.
func (c *comparison) frets() {
	for _, f := range c.res.Frets {
		x := FretChange{Fret: f.Fret, TrebleMM: f.TrebleMM, BassMM: f.BassMM, Worn: []float64{}}
		for _, lane := range f.Worn {
			if c.isWorn(f.Fret, lane) {
				x.Worn = append(x.Worn, lane)
			}
		}
		var words []string
		if f.Verdict == wear.Moved {
			word, advice := c.moved(f)
			words, x.Advice = append(words, word), advice
		}
		if len(x.Worn) > 0 {
			worn := "worn under " + laneWords(x.Worn)
			if x.Advice == "" {
				x.Advice = adviseWorn
				if f.Ends.Tilted && c.a.Years.Or(0) < leastToWear {
					worn += ", or its " + lowerEnd(f.Ends) + " end went down"
					x.Advice = adviseLeaned + adviseWorn
				}
			}
			words = append(words, worn)
		}
		if e := f.Ends; e.UTrebleMM > 0 && (f.Verdict == wear.Moved || strings.HasPrefix(x.Advice, adviseLeaned)) {
			x.Ends = &FretEnds{e.TrebleMM, e.UTrebleMM, e.BassMM, e.UBassMM, e.Tilted}
		}
		if len(words) == 0 {
			continue
		}
		x.Finding = strings.Join(words, ", ")
		c.a.Frets = append(c.a.Frets, x)
	}
	if b := c.res.Bow; b != nil {
		c.a.Bow = &BowChange{MM: b.MM, UMM: b.UMM, TrebleMM: b.TrebleMM, BassMM: b.BassMM}
	}
}

// moved says how a fret moved. Three neighbours that move the same way are the
// board's doing.
func (c *comparison) moved(f wear.Fret) (words, advice string) {
	up := f.TrebleMM+f.BassMM > 0
	switch {
	case !up && f.Ends.Tilted:
		words, advice = "sank, its "+lowerEnd(f.Ends)+" end more", adviseSank
	case !up:
		words, advice = "sank alike in every lane", adviseSank
	case math.Min(f.TrebleMM, f.BassMM) > math.Max(f.TrebleMM, f.BassMM)/2:
		words, advice = "rose as a whole", adviseRose
	case f.TrebleMM > f.BassMM:
		words, advice = "treble end rose", adviseRose
	default:
		words, advice = "bass end rose", adviseRose
	}
	if c.inRun(f.Fret, up) {
		advice = adviseRun
	}
	return words, advice
}

// lowerEnd names the end that went down farther.
func lowerEnd(e wear.Ends) string {
	if e.TrebleMM < e.BassMM {
		return "treble"
	}
	return "bass"
}

// inRun reports whether a fret is one of three neighbours that moved one way.
func (c *comparison) inRun(fret int, up bool) bool {
	same := func(n int) bool {
		return slices.ContainsFunc(c.res.Frets, func(f wear.Fret) bool {
			return f.Fret == n && f.Verdict == wear.Moved && f.TrebleMM+f.BassMM > 0 == up
		})
	}
	for first := fret - 2; first <= fret; first++ {
		if same(first) && same(first+1) && same(first+2) {
			return true
		}
	}
	return false
}

// laneWords names lanes: strings where they lie under one.
func laneWords(lanes []float64) string {
	var parts []string
	whole := true
	for _, l := range lanes {
		whole = whole && l == math.Trunc(l)
		parts = append(parts, fmt.Sprintf("%g", l))
	}
	word := "lane"
	if whole {
		word = "string"
	}
	if len(parts) == 1 {
		return word + " " + parts[0]
	}
	return word + "s " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
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
	for _, p := range c.res.Alone {
		if !seen[p] {
			c.a.Open = append(c.a.Open, Undetermined{Fret: p.Fret, Lane: p.Lane, Why: "not determined at both stages"})
		}
	}
}

// seesEnoughMM is wear that no comparison should miss: a convention, about where
// a player feels it.
const seesEnoughMM = 0.05

// sight says what change the readings would show, and, where that is too much,
// which gauge shows less.
func (c *comparison) sight() {
	c.a.SeesMM = c.res.SeesMM
	if c.res.SeesMM <= seesEnoughMM {
		return
	}
	// Two passes of a beam at each stage leave the difference as good as one reading.
	beam := c.res.SeesMM / c.res.LargestUMM * reading.DefaultU
	c.warn("these readings can miss wear of up to %.2f mm where several neighbouring crowns wear alike. Two passes of a beam along every lane at each stage would show %.2f mm", c.res.SeesMM, beam)
	from, to := c.res.SeesFromMM > seesEnoughMM, c.res.SeesToMM > seesEnoughMM
	switch {
	case from && !to:
		c.warn("it is %s that was read too roughly, which cannot be made good: later stages compare better with %s", c.a.From.Stage, c.a.To.Stage)
	case to && !from:
		c.warn("it is %s that was read too roughly: read it again", c.a.To.Stage)
	}
}

// Summaries of necks of which no crown is called changed.
const (
	nothingChanged = "no change beyond the readings' noise; they would show %.3f mm"
	changedSomehow = "changed by more than the readings' noise, but no single crown is sure; read the second stage again"
)

// sum is the neck's verdict: the gravest of its crowns'. Where no crown is called
// changed the neck is in doubt only if all readings together say that it did, or
// a crown was held back for another reason.
func (c *comparison) sum() {
	c.a.Verdict = string(wear.Unchanged)
	if c.res.InDoubt || c.held {
		c.a.Verdict = string(wear.InDoubt)
	}
	for _, v := range []wear.Verdict{wear.Raised, wear.Moved, wear.Worn} {
		for _, x := range c.a.Crowns {
			if x.Verdict == string(v) {
				c.a.Verdict = string(v)
			}
		}
	}
	switch {
	case c.a.Verdict == string(wear.Unchanged):
		c.a.Summary = fmt.Sprintf(nothingChanged, c.a.SeesMM)
	case c.a.Verdict == string(wear.InDoubt) && c.res.InDoubt:
		c.a.Summary = changedSomehow
	}
}
