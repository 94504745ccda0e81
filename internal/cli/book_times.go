package cli

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

func newBookTimesCommand(s *streams, b *bookOptions) *cobra.Command {
	var until string
	c := &cobra.Command{
		Use:   "times",
		Short: "Show how long each step takes, and where necks wait",
		Long: `times uses the dates in the book. It shows how long necks wait from one stage to
the next (half of them, and nine in ten). It shows how many wait now, and where they
wait longest. Jobs added with --tag minutes=95 show how long the work takes. So do
passes whose date has a time of day (2026-03-14 09:40), by operator and gauge.

For the work on one neck use frets --serial SERIAL --minutes. It gives the middle
time, and the time that is enough 8 times in 10.`,
		Example: `  ringtrue book times
  ringtrue book times --on 2026-03-14 --json`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			now := time.Now()
			if until != "" {
				day, err := time.Parse(time.DateOnly, until)
				if err != nil {
					return inputErrorf("--on: write the day like 2026-03-14")
				}
				now = day
			}
			return s.withBook(c.Context(), b.where, false, func(st book.Store) error {
				a, err := answer.BookTimes(c.Context(), st, now)
				if err != nil {
					return err
				}
				return s.say(b.json, a, func() { s.bookTimes(a) })
			})
		},
	}
	c.Flags().StringVar(&until, "on", "", "count what waits on this `DAY` (default: today)")
	return c
}

// bookTimes prints the waits, what waits now, and how long work takes.
func (s *streams) bookTimes(a *answer.BookTimesAnswer) {
	w := s.out
	if len(a.Between) == 0 {
		wrap(w, "", text.NoWaits)
	} else {
		wrap(w, "", printable(text.Slowest(a.Between)))
		rows := [][]string{{"from", "to", "necks", "half within", "9 in 10 within"}}
		for _, x := range a.Between {
			rows = append(rows, []string{printable(x.From), printable(x.To), fmt.Sprint(x.Necks), timeOr(x.MedianDays, text.Days), timeOr(x.NinetyDays, text.Days)})
		}
		leftTable(w, rows)
	}
	for i, x := range a.Now {
		if i == 0 {
			fmt.Fprintln(w, "\nWaiting now")
		}
		wrap(w, "  ", printable(text.WaitsNow(x)))
	}
	if len(a.Ends) > 0 && len(a.Between)+len(a.Now) > 0 {
		wrap(w, "", printable(text.EndStages(strings.Join(a.Ends, ", "))))
	}
	fmt.Fprintln(w)
	if len(a.Paces) == 0 {
		wrap(w, "", text.NoPaces)
		return
	}
	minutes := func(v float64) string { return fmt.Sprintf("%.3g", v) }
	rows := [][]string{{"work", "by", "gauge", "times", "min, half within", "1 in 10", "9 in 10", "s a reading"}}
	for _, p := range a.Paces {
		rows = append(rows, []string{printable(p.What), noted(p.By, "-"), noted(p.Gauge, "-"), fmt.Sprint(p.Times), timeOr(p.Median, minutes), timeOr(p.Tenth, minutes),
			timeOr(p.Ninety, minutes), timeOr(p.Seconds, func(v float64) string { return fmt.Sprintf("%.0f", v) })})
	}
	leftTable(w, rows)
	wrap(w, "", text.PaceOfAll)
}

func noted(word, none string) string {
	if word == "" {
		return none
	}
	return printable(word)
}

// timeOr is a number in words, or - where it is missing.
func timeOr(v num.Opt, say func(float64) string) string {
	if x, known := v.Get(); known {
		return say(x)
	}
	return "-"
}
