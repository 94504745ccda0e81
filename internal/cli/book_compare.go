package cli

import (
	"context"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// bookCompareOptions are the flags of `book compare`, as written.
type bookCompareOptions struct {
	confidence string
	all        bool
	by         []string
	picture    neckPicture
}

func newBookCompareCommand(s *streams, b *bookOptions) *cobra.Command {
	var o bookCompareOptions
	c := &cobra.Command{
		Use:   "compare SERIAL STAGE STAGE",
		Short: "Say what moved or wore between two stages",
		Long: `compare takes the latest record of each stage and says which crowns changed by more
than the readings' noise: worn under single strings, moved with their fret, or
neither. A straight line along a lane comes from the gauge, a smooth bow shared by
the lanes from the rod: both are taken out. All possible changes are weighed
together. --confidence is the chance that not one crown of an unchanged neck is
called changed. The stages may be read with different gauges. If these readings
could miss real wear, compare says so and names a gauge that would show it.

For a worn crown it gives the depth, the rate, and when level.least_crown is reached
if the neck is played as before: soonest if wear goes with time, latest if it goes
with the square root of time, as a groove does while it widens. Both years include
the uncertainty of the depth. Without a date column in both readings files there is
no rate and no year.

Read both stages in one state (slack, rod set, strung). Otherwise nothing is
called worn.

--by compares two people who read the same crowns at one stage (the latest if you
name none): how well each repeats, and where they read differently. Neither is
taken as right.`,
		Example: `  ringtrue book compare 0412 levelled serviced
  ringtrue book compare 0412 levelled serviced --draw wear.svg
  ringtrue book compare 0412 seated --by Ana,Ines`,
		Args: func(c *cobra.Command, args []string) error { return o.args(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			if len(o.by) > 0 {
				return runBookBeside(c.Context(), s, args, *b, o)
			}
			return runBookCompare(c.Context(), s, args, *b, o)
		},
	}
	f := c.Flags()
	addAll(f, &o.all)
	f.StringVar(&o.confidence, "confidence", "95 %", "how sure to be before a crown is called changed, 50 % to 99.99 %")
	f.StringSliceVar(&o.by, "by", nil, "compare how two `NAMES`, such as Ana,Ines, read the same crowns")
	o.picture.add(f, "draw the changes into")
	return c
}

func runBookCompare(ctx context.Context, s *streams, args []string, b bookOptions, o bookCompareOptions) error {
	heights, paper, err := o.picture.settle(s.inches)
	if err != nil {
		return err
	}
	r := answer.BookCompareRequest{Serial: args[0], From: args[1], To: args[2]}
	if r.Confidence, err = confidenceOf(o.confidence); err != nil {
		return err
	}
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		a, layout, err := answer.BookCompare(ctx, st, r)
		if err != nil {
			return err
		}
		if err := drawInto(o.picture.draw, func() (*draw.Page, error) {
			return sheet.Compare(a, layout, paper, heights.sheet)
		}); err != nil {
			return err
		}
		return s.say(b.json, a, func() {
			bookCompareText{out: s.out, unit: heights, answer: a, colour: s.colour, all: o.all}.print()
			s.short = !o.all
			s.drawn(o.picture.draw)
			s.more("every change, depths, rates and years")
		})
	})
}

// confidenceOf reads a confidence in per cent.
func confidenceOf(text string) (float64, error) {
	v, err := unit.Percent.Parse(text)
	if err != nil {
		return 0, inputErrorf("--confidence: %w", err)
	}
	if !(v >= 50 && v <= 99.99) {
		return 0, inputErrorf("--confidence: %s must be 50 to 99.99 %%", text)
	}
	return v / 100, nil
}
