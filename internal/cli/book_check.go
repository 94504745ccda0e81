package cli

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/text"
)

func newBookCheckCommand(s *streams, b *bookOptions) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check",
		Short: "Check every record for damage",
		Long: `check asks the database whether it is sound, and compares every record with its
checksums. Then it recalculates results from the stored files, the newest first:
those that this version hasn't recalculated yet. The book remembers which came
out the same, so the next check needn't repeat them. A stopped check goes on from there.

--new checks only records that this version hasn't checked yet; use it every day.
--sample 5% recalculates that share of all results: the same ones all day, others
tomorrow. --all recalculates all of them again.

It exits 1 if a record is damaged, or if this version gets another result than it
got before. Records that an older version judged are counted, not bad: they are
intact, and rebuild updates them.`,
		Example: "  ringtrue book check\n  ringtrue book check --new",
		Args:    exactly(0, "no arguments"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookCheck(c.Context(), s, *b, o) },
	}
	c.Flags().BoolVar(&o.all, "all", false, "recalculate every result again")
	c.Flags().BoolVar(&o.new, "new", false, "only records that this version has not checked yet")
	c.Flags().StringVar(&o.sample, "sample", "", "recalculate a `SHARE` of all results, such as 5%")
	return c
}

// checkOptions say what is looked at.
type checkOptions struct {
	all, new bool
	sample   string
}

// scope is what the options come to, at a time.
func (o *checkOptions) scope(now time.Time) (archive.Scope, error) {
	sc := archive.Scope{All: o.all, New: o.new, Now: now}
	if o.all && o.new || o.sample != "" && (o.all || o.new) {
		return sc, inputErrorf("use one of --all, --new and --sample")
	}
	if o.sample == "" {
		return sc, nil
	}
	number, ok := strings.CutSuffix(o.sample, "%")
	share, err := strconv.ParseFloat(number, 64)
	if !ok || err != nil || !(share > 0 && share <= 100) {
		return sc, inputErrorf("--sample: %q is not a share; write it like 5%%", o.sample)
	}
	sc.Sample, sc.Seed = share/100, now.Format(time.DateOnly)
	return sc, nil
}

func runBookCheck(ctx context.Context, s *streams, b bookOptions, o checkOptions) error {
	scope, err := o.scope(time.Now())
	if err != nil {
		return err
	}
	var a *archive.Checked
	err = s.withBook(ctx, b.where, false, func(st book.Store) (err error) {
		end := s.steps(&scope)
		a, err = archive.Check(ctx, st, answer.Judge(Version()), scope)
		end()
		if a != nil && errors.Is(err, context.Canceled) {
			fmt.Fprintf(s.errOut, "ringtrue: %s\n", text.CheckStopped(countsOf(a)))
		}
		return err
	})
	if isDamage(err) || err == nil && !a.OK {
		a, err = s.checkRows(ctx, b.where, a, err)
	}
	if err != nil {
		return err
	}
	if b.json {
		err = s.printJSON(a)
	} else {
		err = s.printCheck(a)
	}
	s.tellReadable(b.where)
	if err == nil && !a.OK {
		err = errCheckFailed
	}
	return err
}

// countsOf is what a check came to.
func countsOf(a *archive.Checked) *text.BookCheck {
	bad, beside := map[int64]bool{}, 0
	for _, f := range a.Bad {
		if f.Record == 0 {
			beside++ // of a note, a play-through or the book itself
			continue
		}
		bad[f.Record] = true
	}
	return &text.BookCheck{
		Records: a.Records, Bad: len(bad), Beside: beside, Older: a.Older, Differ: len(a.Differ), Newer: a.Newer, Unread: len(a.Unread),
		Now: a.Recalculated, Before: a.Before, LeftOut: a.LeftOut, Unlooked: a.Unlooked, Sample: a.Sample,
		Whole: a.Whole(), LastWhole: a.LastWhole, LastBytes: a.LastWholeBytes, NotRemembered: a.NotRemembered,
	}
}

// steps shows progress of a work in two: reading, then recalculating.
func (s *streams) steps(scope *archive.Scope) (end func()) {
	read, endRead := s.progress("checking")
	recalculate, endRecalculate := s.progress("recalculating")
	var first sync.Once
	scope.Bytes = read
	scope.Results = func(done, total int) {
		first.Do(endRead)
		recalculate(done, total)
	}
	return func() {
		first.Do(endRead)
		endRecalculate()
	}
}

// maxDiffer is how many records of an older version are listed with what comes
// out otherwise; the others are counted.
const maxDiffer = 5

func (s *streams) printCheck(a *archive.Checked) error {
	for i, line := range text.BookChecked(countsOf(a)) {
		if i > 0 {
			wrap(s.out, "", line)
		} else if _, err := fmt.Fprintln(s.out, line); err != nil {
			return outputError(err)
		}
	}
	differ, more := a.Differ, 0
	if len(differ) > maxDiffer {
		differ, more = differ[:maxDiffer], len(differ)-maxDiffer
	}
	for _, list := range []struct {
		head   string
		faults []archive.Fault
		more   int
	}{{"Faults", a.Bad, 0}, {"Older results that differ now", differ, more}, {"Saved, but not judged", a.Unread, 0}} {
		if len(list.faults) == 0 {
			continue
		}
		fmt.Fprintf(s.out, "\n%s\n", list.head)
		for _, f := range list.faults {
			wrap(s.out, "  ", printable(f.String()))
		}
		if list.more > 0 {
			fmt.Fprintf(s.out, "  and %d more; --json lists them all\n", list.more)
		}
	}
	return nil
}
