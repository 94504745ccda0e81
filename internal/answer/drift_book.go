package answer

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// SeatedStage is the stage that is charted where none is asked for: fretted
// and not yet levelled.
const SeatedStage = "seated"

const notLevel = string(straight.NotLevel)

// Scanner is the part of a book that charts read.
type Scanner interface {
	Scan(ctx context.Context, f book.Filter, want book.Want, fn func(*book.Row) error) error
}

// BookQuery asks the book for a series.
type BookQuery struct {
	Figure Figure
	Filter book.Filter // Stage "": SeatedStage. Corrected records are always left out.
	Each   string      // gather necks: day, week, month, quarter, year, or so many; "" for none
	By     string      // the tag that the answer will be split by
}

// BookSeries is a figure in order of time, one value a neck, ready to be charted.
type BookSeries struct {
	Series drift.Series
	Parts  []drift.Part // by the tag, where a split of the series itself would not do
	Kind   drift.Kind   // "" where the series' own columns tell
	Spread drift.Spread
	Stage  string
	Notes  []string
}

// mostInRange is the largest group whose range still tells most of its scatter;
// beyond it standard deviations are charted.
const mostInRange = 10

// SeriesOf reads a figure of every neck from the book. Of a neck's records of
// one stage the latest counts. book.ErrNotFound: no record of that kind;
// ErrFigure: no record tells the figure, or it cannot be gathered like that.
func SeriesOf(ctx context.Context, s Scanner, q BookQuery) (*BookSeries, error) {
	if q.Filter.Stage == "" {
		q.Filter.Stage = SeatedStage
	}
	q.Filter.InForce = true
	necks, err := q.read(ctx, s)
	if err != nil {
		return nil, err
	}
	out := &BookSeries{Kind: q.Figure.chart(), Stage: q.Filter.Stage}
	if necks, err = latest(ctx, s, q.Filter, necks, &out.Notes); err != nil {
		return nil, err
	}
	all := len(necks)
	told, lengths := q.told(necks)
	if len(told) == 0 {
		return nil, q.untold(all)
	}
	if left := all - len(told); left > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d of %d necks are left out: their records do not tell the figure", left, all))
	}
	out.Series = drift.Series{Name: q.Figure.Name, Unit: q.Figure.Unit, NeverNegative: q.Figure.neverNegative()}
	if lengths {
		out.Series.Unit = "mm"
	}
	return out, q.fill(out, told)
}

// bookNeck is what a series keeps of a record.
type bookNeck struct {
	at     int64 // microseconds since 1970
	number int64
	serial string
	tags   book.Tags
	value  float64
	told   bool
	doubt  bool
	row    int // of its heights, for a pattern
}

// read scans the book for the figure.
func (q BookQuery) read(ctx context.Context, s Scanner) ([]bookNeck, error) {
	var necks []bookNeck
	var sheet book.Sheet
	err := s.Scan(ctx, q.Filter, q.Figure.wants(), func(r *book.Row) error {
		v, told, err := q.Figure.of(r, &sheet)
		if err != nil {
			return err
		}
		n := keep(r)
		n.value, n.told, n.doubt = v, told, r.Verdict == string(straight.InDoubt)
		necks = append(necks, n)
		return nil
	})
	return necks, err
}

func keep(r *book.Row) bookNeck {
	return bookNeck{at: r.At.UnixMicro(), number: r.Number, serial: r.Serial, tags: r.Tags}
}

// latest puts records in order of time and keeps each neck's latest.
func latest(ctx context.Context, s Scanner, f book.Filter, necks []bookNeck, notes *[]string) ([]bookNeck, error) {
	if len(necks) == 0 {
		return nil, noneLike(ctx, s, f)
	}
	slices.SortFunc(necks, func(a, b bookNeck) int {
		switch {
		case a.at != b.at:
			return int(min(1, max(-1, a.at-b.at)))
		case a.number < b.number:
			return -1
		}
		return 1
	})
	seen := make(map[string]struct{}, len(necks))
	kept := len(necks) // from here on
	for i := len(necks) - 1; i >= 0; i-- {
		if _, again := seen[necks[i].serial]; again {
			continue
		}
		seen[necks[i].serial] = struct{}{}
		kept--
		necks[kept] = necks[i]
	}
	if kept > 0 {
		*notes = append(*notes, fmt.Sprintf("%d records stand behind a later one of the same neck and stage, and are left out", kept))
	}
	return necks[kept:], nil
}

// noneLike says that no record is as asked for, and which stages there are.
func noneLike(ctx context.Context, s Scanner, f book.Filter) error {
	stages := map[string]int{}
	if err := s.Scan(ctx, book.Filter{InForce: true}, book.WantName, func(r *book.Row) error {
		stages[r.Stage]++
		return nil
	}); err != nil {
		return err
	}
	switch {
	case len(stages) == 0:
		return fmt.Errorf("a record of any stage is %w: it is empty", book.ErrNotFound)
	case stages[f.Stage] > 0:
		return fmt.Errorf("a record of stage %q with those tags, model and dates is %w; without them there are %d", f.Stage, book.ErrNotFound, stages[f.Stage])
	}
	var known []string
	for k := range stages {
		known = append(known, k)
	}
	slices.Sort(known)
	return book.NotFound("stage", f.Stage, known)
}

