package cli

import (
	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// tuneOptions are the flags of `play --tune`, as written.
type tuneOptions struct {
	asked          bool
	finger, behind string
}

// addTuneFlags adds the flags of `play --tune`.
func addTuneFlags(c *cobra.Command, o *tuneOptions) {
	f := c.Flags()
	f.BoolVar(&o.asked, "tune", false, "find where saddle and nut go, and the cents left over")
	f.StringVar(&o.finger, "finger", "0 mm", "with --tune: press the finger `DEPTH` below the crowns")
	f.StringVar(&o.behind, "finger-behind", "", "with --tune: how far behind the fret (default \"8 mm\", less up high)")
}

// check refuses flags that do not go together.
func (o tuneOptions) check(c *cobra.Command) error {
	if !o.asked {
		for _, name := range []string{"finger", "finger-behind"} {
			if c.Flags().Changed(name) {
				return inputErrorf("--%s says how a string is pressed; add --tune", name)
			}
		}
		return nil
	}
	for _, name := range []string{"capo", "bend", "check"} {
		if c.Flags().Changed(name) {
			return inputErrorf("--%s does not go with --tune", name)
		}
	}
	return nil
}

// runTune answers `play --tune`.
func runTune(c *cobra.Command, s *streams, neckFile string, o playOptions, play answer.PlayRequest) error {
	r := answer.TuneRequest{PlayRequest: play}
	var err error
	if r.FingerMM, err = flagSize("finger", unit.Length, o.tune.finger, 0, 20); err != nil {
		return err
	}
	if o.tune.behind != "" {
		if r.BehindMM, err = flagSize("finger-behind", unit.Length, o.tune.behind, 0.1, 100); err != nil {
			return err
		}
	}
	a, err := answer.Tune(c.Context(), r)
	if err != nil {
		return placed(neckFile, o.set, err)
	}
	if err := drawInto(o.draw, func() (*draw.Page, error) {
		if len(a.Strings) == 0 {
			return nil, inputErrorf("--draw: no string could be judged, so there is nothing to draw")
		}
		return sheet.Tune(a, s.sheetUnits())
	}); err != nil {
		return err
	}
	return s.say(o.json, a, func() {
		tuneText{out: s.out, answer: a, colour: s.colour}.print()
		s.drawn(o.draw)
	})
}
