package cli

import (
	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
)

// studyOptions are the flags of `play --study`, as written.
type studyOptions struct {
	what  string
	necks int
	seed  uint64
}

func addStudyFlags(c *cobra.Command, o *studyOptions) {
	f := c.Flags()
	f.StringVar(&o.what, "study", "", "show what levelness buys: necks level only to each `zone=0.01..0.08`")
	f.IntVar(&o.necks, "necks", 1000, "with --study: how many necks to draw for each zone")
	f.Uint64Var(&o.seed, "seed", 1, "with --study: the same seed draws the same necks")
}

// check refuses flags of a study that is not asked for, and those that a study
// has no use for.
func (o studyOptions) check(c *cobra.Command, args int, ofBook bool) error {
	if o.what == "" {
		for _, name := range []string{"necks", "seed"} {
			if c.Flags().Changed(name) {
				return inputErrorf("--%s is for a study; add --study zone=0.01..0.08", name)
			}
		}
		if c.Flags().Changed("study") {
			return inputErrorf("--study: write it like zone=0.01..0.08")
		}
		return nil
	}
	if ofBook {
		return inputErrorf("--study draws its own necks; name a neck file and leave out --serial")
	}
	if args > 1 {
		return inputErrorf("--study draws its own necks; leave out the readings")
	}
	for _, name := range []string{"check", "as-planned", "bend", "tune", "wav", "string", "fret", "touch"} {
		if c.Flags().Changed(name) {
			return inputErrorf("--%s does not go with --study", name)
		}
	}
	return nil
}

// runStudy answers `play --study`.
func runStudy(c *cobra.Command, s *streams, neckFile string, r answer.PlayRequest, o playOptions) error {
	zones, err := studyZones(o.study.what)
	if err != nil {
		return err
	}
	tell, end := s.progress("drawing necks")
	a, err := answer.PlayStudy(c.Context(), answer.PlayStudyRequest{Play: r, ZonesMM: zones, Necks: o.study.necks, Seed: o.study.seed, Progress: tell})
	end()
	if err != nil {
		return placed(neckFile, o.set, err)
	}
	if err := drawInto(o.draw, func() (*draw.Page, error) { return sheet.Study(a, s.sheetUnits()) }); err != nil {
		return err
	}
	return s.say(o.json, a, func() {
		studyText{out: s.out, answer: a, colour: s.colour}.print()
		s.drawn(o.draw)
	})
}
