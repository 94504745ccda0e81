package cli

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
	"ringtrue/internal/wood"
)

// woodOptions are the flags of `wood`, as written.
type woodOptions struct {
	json, check, all              bool
	species, glued                bool
	at, humidity, driest, dampest string
	proud, bow                    string
	biot                          float64
	draw                          string
	assumed                       []string // options left to their defaults
	serial, where                 string   // of a neck in the book, in place of a file
}

func newWoodCommand(s *streams) *cobra.Command {
	var o woodOptions
	c := &cobra.Command{
		Use:   "wood [NECK]",
		Short: "Check the wood: dry enough, and how it will move",
		Long: `wood says what moisture the shop's air brings the board to, whether it is near
enough to slot, and if not, how long it needs. Then come the seasons where it will
live: how much wider and narrower the board gets, how proud the fret ends get and
how to file them for that. It says how board and neck may bow against each other,
and which humidity keeps both small.`,
		Example: `  ringtrue wood heron.toml --at "21 C" --humidity 40 --driest 25 --dampest 65
  ringtrue wood --serial 0412
  ringtrue wood --species`,
		Args: func(c *cobra.Command, args []string) error {
			switch {
			case (o.species || o.serial != "") && len(args) == 0:
				return nil
			case o.serial != "":
				return inputErrorf("--serial takes the neck from the book; leave out %s, or --serial", args[0])
			case o.where != "":
				return inputErrorf("--book works on the book; add --serial SERIAL")
			}
			return exactly(1, "a neck file, --serial SERIAL, or --species alone")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if o.species {
				return runSpecies(s, o.json)
			}
			for _, name := range []string{text.WoodTemperature, text.WoodHumidity, text.WoodDriest, text.WoodDampest} {
				if !c.Flags().Changed(strings.TrimPrefix(name, "--")) {
					o.assumed = append(o.assumed, name)
				}
			}
			return runWood(c.Context(), s, args, o)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 unless the board is ready")
	f.StringVar(&o.serial, "serial", "", "take the neck from the book, by `SERIAL`")
	bookFlag(f, &o.where)
	f.StringVar(&o.at, "at", "21 C", "temperature of the air")
	f.StringVar(&o.humidity, "humidity", "40", "the shop's humidity, per cent")
	f.StringVar(&o.driest, "driest", "25", "humidity of the driest season where it will live, per cent")
	f.StringVar(&o.dampest, "dampest", "65", "humidity of the dampest season there, per cent")
	f.BoolVar(&o.glued, "glued", false, "the board is glued to its neck and dries through one face")
	f.Float64Var(&o.biot, "biot", 0, "surface Biot number: 0 bare wood in moving air, 1 or less sealed")
	f.StringVar(&o.proud, "proud-limit", "0.10 mm", "most that fret ends may be proud, for the humidity window")
	f.StringVar(&o.bow, "bow-limit", "0.20 mm", "most that the neck may bow, for the humidity window")
	f.BoolVar(&o.species, "species", false, "list the known woods, with sources")
	f.StringVar(&o.draw, "draw", "", "draw drying and a year of width into `FILE` (.svg, .pdf or .png)")
	return c
}

// woodNeck is the neck that was named: a file's, or as it was when it was added to the
// book last.
func (s *streams) woodNeck(ctx context.Context, args []string, o woodOptions) (neckFile, error) {
	if o.serial == "" {
		return s.loadNeckFile(args[0])
	}
	from, err := s.sourceOfBook(ctx, fromBook{serial: o.serial, where: o.where})
	return neckFile{name: from.inFaults, model: from.model, layout: from.layout}, err
}

func runWood(ctx context.Context, s *streams, args []string, o woodOptions) error {
	r, err := o.request()
	if err != nil {
		return err
	}
	if _, err := pictureKind(o.draw); o.draw != "" && err != nil {
		return inputErrorf("--draw: %s: end the file's name in .svg, .pdf or .png", o.draw)
	}
	n, err := s.woodNeck(ctx, args, o)
	if err != nil {
		return err
	}
	r.Model, r.Layout, r.Curves = n.model, n.layout, o.draw != ""
	a, err := answer.Wood(ctx, r)
	switch {
	case errors.Is(err, wood.ErrTemperature):
		return inputErrorf("--at: %w", err)
	case err != nil:
		return n.locate(err)
	}
	if o.draw != "" {
		page, err := sheet.Wood(a, s.sheetUnits())
		if err != nil {
			return err
		}
		if err := writeFine(o.draw, page, pngDotsPerMM); err != nil {
			return err
		}
	}
	err = s.say(o.json, a, func() {
		woodText{out: s.out, answer: a, all: o.all}.print()
		s.short = !o.all
		s.drawn(o.draw)
		defer s.more("seasons, wood, treaty and notes")
		switch {
		case o.serial != "": // its board is slotted
		case a.Ready && slices.Contains(a.Assumed, "board.moisture"):
			s.next(text.MeasureMoisture, "wood", args[0])
		case a.Ready:
			s.next("slot the board, read it bare, then", "board", args[0], readingsFile)
		}
	})
	if err == nil && o.check && !a.Ready {
		err = errCheckFailed
	}
	return err
}

// request reads the flags' sizes.
func (o woodOptions) request() (answer.WoodRequest, error) {
	r := answer.WoodRequest{OneFace: o.glued, Biot: o.biot, Assumed: o.assumed}
	var err error
	if r.Air, err = seasons(o.at, o.driest, o.dampest); err != nil {
		return r, err
	}
	for _, f := range []struct {
		flag, value string
		q           unit.Quantity
		low, high   float64
		out         *float64
	}{
		{"humidity", o.humidity, unit.Percent, 0, 100, &r.HumidityPct},
		{"proud-limit", o.proud, unit.Length, 0.001, 10, &r.ProudMM},
		{"bow-limit", o.bow, unit.Length, 0.001, 50, &r.BowMM},
	} {
		v, err := flagSize(f.flag, f.q, f.value, f.low, f.high)
		if err != nil {
			return r, err
		}
		*f.out = v
	}
	if !(o.biot >= 0 && o.biot <= 1e6) {
		return r, inputErrorf("--biot: %g must be 0 or more", o.biot)
	}
	return r, nil
}

// pngDotsPerMM is fine enough for a printed page.
const pngDotsPerMM = 8
