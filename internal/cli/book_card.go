package cli

import (
	"context"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
)

// bookCardOptions are the flags of `book card`, as written.
type bookCardOptions struct {
	left, stage string
	picture     neckPicture
}

func newBookCardCommand(s *streams, b *bookOptions) *cobra.Command {
	var o bookCardOptions
	c := &cobra.Command{
		Use:   "card SERIAL",
		Short: "Write the yearly letter to a neck's owner",
		Long: `card writes a one-page letter to a neck's owner, in plain words: how it left the
shop, how it is now, what wears, and when it will need work. It compares the latest
record with the latest one that is at least three months older; --left and --stage
name others. The years are a range: soonest if wear goes with time, latest if it
goes with the square root of time. If two dated readings aren't enough for that,
the letter says so.`,
		Example: `  ringtrue book card 0412
  ringtrue book card 0412 --draw letter.pdf
  ringtrue book card 0412 --left levelled --draw letter.pdf --paper letter`,
		Args: exactly(1, "a serial"),
		RunE: func(c *cobra.Command, args []string) error {
			return runBookCard(c.Context(), s, args[0], *b, o)
		},
	}
	f := c.Flags()
	f.StringVar(&o.left, "left", "", "the `STAGE` at which the neck left the shop")
	f.StringVar(&o.stage, "stage", "", "the `STAGE` to report (default: the latest record)")
	o.picture.add(f, "draw the letter into")
	return c
}

func runBookCard(ctx context.Context, s *streams, serial string, b bookOptions, o bookCardOptions) error {
	unit, paper, err := o.picture.settle(s.inches)
	if err != nil {
		return err
	}
	if paper == sheet.Phone {
		return inputErrorf("--paper: a letter is for paper; use a4 or letter")
	}
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		a, layout, err := answer.BookCard(ctx, st, answer.BookCardRequest{Serial: serial, Left: o.left, Now: o.stage})
		if err != nil {
			return err
		}
		if err := drawInto(o.picture.draw, func() (*draw.Page, error) {
			return sheet.OwnersLetter(a, layout, paper, unit.sheet)
		}); err != nil {
			return err
		}
		return s.say(b.json, a, func() {
			s.letter(a)
			s.drawn(o.picture.draw)
		})
	})
}

// letter prints the owner's letter.
func (s *streams) letter(a *answer.BookCardAnswer) {
	wrap(s.out, "", strong(s.colour, printable(text.LetterTitle(a.Model, a.Serial))))
	for _, p := range a.Letter {
		wrap(s.out, "", p.Heading)
		for _, words := range p.Words {
			wrap(s.out, "  ", words)
		}
	}
}
