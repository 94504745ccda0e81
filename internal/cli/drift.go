package cli

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
	"ringtrue/internal/sheet"
	csvtable "ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// driftOptions are the flags of `drift`, as written.
type driftOptions struct {
	json, check, all          bool
	sd, headStart             bool
	chart, rules, ewma, cusum string
	centre, sigma             string
	atLeast, atMost, aim      string
	by, draw                  string
	first                     int
	book                      driftBook // without a file
}

func newDriftCommand(s *streams) *cobra.Command {
	var o driftOptions
	c := &cobra.Command{
		Use:   "drift [SERIES]",
		Short: "Chart your work over time and say whether it is steady",
		Long: `drift charts values in order of time and says where the process that made them
shifted. SERIES is a CSV file with the column value. Optional columns are group
(values made alike share one), out_of (how many were looked at; the value is then
how many of them were faulty), unit, label, date and tag:NAME. Use - as SERIES to
read standard input.

Without a file it reads the book: --of names a figure of every neck,

` + book.FigureHelp() + `
from the records of one stage: seated, unless --stage names another. Only each
neck's latest record at that stage is used. cents and ring come from what was heard
and saved (listen --keep): only each neck's latest play-through is used.`,
		Example: `  ringtrue drift zones.csv
  ringtrue drift zones.csv --ewma 0.2 --cusum 0.5,5 --draw zones.svg
  ringtrue drift zones.csv --at-most "0.03 mm" --by wire
  ringtrue drift --of zone --by wire
  ringtrue drift --of "fret 14" --ewma 0.2 --since 2026-01-01
  ringtrue drift --of share --each month
  ringtrue drift --of pattern --by wire --draw pattern.svg`,
		Args: o.sources,
		RunE: func(c *cobra.Command, args []string) error {
			if o.book.of != "" {
				return runDriftBook(c, s, o)
			}
			return runDrift(c.Context(), s, args[0], o)
		},
	}
	o.book.add(c)
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 unless the process is steady")
	f.BoolVar(&o.sd, "sd", false, "take the scatter within groups from standard deviations, not ranges")
	f.StringVar(&o.ewma, "ewma", "", "add a moving average: its weight, and limits' width: 0.2 or 0.2,2.7")
	f.StringVar(&o.cusum, "cusum", "", "add cumulative sums: slack and limit in sigmas, such as 0.5,5")
	f.BoolVar(&o.headStart, "head-start", false, "start cumulative sums half-way to their limit")
	f.StringVar(&o.chart, "chart", "", "chart, if the columns don't say: individuals, means, proportion, count")
	f.StringVar(&o.rules, "rules", "zone", "what signals: zone (four rules), nelson (eight) or limits alone")
	f.IntVar(&o.first, "first", 0, "set the limits from the first `N` points (or groups)")
	f.StringVar(&o.centre, "centre", "", "a known centre instead of the mean")
	f.StringVar(&o.sigma, "sigma", "", "a known standard deviation of one value")
	f.StringVar(&o.atLeast, "at-least", "", "values should be at least this: adds capability")
	f.StringVar(&o.atMost, "at-most", "", "values should be at most this: adds capability")
	f.StringVar(&o.aim, "aim", "", "the value to aim at (default: the middle of both)")
	f.StringVar(&o.by, "by", "", "split by a tag, such as wire (a file needs a column tag:wire)")
	f.StringVar(&o.draw, "draw", "", "draw the charts into `FILE` (.svg, .pdf or .png)")
	return c
}

func runDrift(ctx context.Context, s *streams, path string, o driftOptions) error {
	r, err := o.request()
	if err != nil {
		return err
	}
	data, err := s.readFile(path, "series", csvtable.MaxBytes)
	if err != nil {
		return err
	}
	if r.Series.Series, err = drift.Read(path, bytes.NewReader(data)); err != nil {
		return err
	}
	if err := o.sizes(&r); err != nil {
		return err
	}
	return s.answerDrift(ctx, path, r, o)
}

