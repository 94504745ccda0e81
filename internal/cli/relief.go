package cli

import (
	"context"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
)

// reliefOptions are the flags of `relief`, as written.
type reliefOptions struct {
	json, all, pairs bool
	set, where       string
}

func newReliefCommand(s *streams) *cobra.Command {
	var o reliefOptions
	c := &cobra.Command{
		Use:   "relief NECK",
		Short: "Predict how strings and rod bend the neck",
		Long: `relief says how far the strings bend the neck and how hard the rod must pull for
setup.relief. It says what to level the slack neck to, so that it is right when
strung. It says what other strings would change, and what creep will add. It needs
neck.wood and neck.thickness.

Wood of one species varies by a fifth. To do better, read a neck slack and
strung (column state), leave the rod alone in between, and add both to the book.
With --pairs such necks of this model replace the theory. With level.strung =
true in the neck file, frets judges readings taken strung with this bow.`,
		Example: `  ringtrue relief heron-bass.toml
  ringtrue relief heron-bass.toml --set lighter.toml
  ringtrue relief heron-bass.toml --pairs --all`,
		Args: exactly(1, "a neck file"),
		RunE: func(c *cobra.Command, args []string) error {
			if o.where != "" && !o.pairs {
				return inputErrorf("--book goes with --pairs")
			}
			return runRelief(c.Context(), s, args[0], o)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	addAll(f, &o.all)
	f.BoolVar(&o.pairs, "pairs", false, "learn from the book's necks of this model, read slack and strung")
	f.StringVar(&o.set, "set", "", "try the strings of this `FILE` with a [strings] table")
	bookFlag(f, &o.where)
	return c
}

func runRelief(ctx context.Context, s *streams, path string, o reliefOptions) error {
	n, err := s.loadNeckFile(path)
	if err != nil {
		return err
	}
	r := answer.ReliefRequest{Model: n.model, Layout: n.layout}
	if o.set != "" {
		data, err := s.readFile(o.set, "set", maxNeckBytes)
		if err != nil {
			return err
		}
		if r.Set, _, err = neck.ParseSet(o.set, data); err != nil {
			return err
		}
	}
	var unread []int64
	if o.pairs {
		if err := s.withBook(ctx, o.where, false, func(b book.Store) (err error) {
			r.Pairs, unread, err = answer.ReliefPairs(ctx, b, n.model.Name)
			return err
		}); err != nil {
			return err
		}
	}
	a, err := answer.Relief(ctx, r)
	if err != nil {
		return placed(path, o.set, err)
	}
	a.NotRead = unread
	return s.say(o.json, a, func() {
		printRelief(s, a, o.all)
		s.short = !o.all
		s.more("the table, stiffness, what was assumed")
	})
}

// printRelief prints the answer of `relief` for a person.
func printRelief(s *streams, a *answer.ReliefAnswer, all bool) {
	w := s.out
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(s.colour, a.Headline))
	wrap(w, "", a.Bends)
	lines(w, "", a.Does)
	lines(w, "! ", a.Warnings)
	do := &steps{w: w, short: !all, plain: true}
	for _, words := range a.Do {
		do.step(words)
	}
	wrap(w, "", a.RestsOn)
	if !all {
		return
	}
	fmt.Fprintln(w)
	rows := [][]string{{"fret", text.ReliefLoose, text.ReliefSet, "±"}}
	if a.Rod == nil {
		rows = [][]string{{"fret", text.ReliefAlone, "±"}}
	}
	for _, t := range a.Slack {
		row := []string{strconv.Itoa(t.Fret), millis(t.LooseMM), millis(t.SetMM), millis(t.USetMM)}
		if a.Rod == nil {
			row = []string{row[0], row[2], row[3]}
		}
		rows = append(rows, row)
	}
	lengthTable(w, text.ReliefTargets, rows, text.ReliefLoose, text.ReliefSet, text.ReliefAlone, "±")
	wrap(w, "  ", text.ReliefFrom+"; ±: of the column before it, "+text.TwoInThree)
	section(w, "The neck", text.ReliefMore(a.Report))
	section(w, "Assumed", a.Assumed)
}

// millis writes mm to a micrometre, without a minus before nothing.
func millis(mm float64) string {
	words := fmt.Sprintf("%.3f", mm)
	if words == "-0.000" {
		return "0.000"
	}
	return words
}
