package book

import (
	"cmp"
	"context"
	"fmt"
	"hash/maphash"
	"maps"
	"math/bits"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/drift"
	"ringtrue/internal/straight"
)

// SeatedStage is the stage that is charted where none is asked for: fretted
// and not yet levelled.
const SeatedStage = "seated"

// Scanner is the part of a book that charts read.
type Scanner interface {
	Scan(ctx context.Context, f Filter, want Columns, fn func(*Row) error) error
}

// Query asks the book for a series.
type Query struct {
	Figure Figure
	Filter Filter // Stage "": SeatedStage. Corrected records are always left out.
	Each   string // gather necks: day, week, month, quarter, year, or so many; "" for none
	By     string // the tag that the answer will be split by
}

// Series is a figure in order of time, one value a neck, ready to be charted.
type Series struct {
	drift.Series
	Parts  []drift.Part // by the tag, where a split of the series itself would not do
	Kind   drift.Kind   // "" where the series' own columns tell
	Spread drift.Spread
	Stage  string
	Notes  []Note
}

// Note says how many of the book's records a series leaves out, or counts how.
type Note struct {
	Why   NoteCode
	N, Of int
}

// NoteCode says what was done with records.
type NoteCode int

// What was done with records.
const (
	Superseded     NoteCode = iota // behind a later one of the same neck and stage: left out
	Untold                         // of Of necks do not tell the figure: left out
	Undetermined                   // of Of necks have no crown that is determined: left out
	DoubtfulCounts                 // of Of necks are in doubt: counted as level
	HeardEarlier                   // play-throughs behind a later one of the same neck: left out
)

// maxInRange is the largest group whose range still tells most of its scatter;
// beyond it standard deviations are charted.
const maxInRange = 10

// SeriesOf reads a figure of every neck from the book. Of a neck's records of
// one stage the latest counts. ErrNotFound: no record of that kind; ErrFigure:
// no record tells the figure, or it cannot be gathered like that.
func SeriesOf(ctx context.Context, s Scanner, q Query) (Series, error) {
	f := q.Figure
	necks, filter, notes, err := q.values(ctx, s)
	if err != nil {
		return Series{}, err
	}
	told, lengths := q.told(necks)
	if len(told) == 0 {
		return Series{}, f.untold(len(necks))
	}
	if left := len(necks) - len(told); left > 0 {
		notes = append(notes, Note{Untold, left, len(necks)})
	}
	out := Series{Series: drift.Series{Name: f.Name, Unit: f.Unit, NeverNegative: f.NeverNegative}, Kind: f.Kind, Stage: filter.Stage, Notes: notes}
	if lengths {
		out.Unit = "mm"
	}
	return out, q.fill(&out, told)
}

// values reads the figure of each neck.
func (q Query) values(ctx context.Context, s Scanner) ([]neckValue, Filter, []Note, error) {
	f := q.Figure
	if f.heard {
		return q.heardValues(ctx, s)
	}
	want := f.wants()
	if q.By != "" {
		want |= TagTextColumn
	}
	by, of := KeyOf(q.By), KeyOf(f.tag)
	keep := func(r *Row, n *neckValue) error {
		n.doubt = r.Verdict == string(straight.InDoubt)
		if q.By != "" {
			n.word, _ = by.In(r.TagText)
		}
		n.value, n.told, n.length = f.of(r, of)
		return nil
	}
	if !f.crowns {
		return latest(ctx, s, q.Filter, func(ctx context.Context, filter Filter, fn func(*Row) error) error {
			return s.Scan(ctx, filter, want, fn)
		}, keep)
	}
	var crowns FretReader
	necks, filter, notes, err := latest(ctx, s, q.Filter, func(ctx context.Context, filter Filter, fn func(*Row) error) (err error) {
		crowns, err = scanFrets(ctx, s, filter, want, fn)
		return err
	}, keep)
	if err != nil {
		return nil, filter, nil, err
	}
	return necks, filter, notes, f.ofCrowns(ctx, crowns, necks)
}

// neckValue is what a series keeps of a record.
type neckValue struct {
	at     int64 // microseconds since 1970
	number int64
	serial string
	word   string // the tag that the answer is split by, or all tags' text
	value  float64
	row    int32 // counted as they were read
	told   bool
	length bool // the figure is a length in a tag
	doubt  bool
}