// answerDrift charts a series, from wherever it came, and prints the answer.
func (s *streams) answerDrift(ctx context.Context, name string, r answer.DriftRequest, o driftOptions) error {
	if inInches(s.out) && r.Series.Unit == "mm" {
		driftInInches(&r)
	}
	a, err := answer.Drift(ctx, r)
	if err != nil {
		return seriesError(name, err)
	}
	if err := drawInto(o.draw, func() (*draw.Page, error) {
		return sheet.Drift(filepath.Base(name), a, s.sheetUnits())
	}); err != nil {
		return err
	}
	switch {
	case o.json && a.Values > maxSetOut:
		err = s.printLongJSON(a)
	case o.json:
		err = s.printJSON(a)
	default:
		driftText{out: s.out, name: name, answer: a, colour: s.colour, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.draw)
		s.more("the chart, its limits, every signal, false alarms and parts")
	}
	if err == nil && o.check && !a.Steady {
		err = errCheckFailed
	}
	return err
}

// maxSetOut is how many values are set out in JSON, a line each.
const maxSetOut = 5000

// request reads the flags that need no series.
func (o driftOptions) request() (r answer.DriftRequest, err error) {
	r.By = o.by
	if o.sd {
		r.Spread = drift.ByDeviation
	}
	switch o.rules {
	case "zone":
		r.Basis.Rules = drift.ZoneRules()
	case "nelson":
		r.Basis.Rules = drift.NelsonRules()
	case "limits":
		r.Basis.Rules = drift.LimitRule()
	default:
		return r, inputErrorf("--rules: no such rules %s; use zone, nelson or limits", unit.Quote(o.rules))
	}
	switch k := drift.Kind(o.chart); k {
	case "", drift.KindIndividuals, drift.KindMeans, drift.KindProportion, drift.KindCount:
		r.Kind = k
	default:
		return r, inputErrorf("--chart: no such chart %s; use individuals, means, proportion or count", unit.Quote(o.chart))
	}
	if o.first < 0 {
		return r, inputErrorf("--first: %d is not a number of points", o.first)
	}
	r.Basis.First = o.first
	if o.draw != "" {
		if _, err := pictureKind(o.draw); err != nil {
			return r, err
		}
	}
	if r.EWMA, err = o.ewmaRequest(); err != nil {
		return r, err
	}
	r.CUSUM, err = o.cusumRequest()
	return r, err
}

func (o driftOptions) ewmaRequest() (*drift.EWMADesign, error) {
	if o.ewma == "" {
		return nil, nil
	}
	n, err := numbersOf("ewma", o.ewma, "0.2 or 0.2,2.7", 1, 2)
	if err != nil {
		return nil, err
	}
	e := &drift.EWMADesign{Lambda: n[0], Width: 3}
	if len(n) == 2 {
		e.Width = n[1]
	}
	if !(e.Lambda >= 0.005 && e.Lambda <= 1) {
		return nil, inputErrorf("--ewma: the weight %g must be 0.005 to 1", e.Lambda)
	}
	if !(e.Width > 0 && e.Width <= 10) {
		return nil, inputErrorf("--ewma: the width %g must be over 0, at most 10", e.Width)
	}
	return e, nil
}

func (o driftOptions) cusumRequest() (*drift.CusumDesign, error) {
	if o.cusum == "" {
		if o.headStart {
			return nil, inputErrorf("--head-start: add --cusum")
		}
		return nil, nil
	}
	n, err := numbersOf("cusum", o.cusum, "0.5,5", 2, 2)
	if err != nil {
		return nil, err
	}
	c := &drift.CusumDesign{K: n[0], H: n[1]}
	if !(c.K >= 0 && c.K <= 10) || !(c.H > 0 && c.H <= 100) {
		return nil, inputErrorf("--cusum: %s: the slack must be 0 to 10, the limit over 0 to 100, in sigmas", o.cusum)
	}
	if o.headStart {
		c.HeadStart = c.H / 2
	}
	return c, nil
}

