package cli

import (
	"bytes"
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/plan"
	"ringtrue/internal/unit"
	"ringtrue/internal/wood"
)

// planOptions are the flags of `plan`, as written.
type planOptions struct {
	json, alloys, all                             bool
	trial, overhang, waste, coil, backBow, endGap string
	wedgeShare, bevel                             float64
	draw, paper                                   string
	at, driest, dampest                           string
}

func newPlanCommand(s *streams) *cobra.Command {
	var o planOptions
	c := &cobra.Command{
		Use:   "plan NECK",
		Short: "Plan the fret work: slots, wire, bends, press, glue, saddle",
		Long: `plan places the frets and sizes the slots. It says how long to cut each wire, and
how far to bend it so that it springs back to the board's radius. It says how the
tang fits and bows the neck, how much glue to use, and how to get it in. It says
what the bevel takes off the fret ends, and where each string's saddle goes.`,
		Example: `  ringtrue plan heron.toml
  ringtrue plan heron.toml --trial "loaded 120 mm, free 410 mm"
  ringtrue plan heron.toml --draw slots.pdf --paper letter`,
		Args: exactly(1, "a neck file"),
		RunE: func(c *cobra.Command, args []string) error { return runPlan(c.Context(), s, args[0], o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.StringVar(&o.trial, "trial", "", "use a trial bend, radii under the crown: `\"loaded 120 mm, free 410 mm\"`")
	f.StringVar(&o.overhang, "overhang", "2 mm", "wire to leave over each end of a fret")
	f.StringVar(&o.waste, "waste", "5 %", "wire to buy beyond the cut lengths")
	f.StringVar(&o.coil, "coil", "", "count coils of this length, such as `\"200 cm\"`")
	f.StringVar(&o.backBow, "back-bow", "", "find the slot width that bows the neck back by this, such as `\"0.15 mm\"`")
	f.Float64Var(&o.wedgeShare, "wedge-share", 1, "share of a tight tang's width that widens its slot, above 0 to 1")
	f.Float64Var(&o.bevel, "bevel", 30, "angle of the fret ends from upright, in degrees")
	f.StringVar(&o.at, "at", "21 C", "temperature of the air where it will live, for the fret ends")
	f.StringVar(&o.driest, "driest", "25", "humidity of the driest season there")
	f.StringVar(&o.dampest, "dampest", "65", "humidity of the dampest season there")
	f.StringVar(&o.endGap, "end-gap", "0.5 mm", "how far a tang stops short of a binding")
	f.BoolVar(&o.alloys, "alloys", false, "show what other alloys change in bending, nipping and filing")
	f.StringVar(&o.draw, "draw", "", "draw the slots at full size into `FILE` (.svg, .pdf, or .dxf in mm)")
	f.StringVar(&o.paper, "paper", "a4", "with --draw: a4, letter, or whole for one large sheet (PDF)")
	return c
}

func runPlan(ctx context.Context, s *streams, path string, o planOptions) error {
	options, err := o.options()
	if err != nil {
		return err
	}
	air, err := seasons(o.at, o.driest, o.dampest)
	if err != nil {
		return err
	}
	drawing, err := slotsDrawing(o.draw, o.paper, s.sheetUnits())
	if err != nil {
		return err
	}
	n, err := s.loadNeckFile(path)
	if err != nil {
		return err
	}
	a, err := answer.Plan(ctx, answer.PlanRequest{Model: n.model, Layout: n.layout, Options: options, Alloys: o.alloys, Air: &air})
	switch {
	case errors.Is(err, wood.ErrTemperature):
		return inputErrorf("--at: %w", err)
	case err != nil:
		return n.locate(err)
	}
	if drawing != nil {
		var b bytes.Buffer
		if err := drawing(a, &b); err != nil {
			return err
		}
		if err := writeFile(o.draw, b.Bytes()); err != nil {
			return err
		}
	}
	return s.say(o.json, a, func() {
		planText{out: s.out, answer: a, all: o.all || o.alloys}.print()
		s.short = !o.all && !o.alloys
		s.drawn(o.draw)
		s.next("", "wood", path)
		s.more("the table of cuts, wire, fit, glue, ends, saddle and cautions")
	})
}

// options reads the flags' sizes.
func (o planOptions) options() (plan.Options, error) {
	out := plan.Defaults()
	var err error
	size := func(flag string, q unit.Quantity, value string, low, high float64) (v float64) {
		if err == nil {
			v, err = flagSize(flag, q, value, low, high)
		}
		return v
	}
	out.OverhangMM = size("overhang", unit.Length, o.overhang, 0, 50)
	out.EndGapMM = size("end-gap", unit.Length, o.endGap, 0, 10)
	if o.coil != "" {
		out.CoilMM = size("coil", unit.Length, o.coil, 50, 1e6)
	}
	if o.backBow != "" {
		out.BackBowMM = num.Some(size("back-bow", unit.Length, o.backBow, 0, 10))
	}
	if out.WastePct = size("waste", unit.Percent, o.waste, 0, 500); err != nil {
		return out, err
	}
	if !(o.wedgeShare > 0 && o.wedgeShare <= 1) {
		return out, inputErrorf("--wedge-share: %g must be above 0 and at most 1", o.wedgeShare)
	}
	if !(o.bevel >= 0 && o.bevel <= 80) {
		return out, inputErrorf("--bevel: %g must be 0 to 80 degrees", o.bevel)
	}
	out.WedgeShare, out.BevelDeg = o.wedgeShare, o.bevel
	if o.trial != "" {
		out.Trial, err = parseTrial(o.trial)
	}
	return out, err
}

// seasons reads the air of where a neck will live.
func seasons(at, driest, dampest string) (air wood.Air, err error) {
	if air.TempC, err = flagSize("at", unit.Temperature, at, -273.15, 1000); err != nil {
		return air, err
	}
	if air.DriestPct, err = flagSize("driest", unit.Percent, driest, 0, 100); err != nil {
		return air, err
	}
	if air.DampestPct, err = flagSize("dampest", unit.Percent, dampest, 0, 100); err != nil {
		return air, err
	}
	if air.DriestPct > air.DampestPct {
		return air, inputErrorf("--driest: %g %% must not be above --dampest, %g %%", air.DriestPct, air.DampestPct)
	}
	air.HumidityPct = air.DriestPct // of the shop: the ends don't ask for it
	return air, nil
}

// flagSize reads a size with its unit from a flag and holds it within bounds.
func flagSize(flag string, q unit.Quantity, value string, low, high float64) (float64, error) {
	v, err := q.Parse(value)
	if err != nil {
		return 0, inputErrorf("--%s: %w", flag, err)
	}
	if !(v >= low && v <= high) {
		return 0, inputErrorf("--%s: %s must be %s to %s %s", flag, value, unit.Decimal(low), unit.Decimal(high), q.Unit())
	}
	return v, nil
}

// parseTrial reads "loaded 120 mm, free 410 mm", in either order.
func parseTrial(s string) (*plan.Trial, error) {
	var t plan.Trial
	for _, part := range strings.Split(s, ",") {
		word, size, _ := strings.Cut(strings.TrimSpace(part), " ")
		at := map[string]*float64{"loaded": &t.LoadedMM, "free": &t.FreeMM}[word]
		if at == nil || *at != 0 {
			return nil, inputErrorf(`--trial: %s; write "loaded 120 mm, free 410 mm"`, unit.Quote(s))
		}
		mm, err := flagSize("trial", unit.Length, size, 1, 1e5)
		if err != nil {
			return nil, err
		}
		*at = mm
	}
	if t.LoadedMM == 0 || t.FreeMM == 0 {
		return nil, inputErrorf(`--trial: %s; write "loaded 120 mm, free 410 mm"`, unit.Quote(s))
	}
	return &t, nil
}

// neckFile is a neck file with its text, for faults that show only once its
// numbers are put together.
type neckFile struct {
	name   string
	data   []byte
	model  neck.Model
	layout *geometry.Layout
}

// loadNeckFile reads a neck file, lays it out and keeps its text.
func (s *streams) loadNeckFile(path string) (neckFile, error) {
	data, err := s.readFile(path, "neck", maxNeckBytes)
	if err != nil {
		return neckFile{}, err
	}
	n := neckFile{name: shown(path), data: data}
	if n.model, err = neck.Parse(n.name, data); err != nil {
		return neckFile{}, err
	}
	if n.layout, err = geometry.New(n.model); err != nil {
		return neckFile{}, inputErrorf("%s: %w", n.name, err)
	}
	return n, nil
}

// locate gives faults that carry only a key the file and the line it stands on.
func (n neckFile) locate(err error) error {
	var faults fileerr.List
	if !errors.As(err, &faults) {
		return err
	}
	out := make(fileerr.List, len(faults))
	for i, f := range faults {
		if f.File == "" {
			f.File, f.Line = n.name, neck.Line(n.data, f.Key)
		}
		out[i] = f
	}
	return out.Err()
}
