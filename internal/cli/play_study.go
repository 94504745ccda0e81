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
	if err := drawInto(o.draw, func() (*draw.Page, error) {
		return studyPage(a)
	}); err != nil {
		return err
	}
	if o.json {
		return s.printJSON(a)
	}
	return studyText{out: s.out, answer: a, colour: s.colour}.print()
}

// studyPage draws the answer.
func studyPage(a *answer.PlayStudyAnswer) (*draw.Page, error) {
	p := sheet.Study{Neck: a.Neck, Touch: a.JudgeBy, ActionFret: a.ActionFret, Necks: a.Necks, Seed: a.Seed, LimitMM: a.ZoneLimitMM, Sentence: a.Sentence()}
	for _, z := range a.Zones {
		p.ZonesMM = append(p.ZonesMM, z.ZoneMM)
	}
	for i, s := range a.Strings {
		panel := sheet.StudyPanel{String: s.String, Pitch: s.Pitch, PerfectMM: s.PerfectActionMM, SetMM: s.ActionMM}
		for _, z := range a.Zones {
			panel.Add(studyMarks(z.Strings[i].Levels))
		}
		p.Strings = append(p.Strings, panel)
	}
	for _, z := range a.Zones {
		p.Raise.Add(studyMarks(z.Raise))
	}
	return p.Page()
}

func studyMarks(levels []answer.PlayStudyLevel) []sheet.StudyMark {
	var out []sheet.StudyMark
	for _, l := range levels {
		out = append(out, sheet.StudyMark{SharePct: l.SharePct, MM: l.ActionMM})
	}
	return out
}