func (n neckValue) date() time.Time { return time.UnixMicro(n.at).UTC() }

// latest scans the book and gives each neck's latest record, in order of time,
// with the filter that picked them.
func latest(ctx context.Context, s Scanner, f Filter, scan func(context.Context, Filter, func(*Row) error) error, keep func(*Row, *neckValue) error) ([]neckValue, Filter, []Note, error) {
	if f.Stage == "" {
		f.Stage = SeatedStage
	}
	f.InForce = true
	necks := make([]neckValue, 0, roomFor(ctx, s))
	err := scan(ctx, f, func(r *Row) error {
		n := neckValue{at: r.At.UnixMicro(), number: r.Number, serial: r.Serial, row: int32(len(necks))}
		err := keep(r, &n)
		necks = append(necks, n)
		return err
	})
	if err == nil && len(necks) == 0 {
		err = NoneLike(ctx, s, f)
	}
	if err != nil {
		return nil, f, nil, err
	}
	slices.SortFunc(necks, func(a, b neckValue) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.number, b.number)) })
	seen := newSerials(len(necks))
	kept := len(necks) // from here on
	for i := len(necks) - 1; i >= 0; i-- {
		if !seen.add(necks, i, kept-1) {
			continue
		}
		kept--
		necks[kept] = necks[i]
	}
	var notes []Note
	if kept > 0 {
		notes = append(notes, Note{Why: Superseded, N: kept})
	}
	return necks[kept:], f, notes, nil
}

// roomFor is for how many necks room is made at once: a list that grows by and by takes
// its memory twice.
func roomFor(ctx context.Context, s Scanner) int64 {
	b, ok := s.(interface {
		Last(context.Context) (int64, error)
	})
	if !ok {
		return 0
	}
	last, err := b.Last(ctx)
	if err != nil { // the scan will say so
		return 0
	}
	return min(last, 1<<20)
}

// serials are those of necks seen, as places in their list: of a million a map of
// words would take a hundred megabytes.
type serials struct {
	seed  maphash.Seed
	place []int32 // of a neck, from 1
}

func newSerials(n int) *serials {
	return &serials{seed: maphash.MakeSeed(), place: make([]int32, 1<<bits.Len(uint(2*n)))}
}

// add adds the serial of neck i, which will lie at another place; false where it was
// seen before.
func (s *serials) add(necks []neckValue, i, at int) bool {
	mask := uint64(len(s.place) - 1)
	for k := maphash.String(s.seed, necks[i].serial) & mask; ; k = (k + 1) & mask {
		switch there := s.place[k]; {
		case there == 0:
			s.place[k] = int32(at) + 1
			return true
		case necks[there-1].serial == necks[i].serial:
			return false
		}
	}
}

// NoneLike says that no record is as asked for, and which stages there are.
func NoneLike(ctx context.Context, s Scanner, f Filter) error {
	stages := map[string]int{}
	if err := s.Scan(ctx, Filter{InForce: true}, NameColumns, func(r *Row) error {
		stages[r.Stage]++
		return nil
	}); err != nil {
		return err
	}
	switch {
	case len(stages) == 0:
		return fmt.Errorf("a record of any stage is %w: it is empty", ErrNotFound)
	case stages[f.Stage] > 0:
		return fmt.Errorf("a record of stage %q with those tags, model and dates is %w; without them there are %d", f.Stage, ErrNotFound, stages[f.Stage])
	}
	return NotFound("stage", f.Stage, slices.Sorted(maps.Keys(stages)))
}

// untold says why no record tells the figure.
func (f Figure) untold(necks int) error {
	switch {
	case f.heard:
		return fmt.Errorf("%w: none of %d play-throughs has enough: cents need open strings and 4 frets, ring 3 necks of a model", ErrFigure, necks)
	case f.tag == "bend":
		return fmt.Errorf(`%w: none of %d records has the tag bend, and heights can't show it; use book add ... --tag "bend=254 mm"`, ErrFigure, necks)
	case f.tag != "":
		return fmt.Errorf("%w: none of %d records has a number in the tag %s", ErrFigure, necks, f.tag)
	case f.fret != nil:
		return fmt.Errorf("%w: none of %d records has crowns there", ErrFigure, necks)
	}
	return fmt.Errorf("%w: none of %d records has it", ErrFigure, necks)
}

