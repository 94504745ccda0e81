package cli

import (
	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// fretsOptions are the flags of `frets`.
type fretsOptions struct {
	json, check, fair, all bool
	after, to, card        string
	picture                neckPicture
	seated                 []int
	from                   fromBook
	read                   readOptions
	hand                   handOptions
}

func newFretsCommand(s *streams) *cobra.Command {
	var o fretsOptions
	c := &cobra.Command{
		Use:   "frets NECK READINGS",
		Short: "Judge the frets: level or not, and what to file where",
		Long: `frets works out every crown from your gauge readings. It says whether the neck
is level, which frets are off and why, and what to do: frets to press or replace
first, then what to file so that the next reading says level.

READINGS is a readings file, a grid of frets by lanes as sheet makes it, or -
for standard input. --serial takes neck and readings from the book. Each finding
then comes with its history: the same and since when, worn or moved, the neck's
bow, or too few readings to say.

--what-to-read says what to read next. Without READINGS it says what to read
first and when to stop, for necks like those in --book.`,
		Example: `  ringtrue frets heron.toml heron-seated.csv
  ringtrue frets heron.toml heron-seated.csv --draw card.pdf
  ringtrue frets heron.toml heron-seated.csv --after heron-levelled.csv
  ringtrue frets --serial 0412 --stage refitted
  ringtrue frets heron.toml --what-to-read --gauge beam`,
		Args: o.args,
		RunE: func(c *cobra.Command, args []string) error {
			if o.read.ask {
				return runWhatToRead(c, s, args, o)
			}
			return runFrets(c, s, args, o)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.check, "check", false, "exit 1 unless the neck is level")
	f.BoolVar(&o.fair, "fair", false, "take off smoothly across each fret, as a file on a radius does")
	f.StringVar(&o.to, "plan-to", "", "file to this `ZONE`, such as \"0.020 mm\", not the calculated one")
	f.IntSliceVar(&o.seated, "seated", nil, "file these seated `FRETS`, such as 7,14, instead of pressing them")
	f.StringVar(&o.after, "after", "", "`FILE` of readings taken after levelling: judge what was filed")
	o.from.add(c)
	o.read.add(c)
	o.hand.add(f)
	o.picture.add(f, "draw the neck into")
	f.StringVar(&o.card, "card", "", "write the moves into `FILE` (.pdf) to hang up, flats at true size")
	return c
}

func runFrets(c *cobra.Command, s *streams, args []string, o fretsOptions) error {
	unit, paper, err := o.picture.settle(s.inches)
	if err != nil {
		return err
	}
	if err = cardKind(o.card); err != nil {
		return err
	}
	from, err := s.source(c.Context(), o.from, args)
	if err != nil {
		return err
	}
	layout := from.layout
	r := answer.FretsRequest{Model: from.model, Layout: layout, Readings: from.readings, Fair: o.fair, Seated: o.seated, Moves: true, Plays: true}
	if err = seatedFrets(o.seated, layout); err != nil {
		return err
	}
	if r.Shop, err = s.shopFor(o.from.where, layout); err != nil {
		return err
	}
	if r.PlanToMM, err = planTo(o.to, from.model.Level.Zone); err != nil {
		return err
	}
	if o.after != "" {
		later, err := s.loadReadings(o.after, layout, o.from.grid)
		if err != nil {
			return err
		}
		r.After = later.Readings
	}
	if r.Strokes, err = s.strokes(o.hand.strokes); err != nil {
		return err
	}
	if err = onNeck(r.Strokes, layout); err != nil {
		return err
	}
	r.Time = o.hand.minutes
	if err = s.learned(c.Context(), o, &r); err != nil {
		return err
	}
	a, err := answer.Frets(c.Context(), r)
	if err != nil {
		return err
	}
	if err = s.history(c.Context(), from, o.from.stage, a); err != nil {
		return err
	}
	shown := a // the second set's answer where there is one
	if a.After != nil {
		shown = &a.After.FretsAnswer
	}
	if err := drawInto(o.picture.draw, func() (*draw.Page, error) {
		return sheet.Frets(shown, layout, paper, unit.sheet)
	}); err != nil {
		return err
	}
	if err := drawCard(o.card, shown, from, paper, unit.sheet); err != nil {
		return err
	}
	err = s.say(o.json, a, func() {
		fretsText{out: s.out, unit: unit, answer: shown, after: a.After, colour: s.colour, all: o.all}.print()
		historyJudged(s.out, a.History, o.all)
		s.short = !o.all
		taken(s.out, a.After)
		if o.hand.minutes {
			times(s.out, shown.Time)
		}
		handNotes(s.out, shown, o, r.Hand)
		s.drawn(o.picture.draw)
		s.drawn(o.card)
		s.nextAfterFrets(a, from, o)
		s.more("lanes, heights and reasons")
	})
	return checked(err, o.check, a.Passed())
}

// exactly asks for n arguments and says which are meant.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != n {
			return inputErrorf("%s takes %s; see %s --help", c.Name(), what, c.CommandPath())
		}
		return nil
	}
}

// seatedFrets refuses frets that the neck has not.
func seatedFrets(frets []int, l *geometry.Layout) error {
	for _, f := range frets {
		if f < l.FirstFret() || f > l.LastFret() {
			return inputErrorf("--seated: this neck has no fret %d; use %d to %d", f, l.FirstFret(), l.LastFret())
		}
	}
	return nil
}

// planTo reads the zone to plan to; 0 for the limit itself.
func planTo(text string, limitMM float64) (float64, error) {
	if text == "" {
		return 0, nil
	}
	mm, err := unit.Length.Parse(text)
	switch {
	case err != nil:
		return 0, inputErrorf("--plan-to: %w", err)
	case mm <= 0 || mm > limitMM:
		return 0, inputErrorf("--plan-to: %s must be above 0 and at most level.zone, %g mm", text, limitMM)
	}
	return mm, nil
}
