package cli

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// readOptions are the flags of `frets` that ask what to read.
type readOptions struct {
	ask           bool
	gauge, gaugeU string
}

func (o *readOptions) add(c *cobra.Command) {
	f := c.Flags()
	f.BoolVar(&o.ask, "what-to-read", false, "say what to read next, or first if there are no READINGS")
	f.StringVar(&o.gauge, "gauge", string(reading.Beam), "with --what-to-read, no readings: "+planGauges())
	f.StringVar(&o.gaugeU, "gauge-u", "", "with --gauge: standard uncertainty of a reading, such as \"0.003 mm\"")
}

func planGauges() string { return reading.Join(answer.PlanGauges(), " or ") }

// args wants neck and readings, or the neck alone where it is asked what to read.
func (o *fretsOptions) args(c *cobra.Command, args []string) error {
	changed := c.Flags().Changed
	if !o.read.ask {
		for _, flag := range []string{"gauge", "gauge-u"} {
			if changed(flag) {
				return inputErrorf("--%s goes with --what-to-read", flag)
			}
		}
		if changed("strokes") && !changed("after") {
			return inputErrorf("--strokes goes with --after, for the work between two sets of readings")
		}
		return o.from.orFiles(exactly(2, "a neck file and a readings file"))(c, args)
	}
	for _, flag := range []string{"check", "fair", "plan-to", "after", "strokes", "by", "minutes", "draw", "card", "paper"} {
		if changed(flag) {
			return inputErrorf("--%s does not go with --what-to-read", flag)
		}
	}
	if len(args) == 1 && !changed("serial") {
		return o.from.grid.unused()
	}
	for _, flag := range []string{"gauge", "gauge-u"} {
		if changed(flag) {
			return inputErrorf("--%s is for a neck without readings", flag)
		}
	}
	return o.from.orFiles(exactly(2, "with --what-to-read a neck file, and readings if you have any"))(c, args)
}

// runWhatToRead says what to read first, or next.
func runWhatToRead(c *cobra.Command, s *streams, args []string, o fretsOptions) error {
	if len(args) == 1 {
		return runFirstReadings(c.Context(), s, args[0], o)
	}
	from, err := s.source(c.Context(), o.from, args)
	if err != nil {
		return err
	}
	a, err := answer.NextToRead(answer.FretsRequest{Model: from.model, Layout: from.layout, Readings: from.readings})
	if err != nil {
		return err
	}
	if o.json {
		return s.printJSON(a)
	}
	w := s.out
	fmt.Fprintf(w, "%s: %s\n", cmp.Or(a.Neck, "neck"), strings.ToUpper(a.Verdict))
	nextReadings(w, a.NextReadings)
	if len(a.NextReadings) == 0 {
		wrap(w, "", text.NothingToRead(a.Verdict))
	}
	return nil
}

func runFirstReadings(ctx context.Context, s *streams, path string, o fretsOptions) error {
	m, layout, err := s.loadNeck(path)
	if err != nil {
		return err
	}
	r := answer.WhatToReadRequest{Model: m, Layout: layout, Gauge: reading.Method(o.read.gauge), Shop: readplan.UsualShop()}
	if !slices.Contains(answer.PlanGauges(), r.Gauge) {
		return inputErrorf("--gauge: no plan for %s; use %s", unit.Quote(o.read.gauge), planGauges())
	}
	if o.read.gaugeU != "" {
		if r.UMM, err = unit.Length.Parse(o.read.gaugeU); err != nil {
			return inputErrorf("--gauge-u: %w", err)
		}
		if r.UMM < minGaugeU || r.UMM > maxGaugeU {
			return inputErrorf("--gauge-u: %s must be %g to %g mm", o.read.gaugeU, minGaugeU, maxGaugeU)
		}
	}
	if o.from.where != "" || o.from.stage != "" {
		if err := s.withBook(ctx, o.from.where, false, func(b book.Store) (err error) {
			r.Shop, err = answer.ShopOf(ctx, b, o.from.stage)
			return err
		}); err != nil {
			return err
		}
	}
	a, err := answer.WhatToRead(ctx, r)
	if err != nil {
		return err
	}
	return s.say(o.json, a, func() {
		firstReadings(s.out, a)
		s.next("read, then", "frets", path, readingsFile)
	})
}

// Uncertainties of a reading that a gauge can have, in mm.
const (
	minGaugeU = 0.0001
	maxGaugeU = 0.1
)

// firstReadings prints a plan of what to read, and how it does.
func firstReadings(w io.Writer, a *answer.WhatToReadAnswer) {
	fmt.Fprintf(w, "%s: what to read, in this order\n\n", cmp.Or(a.Neck, "neck"))
	for i, s := range a.Steps {
		lead := fmt.Sprintf("  %d  ", i+1)
		for _, x := range s.Sets {
			wrap(w, lead, fmt.Sprintf("%s, %s, %s", x.Method, lanesInWords(x.Lanes), fretsInWords(x.Frets)))
			lead = "     "
		}
		wrap(w, lead, fmt.Sprintf("%d readings, %s: %s. %s.", s.Readings, minutesInWords(s.Minutes), s.Why, sentence(s.Stop)))
	}
	fmt.Fprintln(w)
	t := a.Tried
	switch {
	case t.SaidLevel == 0:
		better := text.FinerGauge
		if a.Steps[0].Sets[0].Method == string(reading.Bridge) {
			better = text.LanesToo
		}
		wrap(w, "", fmt.Sprintf("Of %d level necks tried, none was called level with these readings and as many again. %s", t.Level, better))
	default:
		wrap(w, "", fmt.Sprintf("A level neck takes %.0f readings on average, %s; every crown once is %d. Of %d level necks tried, %d were called level, %d in doubt, %d not level.",
			a.Readings, minutesInWords(a.Minutes), a.AllReadings, t.Level, t.SaidLevel, t.InDoubt, t.SaidNot))
	}
	wrap(w, "", fmt.Sprintf("Of %d tried that are not level, %d were called level.", t.Others, t.Wrong))
	from := "This assumes that"
	if a.Shop.Necks > 0 {
		from = fmt.Sprintf("From %s in the book:", text.Count(a.Shop.Necks, "neck"))
	}
	wrap(w, "", fmt.Sprintf("%s frets scatter by %.1f µm and their ends by %.1f µm; %.0f in 100 are off. A reading is good to %.1f µm. Misreads and repeated readings are not counted.",
		from, a.Shop.FretMM*1e3, a.Shop.TiltMM*1e3, a.Shop.Odd*100, a.UMM*1e3))
	for _, warning := range a.Warnings {
		wrap(w, "! ", warning)
	}
	wrap(w, "", sentence(a.Stop)+".")
}

// sentence begins with a capital letter.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