// told keeps the necks that tell the figure. Numbers in tags are either all
// lengths or all bare, as the first one is: the others are left out.
func (q Query) told(necks []neckValue) (told []neckValue, lengths bool) {
	told = necks[:0]
	for _, n := range necks {
		if n.told && len(told) == 0 {
			lengths = n.length
		}
		if n.told && n.length == lengths {
			told = append(told, n)
		}
	}
	return told, lengths
}

// fill turns necks in order of time into points.
func (q Query) fill(out *Series, necks []neckValue) error {
	group, err := gatherer(q.Each)
	switch {
	case err != nil:
		return err
	case q.Figure.Kind == drift.KindProportion:
		if group == nil {
			group = byCalendar("month")
		}
		q.shares(out, necks, group)
		return nil
	case q.Figure.Kind == drift.KindCount && group != nil:
		return fmt.Errorf("%w: %s are counted neck by neck; leave --each away", ErrFigure, q.Figure.Name)
	}
	out.Points = make([]drift.Point, len(necks))
	size := map[string]int{}
	tags := map[string]Tags{}
	for i, n := range necks {
		p := drift.Point{Value: n.value, Label: n.serial, Date: n.date()}
		if q.By != "" {
			if tags[n.word] == nil {
				tags[n.word] = Tags{q.By: n.word}
			}
			p.Tags = tags[n.word]
		}
		if group != nil {
			p.Group = group(i, p.Date)
			if size[p.Group]++; size[p.Group] > maxInRange {
				out.Spread = drift.ByDeviation
			}
		}
		out.Points[i] = p
	}
	return nil
}

// shares counts the necks not level of each group, all together and for each
// value of the tag.
func (q Query) shares(out *Series, necks []neckValue, group func(int, time.Time) string) {
	out.Points = sharePoints(necks, group)
	doubt := 0
	parts := map[string][]neckValue{}
	var order []string
	for _, n := range necks {
		if n.doubt {
			doubt++
		}
		if q.By == "" {
			continue
		}
		if _, seen := parts[n.word]; !seen {
			order = append(order, n.word)
		}
		parts[n.word] = append(parts[n.word], n)
	}
	if doubt > 0 {
		out.Notes = append(out.Notes, Note{DoubtfulCounts, doubt, len(necks)})
	}
	if q.By == "" {
		return
	}
	for _, v := range order {
		s := out.Series
		s.Points = sharePoints(parts[v], group)
		out.Parts = append(out.Parts, drift.Part{Tag: v, Series: s})
	}
}

func sharePoints(necks []neckValue, group func(int, time.Time) string) []drift.Point {
	var points []drift.Point
	for i, n := range necks {
		label := group(i, n.date())
		if len(points) == 0 || points[len(points)-1].Label != label {
			points = append(points, drift.Point{Label: label, Date: n.date()})
		}
		p := &points[len(points)-1]
		p.Value += n.value
		p.OutOf++
	}
	return points
}

// gatherer gives each neck's group; nil for none.
func gatherer(each string) (func(i int, at time.Time) string, error) {
	switch each {
	case "":
		return nil, nil
	case "day", "week", "month", "quarter", "year":
		return byCalendar(each), nil
	}
	n, err := strconv.Atoi(each)
	if err != nil || n < 2 || n > 1_000_000 {
		return nil, fmt.Errorf("%w: no such period %q; use day, week, month, quarter, year, or a number of necks like 5", ErrFigure, each)
	}
	return func(i int, _ time.Time) string { return fmt.Sprintf("%d-%d", i/n*n+1, i/n*n+n) }, nil
}

func byCalendar(each string) func(int, time.Time) string {
	return func(_ int, at time.Time) string {
		switch each {
		case "week":
			year, week := at.ISOWeek()
			return fmt.Sprintf("%d-W%02d", year, week)
		case "quarter":
			return fmt.Sprintf("%d-Q%d", at.Year(), (int(at.Month())+2)/3)
		}
		return at.Format(map[string]string{"day": time.DateOnly, "month": "2006-01", "year": "2006"}[each])
	}
}
