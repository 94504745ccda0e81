package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/demo"
	"ringtrue/internal/text"
)

func newBookDemoCommand(s *streams, b *bookOptions) *cobra.Command {
	var r demo.Request
	c := &cobra.Command{
		Use:   "demo",
		Short: "Fill a book with an invented workshop, to try things on",
		Long: `demo fills a book with an invented workshop: two years of necks, seated, some
refitted, levelled, some back for service; two wire lots, a press that wears, a
careless hand, damp and dry months. What was planted is printed, so that charts
and comparisons can be tried on something known.

It goes into an empty book only, or into one that holds part of the same demo. The
same number of necks and seed give the same book.`,
		Example: `  ringtrue book demo --book demo.db
  ringtrue drift --book demo.db --of pattern --stage seated`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error { return runBookDemo(c.Context(), s, *b, r) },
	}
	f := c.Flags()
	f.IntVar(&r.Necks, "necks", 500, "how many necks")
	f.Uint64Var(&r.Seed, "seed", 1, "another number gives other necks")
	return c
}

func runBookDemo(ctx context.Context, s *streams, b bookOptions, r demo.Request) error {
	d, err := demo.New(r)
	if err != nil {
		return bookError(err)
	}
	return s.withBook(ctx, b.where, true, func(st book.Store) error {
		judging, endJudging := s.progress("judging")
		adding, endAdding := s.progress("adding")
		a, err := d.Fill(ctx, st, answer.Judge(Version()), judging, adding)
		endJudging()
		endAdding()
		if err != nil {
			return err
		}
		return s.say(b.json, a, func() { s.printDemo(a, st.Where(), b.where) })
	})
}

// printDemo says what is in the book now, and what to try.
func (s *streams) printDemo(a *demo.Filled, where, given string) {
	w := s.out
	fmt.Fprintf(w, "%s\n", where)
	wrap(w, "  ", fmt.Sprintf("%s in %s, read %s to %s; %d new", text.Count(a.Necks, "neck"), text.Count(a.Records, "record"), a.From, a.To, a.New))
	fmt.Fprintf(w, "\nPlanted in it\n")
	for _, p := range a.Planted {
		wrap(w, "  ", p)
	}
	fmt.Fprint(w, "\nTry")
	if given != "" {
		fmt.Fprintf(w, ", each with --book %s", withoutSecrets(given))
	}
	fmt.Fprintln(w)
	for _, line := range []string{
		"ringtrue drift --of pattern --stage seated",
		"ringtrue drift --of height --fret 14 --by wire",
		"ringtrue drift --of findings --by press",
		"ringtrue drift --of zone --by hand",
		"ringtrue book list --stage serviced",
		"ringtrue book compare SERIAL levelled serviced",
	} {
		fmt.Fprintf(w, "  %s\n", line)
	}
	wrap(w, "  (", "SERIAL stands for a neck that the list names)")
}
