package cli

import (
	"bytes"
	"context"
	"errors"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/gauge"
	"ringtrue/internal/sheet"
	csvtable "ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// gaugeOptions are the flags of `gauge`, as written.
type gaugeOptions struct {
	json, check, all       bool
	tolerance, study, draw string
}

func newGaugeCommand(s *streams) *cobra.Command {
	var o gaugeOptions
	c := &cobra.Command{
		Use:   "gauge STUDY",
		Short: "Test whether a gauge is good enough for your tolerance",
		Long: `gauge analyses a study of a gauge and says what the gauge can and can't decide.
STUDY is a CSV file with the columns reading and unit, and

  part, operator, trial   each operator reads each part several times (crossed)
  part, day, and run      parts read several times a day, over days (nested)
  reference, and u        gauge blocks or other known sizes (linearity)
  nothing else            one crown, one operator, again and again (repeat)

Use - as STUDY to read standard input.`,
		Example: `  ringtrue gauge study.csv --tolerance "0.03 mm"
  ringtrue gauge blocks.csv --json`,
		Args: exactly(1, "a study file"),
		RunE: func(c *cobra.Command, args []string) error { return runGauge(c.Context(), s, args[0], o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 unless one reading by anyone can call a crown level")
	f.StringVar(&o.tolerance, "tolerance", "", "the zone to decide, such as \"0.03 mm\"")
	f.StringVar(&o.study, "study", "", "kind, if the columns don't say: crossed, nested, linearity or repeat")
	f.StringVar(&o.draw, "draw", "", "draw the study into `FILE` (.svg, .pdf or .png)")
	return c
}

func runGauge(ctx context.Context, s *streams, path string, o gaugeOptions) error {
	r, kind, err := o.request()
	if err != nil {
		return err
	}
	data, err := s.readFile(path, "gauge study", csvtable.MaxBytes)
	if err != nil {
		return err
	}
	if r.Study, err = gauge.Read(path, bytes.NewReader(data), kind); err != nil {
		return err
	}
	if inInches(s.out) {
		r.Study = r.Study.Inches()
	}
	a, err := answer.Gauge(ctx, r)
	if err != nil {
		return studyError(path, err)
	}
	if o.draw != "" {
		page, err := sheet.Gauge(r.Study, a, s.sheetUnits())
		if err != nil {
			return err
		}
		if err := writePicture(o.draw, page); err != nil {
			return err
		}
	}
	err = s.say(o.json, a, func() {
		gaugeText{out: s.out, answer: a, colour: s.colour, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.draw)
		s.more("the scatter by source, and what more passes would do")
	})
	if err == nil && o.check && (a.Decides == nil || !a.Decides.AnyHand[0].LevelWithin.Known()) {
		err = errCheckFailed
	}
	return err
}

// request reads the flags.
func (o gaugeOptions) request() (r answer.GaugeRequest, kind gauge.Kind, err error) {
	if o.tolerance != "" {
		if r.ZoneMM, err = flagSize("tolerance", unit.Length, o.tolerance, 1e-6, 100); err != nil {
			return r, "", err
		}
	} else if o.check {
		return r, "", inputErrorf("--check: add --tolerance, such as --tolerance \"0.03 mm\"")
	}
	if o.study != "" {
		if kind, err = gauge.ParseKind(o.study); err != nil {
			return r, "", inputErrorf("--study: %w", err)
		}
	}
	if o.draw != "" {
		if _, err = pictureKind(o.draw); err != nil {
			return r, "", err
		}
	}
	return r, kind, nil
}

// studyError names the file of a study that cannot be taken apart.
func studyError(path string, err error) error {
	for _, of := range []error{gauge.ErrTooFew, gauge.ErrUneven, gauge.ErrAlike, gauge.ErrNotFinite} {
		if errors.Is(err, of) {
			return inputErrorf("%s: %w", path, err)
		}
	}
	return err
}
