package cli

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/text"
)

// inHandOptions are the flags of `shop`.
type inHandOptions struct {
	where      string
	json, all  bool
	most, days int
}

// daysInHand is after how many days untouched a neck is left out where --days is not
// given.
const daysInHand = 90

func newShopCommand(s *streams) *cobra.Command {
	var o inHandOptions
	c := &cobra.Command{
		Use:   "shop",
		Short: "List the necks in hand: what each needs next",
		Long: `shop lists every neck in hand in the order you can work on them. First comes what
can be done now, longest waiting first. Then comes what waits for a time, soonest
first, and last what waits for word from someone.

It comes from the book: the stages, verdicts and findings of each neck's latest
record. Add what only you know with book note: glued at 13:50, handed to Ines,
waiting for wire, sold. If a note doesn't name the glue, [glue] and [air] in the shop
file give its setting time. A neck that is strung and level, with no note for 30
days, counts as done.`,
		Example: `  ringtrue shop
  ringtrue book note 0412 "glued at 13:50 with hide"
  ringtrue shop --all --most 0`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			switch {
			case o.most < 0:
				return inputErrorf("--most: %d is not a number of necks", o.most)
			case o.days < 1 || o.days > 100*365:
				return inputErrorf("--days: %d must be 1 to %d", o.days, 100*365)
			}
			return runShop(c.Context(), s, o)
		},
	}
	f := c.Flags()
	bookFlag(f, &o.where)
	f.BoolVar(&o.json, "json", false, "print JSON, unrounded")
	f.BoolVar(&o.all, "all", false, "list necks that are done too")
	f.IntVar(&o.most, "most", pageOfNecks, "most necks to list; 0 lists all")
	f.IntVar(&o.days, "days", daysInHand, "leave out necks untouched for more than `N` days")
	return c
}

func runShop(ctx context.Context, s *streams, o inHandOptions) error {
	shop, _, err := s.shopFile(o.where)
	if err != nil {
		return err
	}
	return s.withBook(ctx, o.where, false, func(st book.Store) error {
		a, err := answer.InHand(ctx, st, answer.InHandRequest{Now: time.Now(), Days: o.days, Most: o.most, All: o.all, Shop: shop})
		if err != nil {
			return err
		}
		return s.say(o.json, a, func() { inHandText(s.out, a, o.all) })
	})
}

// inHandText prints the necks in hand for a person, a line a neck.
func inHandText(w io.Writer, a *answer.InHandAnswer, all bool) {
	fmt.Fprintln(w, a.Headline)
	if len(a.Necks) > 0 {
		fmt.Fprintln(w)
		rows := [][]string{{"serial", "next", "waited", "who", "model"}}
		for _, n := range a.Necks {
			rows = append(rows, []string{n.Serial, text.InHandNoted(n.Words, n.Note), wordOrDash(n.Waited), wordOrDash(n.Who), n.Model})
		}
		leftTable(w, rows)
		fmt.Fprintln(w)
	}
	done := a.Done
	if all {
		done = 0
	}
	wrap(w, "", text.InHandLeft(a.More, done, a.Days))
}

func wordOrDash(word string) string {
	if strings.TrimSpace(word) == "" {
		return "-"
	}
	return word
}