// untold says why no record tells the figure.
func (q BookQuery) untold(necks int) error {
	f := q.Figure
	switch {
	case f.tag == "bend" && f.Name == "bend":
		return fmt.Errorf(`%w: none of %d records carries the tag bend, and heights over each lane's own line cannot tell the curve that all frets share; note the radius with each record: book add ... --tag "bend=254 mm"`, ErrFigure, necks)
	case f.kind == ofTag:
		return fmt.Errorf("%w: none of %d records carries a number in the tag %s", ErrFigure, necks, f.tag)
	case f.kind == ofHeight || f.kind == ofSeat && f.fret != nil:
		return fmt.Errorf("%w: none of %d records has crowns there", ErrFigure, necks)
	}
	return fmt.Errorf("%w: none of %d records tells it", ErrFigure, necks)
}

// told keeps the necks that tell the figure. Numbers in tags are either all
// lengths or all bare, as the first one is: the others are left out.
func (q BookQuery) told(necks []bookNeck) (told []bookNeck, lengths bool) {
	isLength := func(n bookNeck) bool {
		if q.Figure.kind != ofTag {
			return false
		}
		_, err := unit.Length.Parse(n.tags[q.Figure.tag])
		return err == nil
	}
	for _, n := range necks {
		if n.told && len(told) == 0 {
			lengths = isLength(n)
		}
		if n.told && isLength(n) == lengths {
			told = append(told, n)
		}
	}
	return told, lengths
}

// fill turns necks in order of time into points.
func (q BookQuery) fill(out *BookSeries, necks []bookNeck) error {
	group, err := gatherer(q.Each)
	if err != nil {
		return err
	}
	switch q.Figure.kind {
	case ofShare:
		if group == nil {
			group = byCalendar("month")
		}
		q.shares(out, necks, group)
		return nil
	case ofCount:
		if group != nil {
			return fmt.Errorf("%w: %s are counted neck by neck; leave --each away", ErrFigure, q.Figure.Name)
		}
	}
	out.Series.Points = make([]drift.Point, len(necks))
	size := map[string]int{}
	for i, n := range necks {
		at := time.UnixMicro(n.at).UTC()
		p := drift.Point{Value: n.value, Label: n.serial, Date: at, Tags: n.tags}
		if group != nil {
			p.Group = group(i, at)
			size[p.Group]++
		}
		out.Series.Points[i] = p
	}
	for _, n := range size {
		if n > mostInRange {
			out.Spread = drift.ByDeviation
		}
	}
	return nil
}

// shares counts the necks not level of each group, all together and for each
// value of the tag.
func (q BookQuery) shares(out *BookSeries, necks []bookNeck, group func(int, time.Time) string) {
	out.Series.Points = sharePoints(necks, group)
	doubt := 0
	for _, n := range necks {
		if n.doubt {
			doubt++
		}
	}
	if doubt > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d of %d necks are in doubt, which counts as level here", doubt, len(necks)))
	}
	if q.By == "" {
		return
	}
	parts := map[string][]bookNeck{}
	var order []string
	for _, n := range necks {
		v := n.tags[q.By]
		if _, seen := parts[v]; !seen {
			order = append(order, v)
		}
		parts[v] = append(parts[v], n)
	}
	for _, v := range order {
		s := out.Series
		s.Points = sharePoints(parts[v], group)
		out.Parts = append(out.Parts, drift.Part{Tag: v, Series: s})
	}
}

func sharePoints(necks []bookNeck, group func(int, time.Time) string) []drift.Point {
	var points []drift.Point
	for i, n := range necks {
		at := time.UnixMicro(n.at).UTC()
		label := group(i, at)
		if len(points) == 0 || points[len(points)-1].Label != label {
			points = append(points, drift.Point{Label: label, Date: at})
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
		return nil, fmt.Errorf("%w is gathered by %q; write day, week, month, quarter, year, or so many necks, such as 5", ErrFigure, each)
	}
	return func(i int, _ time.Time) string { return fmt.Sprintf("%d-%d", i/n*n+1, i/n*n+n) }, nil
}

func byCalendar(each string) func(int, time.Time) string {
	return func(_ int, at time.Time) string {
		switch each {
		case "day":
			return at.Format(time.DateOnly)
		case "week":
			year, week := at.ISOWeek()
			return fmt.Sprintf("%d-W%02d", year, week)
		case "quarter":
			return fmt.Sprintf("%d-Q%d", at.Year(), (int(at.Month())+2)/3)
		case "year":
			return fmt.Sprint(at.Year())
		}
		return at.Format("2006-01")
	}
}
