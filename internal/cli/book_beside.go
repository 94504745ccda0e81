package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// args wants a serial and two stages, or with --by one stage or none.
func (o *bookCompareOptions) args(c *cobra.Command, args []string) error {
	if !c.Flags().Changed("by") {
		return exactly(3, "a serial and two stages")(c, args)
	}
	switch {
	case len(o.by) != 2 || o.by[0] == o.by[1] || o.by[0] == "" || o.by[1] == "":
		return inputErrorf("--by: name two people, such as --by Ana,Ines")
	case len(args) < 1 || len(args) > 2:
		return inputErrorf("compare --by takes a serial and one stage; see %s --help", c.CommandPath())
	case o.picture.draw != "":
		return inputErrorf("--draw shows changes between stages; leave out --draw or --by")
	}
	return nil
}

func runBookBeside(ctx context.Context, s *streams, args []string, b bookOptions, o bookCompareOptions) error {
	r := answer.BookBesideRequest{Serial: args[0], By: [2]string{o.by[0], o.by[1]}}
	if len(args) > 1 {
		r.Stage = args[1]
	}
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		a, err := answer.BookBeside(ctx, st, r)
		if err != nil {
			return err
		}
		return s.say(b.json, a, func() {
			wrap(s.out, "", printable(fmt.Sprintf("%s, %s: %s and %s", a.Serial, a.Stage, o.by[0], o.by[1])))
			for _, words := range a.Words {
				wrap(s.out, "- ", printable(words))
			}
		})
	})
}
