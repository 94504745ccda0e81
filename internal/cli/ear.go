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
	from            fromBook
}

func newEarCommand(s *streams) *cobra.Command {
	var o earOptions
	c := &cobra.Command{
		Use:   "ear NECK [READINGS] ANSWERS.csv",
		Short: "Compare what you heard with what play predicts",
		Long: `ear takes what you heard, note by note, clear or buzzing. With READINGS it says which
answers no crown explains, and what to look at then: nut slot, saddle, a loose fret,
a harder hand. It allows for one answer in ten being wrong.

Without READINGS it names a fret that is probably high, from a chance of 0.8 on.
The ear finds a fret that is 0.15 mm high, seldom one under 0.10 mm: a gauge is better.

ANSWERS.csv has the columns string, fret, touch, heard (clear or buzzes); --form prints
it to fill in. Leave out what you did not play. Answers are not readings: they never
move a crown. --serial takes neck and readings from the book.`,
		Example: `  ringtrue ear heron.toml --form > heard.csv
  ringtrue ear heron.toml heard.csv
  ringtrue ear heron.toml heron-levelled.csv heard.csv
  ringtrue ear heron.toml --form --touches light,firm,hard > heard.csv
  ringtrue ear --serial 0412 heard.csv`,
		Args: func(c *cobra.Command, args []string) error { return o.args(c, args) },
		RunE: func(c *cobra.Command, args []string) error { return runEar(c, s, args, o) },
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.form, "form", false, "print the table of answers, to fill in")
	f.StringVar(&o.touches, "touches", "", "with --form: `LIST` of touches (default setup.judge_by)")
	o.from.add(c)
	return c
}

// args wants neck and readings as files or from the book, and then the answers.
func (o *earOptions) args(c *cobra.Command, args []string) error {
	most, fault := 2, inputErrorf("ear takes a neck file, readings if there are any, and the answers; see ringtrue ear --help")
	switch {
	case o.form:
		most, fault = 1, inputErrorf("ear --form takes a neck file alone")
	case o.touches != "":
		return inputErrorf("--touches goes with --form")
	case len(args) == 0:
		return fault
	default:
		args = args[:len(args)-1]
	}
	return o.from.orFiles(func(_ *cobra.Command, files []string) error {
		if len(files) < 1 || len(files) > most {
			return fault
		}
		return nil
	})(c, args)
}

func runEar(c *cobra.Command, s *streams, args []string, o earOptions) error {
	files := args
	if !o.form {
		files = args[:len(args)-1]
	}
	from, err := s.source(c.Context(), o.from, files)
	if err != nil {
		return err
	}
	m, l := from.model, from.layout
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
	r := answer.EarRequest{PlayRequest: answer.PlayRequest{Model: m, Layout: l, Readings: from.readings, Read: from.read}}
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
		return placed(from.inFaults, "", err)
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