// numbersOf reads numbers parted by commas.
func numbersOf(flag, text, like string, least, most int) ([]float64, error) {
	parts := strings.Split(text, ",")
	if len(parts) < least || len(parts) > most {
		return nil, inputErrorf("--%s: %s; write it like %s", flag, unit.Quote(text), like)
	}
	n := make([]float64, len(parts))
	for i, p := range parts {
		var err error
		if n[i], err = unit.Number(p); err != nil {
			return nil, inputErrorf("--%s: %w", flag, err)
		}
	}
	return n, nil
}

// sizes reads the flags that stand in the series' unit.
func (o driftOptions) sizes(r *answer.DriftRequest) error {
	for _, f := range []struct {
		flag, value string
		out         *num.Opt
	}{
		{"centre", o.centre, &r.Basis.Centre},
		{"sigma", o.sigma, &r.Basis.Sigma},
		{"at-least", o.atLeast, &r.Spec.Lower},
		{"at-most", o.atMost, &r.Spec.Upper},
		{"aim", o.aim, &r.Spec.Target},
	} {
		if f.value == "" {
			continue
		}
		v, err := inSeriesUnit(f.flag, f.value, r.Series.Unit)
		if err != nil {
			return err
		}
		*f.out = num.Some(v)
	}
	w := r.Spec
	switch {
	case r.Basis.Sigma.Known() && !(r.Basis.Sigma.Or(0) > 0):
		return inputErrorf("--sigma: %s must be more than 0", o.sigma)
	case w.Lower.Known() && w.Lower.OrNaN() >= w.Upper.OrNaN():
		return inputErrorf("--at-least: %s is not below --at-most, %s", o.atLeast, o.atMost)
	case w.Target.Known() && !(w.Lower.Known() && w.Upper.Known()):
		return inputErrorf("--aim: add --at-least and --at-most")
	}
	return nil
}

// inSeriesUnit reads a value of a series: a bare number in the series' unit,
// or one with a unit of length where the series is in mm or in.
func inSeriesUnit(flag, text, of string) (float64, error) {
	v, err := unit.Number(text)
	if err == nil {
		return v, nil
	}
	mm, lengthErr := unit.Length.Parse(text)
	switch {
	case lengthErr != nil && of != "mm" && of != "in":
		return 0, inputErrorf("--%s: %w", flag, err)
	case lengthErr != nil:
		return 0, inputErrorf("--%s: %w", flag, lengthErr)
	case of == "mm":
		return mm, nil
	case of == "in":
		return mm / unit.MMPerInch, nil
	case of == "":
		return 0, inputErrorf("--%s: %s has a unit, but the series has none; use a bare number", flag, unit.Quote(text))
	}
	return 0, inputErrorf("--%s: %s is a length, but the series is in %s", flag, unit.Quote(text), of)
}

// seriesError names the series that cannot be charted, and the way out.
func seriesError(name string, err error) error {
	switch {
	case errors.Is(err, drift.ErrNoGroups):
		return inputErrorf("%s: has no column group; a chart of means needs one", name)
	case errors.Is(err, drift.ErrNoOutOf):
		return inputErrorf("%s: has no column out_of; a chart of proportions needs one", name)
	case errors.Is(err, drift.ErrNoTag):
		return inputErrorf("--by: %w", err)
	}
	for _, of := range []error{drift.ErrTooFew, drift.ErrNotFinite, drift.ErrCount, drift.ErrNoScatter, drift.ErrOfCounts} {
		if errors.Is(err, of) {
			return inputErrorf("%s: %w", name, err)
		}
	}
	return err
}

// driftInInches turns a series in mm, and what is asked of it, into inches.
func driftInInches(r *answer.DriftRequest) {
	r.Series.Series = r.Series.Scaled("in", 1/unit.MMPerInch)
	for _, size := range []*num.Opt{&r.Basis.Centre, &r.Basis.Sigma, &r.Spec.Lower, &r.Spec.Upper, &r.Spec.Target} {
		if mm, known := size.Get(); known {
			*size = num.Some(mm / unit.MMPerInch)
		}
	}
}
