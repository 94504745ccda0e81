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
	f.StringVar(&o.what, "study", "", "what levelness buys: draw necks level only to each zone, `zone=0.01..0.08` (mm)")
	f.IntVar(&o.necks, "necks", 1000, "how many necks a study draws for each zone")
	f.Uint64Var(&o.seed, "seed", 1, "what a study's draws start from: the same seed, the same necks")
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
			return inputErrorf("--study: of what? write zone=0.01..0.08")
		}
		return nil
	}
	if ofBook {
		return inputErrorf("--study draws its necks itself; name a neck file, and leave --serial out")
	}
	if args > 1 {
		return inputErrorf("--study draws its necks itself; leave the readings out")
	}
	for _, name := range []string{"check", "as-planned", "bend", "tune", "wav", "string", "fret", "touch"} {
		if c.Flags().Changed(name) {
			return inputErrorf("--%s has no part in a study", name)
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
