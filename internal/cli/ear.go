package cli

import (
	"bytes"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/ear"
	"ringtrue/internal/text"
)

// maxAnswersBytes is far more than anybody plays.
const maxAnswersBytes = 4 << 20

// earOptions are the flags of `ear`, as written.
type earOptions struct {
	json, all, form bool
	touches         string
}

func newEarCommand(s *streams) *cobra.Command {
	var o earOptions
	c := &cobra.Command{
		Use:   "ear NECK [READINGS] ANSWERS.csv",
		Short: "Compare what you heard with what play predicts",
		Long: `ear takes what you heard, note by note, clear or buzzing. With READINGS it says which
answers no crown explains, and what to look at then: nut slot, saddle, a loose fret,
a harder hand. It counts them against one answer in ten being wrong.

Without READINGS it names a fret that is probably high, from a chance of 0.8 on.
The ear finds a fret that is 0.15 mm high, seldom one under 0.10 mm: a gauge is better.

ANSWERS.csv has the columns string, fret, touch, heard (clear or buzzes); --form prints
it to fill in. Leave out what you did not play. Answers are not readings: they never
move a crown.`,
		Example: `  ringtrue ear heron.toml --form > heard.csv
  ringtrue ear heron.toml heard.csv
  ringtrue ear heron.toml heron-levelled.csv heard.csv
  ringtrue ear heron.toml --form --touches light,firm,hard > heard.csv`,
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case o.form && len(args) != 1:
				return inputErrorf("ear --form takes a neck file alone")
			case !o.form && len(args) != 2 && len(args) != 3:
				return inputErrorf("ear takes a neck file, readings if there are any, and the answers; see ringtrue ear --help")
			case !o.form && o.touches != "":
				return inputErrorf("--touches goes with --form")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return runEar(c, s, args, o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.form, "form", false, "print the table of answers, to fill in")
	f.StringVar(&o.touches, "touches", "", "with --form: `LIST` of touches (default setup.judge_by)")
	return c
}

func runEar(c *cobra.Command, s *streams, args []string, o earOptions) error {
	m, l, err := s.loadNeck(args[0])
	if err != nil {
		return err
	}
	r := answer.EarRequest{}
	r.Model, r.Layout = m, l
	if o.form {
		var form bytes.Buffer
		if err := ear.WriteBlank(&form, m, l.LastFret(), touchList(o.touches)); err != nil {
			return inputErrorf("--touches: %w", err)
		}
		if _, err := s.out.Write(form.Bytes()); err != nil {
			return outputError(err)
		}
		return nil
	}
	answers := args[len(args)-1]
	if len(args) == 3 {
		set, err := s.loadReadings(args[1], l, gridOptions{})
		if err != nil {
			return err
		}
		r.Read, r.Readings = true, set.Readings
	}
	data, err := s.readFile(answers, "answers", maxAnswersBytes)
	if err != nil {
		return err
	}
	if r.Answers, err = ear.Read(shown(answers), bytes.NewReader(data), m, l.LastFret()); err != nil {
		return err
	}
	tell, end := s.progress("weighing answers")
	r.Progress = tell
	a, err := answer.Ear(c.Context(), r)
	end()
	if err != nil {
		return placed(args[0], "", err)
	}
	return s.say(o.json, a, func() {
		s.short = !o.all
		earText{out: s.out, answer: a, colour: s.colour, all: o.all}.print()
		s.more(text.EarMore(&a.Report))
	})
}

// touchList reads names of touches.
func touchList(list string) (names []string) {
	for _, name := range strings.Split(list, ",") {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names
}
