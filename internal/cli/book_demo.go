package cli

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/demo"
	"ringtrue/internal/text"
)

func newBookDemoCommand(s *streams, b *bookOptions) *cobra.Command {
	var r demo.Request
	var week bool
	var on string
	c := &cobra.Command{
		Use:   "demo",
		Short: "Fill a book with an invented workshop to try things out",
		Long: `demo fills a book with an invented workshop: two years of necks, seated, some
refitted, levelled, some back for service; two wire lots, a press that wears, a
careless operator, damp and dry months. It prints what is planted, so you can try
charts and comparisons on something known.

--week fills it with a shop in mid-week instead: thirty necks of the last two
months. Some wait, glue sets on one, and an apprentice read one. The day is today,
or the one you give with --on.

It fills only an empty book, or one that has part of the same demo. The same number
of necks and the same seed give the same book.`,
		Example: `  ringtrue book demo --book demo.db
  ringtrue drift --book demo.db --of pattern --stage seated
  ringtrue book demo --week --book week.db
  ringtrue shop --book week.db`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) (err error) {
			switch {
			case week && c.Flags().Changed("necks"):
				return inputErrorf("--necks: --week has its own necks; leave out one of the two")
			case on != "" && !week:
				return inputErrorf("--on: only with --week")
			case week:
				if r.Week, err = demoDay(on, time.Now()); err != nil {
					return err
				}
			}
			return runBookDemo(c.Context(), s, *b, r)
		},
	}
	f := c.Flags()
	f.IntVar(&r.Necks, "necks", 500, "number of necks")
	f.Uint64Var(&r.Seed, "seed", 1, "another number gives other necks")
	f.BoolVar(&week, "week", false, "a shop in mid-week instead of two years")
	f.StringVar(&on, "on", "", "with --week: the shop's `DAY`, such as 2026-03-18 (default: today)")
	return c
}

// demoDay is the time on which a shop in mid-week is seen: now, or four in the
// afternoon of a day.
func demoDay(on string, now time.Time) (time.Time, error) {
	if on == "" {
		return now, nil
	}
	day, err := time.Parse(time.DateOnly, on)
	if err != nil {
		return now, inputErrorf("--on: write the day like 2026-03-18")
	}
	return day.Add(16 * time.Hour), nil
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
	tries := []string{
		"ringtrue drift --of pattern --stage seated",
		"ringtrue drift --of height --fret 14 --by wire",
		"ringtrue drift --of findings --by press",
		"ringtrue drift --of zone --by hand",
		"ringtrue book list --stage serviced",
		"ringtrue book compare SERIAL levelled serviced",
	}
	if a.Notes > 0 {
		tries = demo.TryWeek()
	}
	for _, line := range tries {
		fmt.Fprintf(w, "  %s\n", line)
	}
	if a.Notes == 0 {
		wrap(w, "  (", "for SERIAL, use a neck from the list)")
		fmt.Fprintln(w, "\nA shop in mid-week, for ringtrue shop:\n  ringtrue book demo --week --book week.db")
	}
}
