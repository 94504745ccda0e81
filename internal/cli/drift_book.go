package cli

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/sheet"
)

// driftBook are the flags of `drift` that read the book, as written.
type driftBook struct {
	of, where, each, fret, lane string
	filter                      bookFilter
}

func (o *driftBook) add(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.of, "of", "", "the `FIGURE` to read from the book")
	f.StringVar(&o.fret, "fret", "", "the fret for --of height or seat")
	f.StringVar(&o.lane, "lane", "", "the lane for --of height (default: the mean of all)")
	f.StringVar(&o.each, "each", "", "group necks by day, week, month, quarter or year, or N together: 5")
	bookFlag(f, &o.where)
	o.filter.add(c)
}

// sources wants a file or a figure of the book, not both, and no flag that
// belongs to the other.
func (o *driftOptions) sources(c *cobra.Command, args []string) error {
	if o.book.of == "" {
		for _, flag := range []string{"fret", "lane", "each", "book", "stage", "tag", "since", "until", "model"} {
			if c.Flags().Changed(flag) {
				return inputErrorf("--%s works on the book; add --of FIGURE", flag)
			}
		}
	}
	switch {
	case len(args) > 1:
		return inputErrorf("drift takes one series file; see ringtrue drift --help")
	case len(args) == 0 && o.book.of == "":
		return inputErrorf("drift takes a series file, or --of FIGURE from the book: %s", strings.Join(book.FigureNames(), ", "))
	case len(args) == 1 && o.book.of != "":
		return inputErrorf("--of reads the book; leave out %s or --of", args[0])
	}
	return nil
}

// isPattern says whether every fret at once is asked for.
func (o driftBook) isPattern() bool {
	of := strings.ToLower(strings.TrimSpace(o.of))
	return of == "pattern" || of == "patterns"
}

// leanGC is how much garbage may gather, in percent of what is in use.
const leanGC = 25

// runDriftBook charts a figure of the book.
func runDriftBook(c *cobra.Command, s *streams, o driftOptions) error {
	ctx := c.Context()
	defer debug.SetGCPercent(debug.SetGCPercent(leanGC)) // of a million necks a third of the memory
	if o.book.isPattern() {
		return runPattern(c, s, o)
	}
	r, err := o.request()
	if err != nil {
		return err
	}
	q, err := o.book.query(o.by)
	if err != nil {
		return err
	}
	err = s.withBook(ctx, o.book.where, false, func(b book.Store) (err error) {
		r.Series, err = book.SeriesOf(ctx, b, q)
		return figureError(err)
	})
	if err != nil {
		return err
	}
	if err := o.sizes(&r); err != nil {
		return err
	}
	return s.answerDrift(ctx, "--of "+o.book.of, r, o)
}

// query reads the flags.
func (o driftBook) query(by string) (q book.Query, err error) {
	if q.Filter, err = o.filter.filter(); err != nil {
		return q, err
	}
	var fret *int
	var lane *float64
	if o.fret != "" {
		n, err := strconv.Atoi(o.fret)
		if err != nil || n < 0 || n > 255 {
			return q, inputErrorf("--fret: %s is not a fret; write it like 14", o.fret)
		}
		fret = &n
	}
	if o.lane != "" {
		v, err := strconv.ParseFloat(o.lane, 64)
		if err != nil || !(v >= 1 && v <= 100) {
			return q, inputErrorf("--lane: %s is not a lane; write it like 3", o.lane)
		}
		lane = &v
	}
	if q.Figure, err = book.ParseFigure(o.of, fret, lane); err != nil {
		return q, inputErrorf("--of: %w", err)
	}
	q.Each, q.By = o.each, by
	return q, nil
}

// figureError turns faults of what was asked for into faults of the call.
func figureError(err error) error {
	switch {
	case errors.Is(err, book.ErrFigure):
		return inputErrorf("--of: %w", err)
	case errors.Is(err, drift.ErrNoTag):
		return inputErrorf("--by: %w", err)
	case errors.Is(err, drift.ErrTooFew):
		return inputErrorf("%w", err)
	}
	return err
}

func runPattern(c *cobra.Command, s *streams, o driftOptions) error {
	for _, flag := range []string{"fret", "lane", "each", "chart", "rules", "ewma", "cusum", "head-start", "sd", "first", "centre", "sigma", "at-least", "at-most", "aim"} {
		if c.Flags().Changed(flag) {
			return inputErrorf("--%s: a pattern has no chart; for one fret use --of \"fret 14\"", flag)
		}
	}
	if o.draw != "" {
		if _, err := pictureKind(o.draw); err != nil {
			return err
		}
	}
	filter, err := o.book.filter.filter()
	if err != nil {
		return err
	}
	ctx := c.Context()
	var a *answer.PatternAnswer
	err = s.withBook(ctx, o.book.where, false, func(b book.Store) (err error) {
		a, err = answer.Pattern(ctx, b, filter, o.by)
		return figureError(err)
	})
	if err != nil {
		return err
	}
	if err := drawInto(o.draw, func() (*draw.Page, error) {
		return sheet.Pattern(a, s.sheetUnits())
	}); err != nil {
		return err
	}
	err = s.say(o.json, a, func() {
		patternText{out: s.out, answer: a, colour: s.colour, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.draw)
		s.more("shifts in time, the table of frets and lanes, and parts")
	})
	if err == nil && o.check && !a.Steady {
		err = errCheckFailed
	}
	if err != nil && !errors.Is(err, errCheckFailed) {
		return fmt.Errorf("pattern: %w", err)
	}
	return err
}
