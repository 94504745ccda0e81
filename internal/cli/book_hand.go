package cli

import (
	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

func newBookHandCommand(s *streams, b *bookOptions) *cobra.Command {
	var by string
	c := &cobra.Command{
		Use:   "hand",
		Short: "Show how you file: metal per stroke, flats and times",
		Long: `hand learns from records added with --strokes: how much metal a stroke takes off by
tool, paper and wire, and how deep your flats end. From records with --tag
minutes=95 it learns how long a job takes. Each record is compared with the same
neck's record before it. At least two frets in each lane must be untouched: outside
the range, or named as ink.

Write strokes like "file 7: 40; beam 10-22: 120". Lanes go before the colon, as in
"beam 10-22 lanes 1-3: 60". Flat, paper, who, and frets that kept their ink go after
the number, as in "file 7: 40, flat 0.65-0.25 mm; beam 1-22: 90, paper P400, ink
5 19". The first of two flats is in the first lane. The tools are file, beam and
block; press and replace have no strokes. You can also give a table (.csv) with the
columns tool, from_fret, to_fret, strokes, and if you like lanes, paper, by, flat,
unit, ink.

frets --by NAME plans with what was learned.`,
		Example: `  ringtrue book add 0412 heron.toml levelled.csv --stage levelled --by Ines --tag minutes=95 --strokes "file 7: 40, flat 0.45 mm; beam 10-22: 120"
  ringtrue book hand --by Ines`,
		Args: exactly(0, "no file; name the operator with --by"),
		RunE: func(c *cobra.Command, _ []string) error {
			shop, _, err := s.shopFile(b.where)
			if err != nil {
				return err
			}
			return s.withBook(c.Context(), b.where, false, func(st book.Store) error {
				a, err := answer.BookHand(c.Context(), st, by, shop)
				if err != nil {
					return err
				}
				return s.say(b.json, a, func() { bookHand(s.out, a) })
			})
		},
	}
	c.Flags().StringVar(&by, "by", "", "the operator: a `NAME` that strokes were added under")
	return c
}
