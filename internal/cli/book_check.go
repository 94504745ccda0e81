package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

func newBookCheckCommand(s *streams, b *bookOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Check every record for damage",
		Long: `check asks the database whether it is sound, compares every record with its
checksums, and works out again what was worked out from its files. It exits 1
where a record is damaged, or where this version gets another result than it got
before. Records that an older version judged are counted, not bad: they are
intact, and rebuild takes them over.`,
		Example: "  ringtrue book check",
		Args:    exactly(0, "nothing"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookCheck(c.Context(), s, *b) },
	}
}

func runBookCheck(ctx context.Context, s *streams, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		tell, end := s.progress("checking")
		a, err := answer.BookCheck(ctx, st, Version(), tell)
		end()
		if err != nil {
			return err
		}
		if b.json {
			err = s.printJSON(a)
		} else {
			err = s.printCheck(a)
		}
		if err == nil && !a.OK {
			err = errCheckFailed
		}
		return err
	})
}

// mostDiffer is how many records of an older version are listed with what comes
// out otherwise; the others are counted.
const mostDiffer = 5

func (s *streams) printCheck(a *answer.BookCheckAnswer) error {
	if _, err := fmt.Fprintln(s.out, checkHeadline(a)); err != nil {
		return outputError(err)
	}
	if a.Older > 0 {
		wrap(s.out, "", fmt.Sprintf("%d %s judged by an older version, %d with another result now. Nothing is lost: ringtrue book rebuild takes them over.",
			a.Older, plural(a.Older, "record"), len(a.Differ)))
	}
	if a.Newer > 0 {
		wrap(s.out, "", fmt.Sprintf("%d %s judged by a newer version. Use that one for this book.", a.Newer, plural(a.Newer, "record")))
	}
	differ, more := a.Differ, 0
	if len(differ) > mostDiffer {
		differ, more = differ[:mostDiffer], len(differ)-mostDiffer
	}
	for _, list := range []struct {
		head   string
		faults []answer.BookFault
		more   int
	}{{"Bad", a.Bad, 0}, {"Judged by an older version, another result now", differ, more}, {"Kept, but not worked out", a.Unread, 0}} {
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

// checkHeadline is the verdict on the book in a line.
func checkHeadline(a *answer.BookCheckAnswer) string {
	records := fmt.Sprintf("%d %s", a.Records, plural(a.Records, "record"))
	switch {
	case !a.OK:
		return fmt.Sprintf("NOT OK: %d of %s", len(a.Bad), records)
	case a.Older+a.Newer+len(a.Unread) > 0:
		return "OK: " + records + ", all whole"
	}
	return "OK: " + records + ", all whole, all worked out the same"
}

func newBookRebuildCommand(s *streams, b *bookOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "rebuild",
		Short: "Recalculate all results from the stored readings",
		Long: `rebuild recalculates verdicts, zones, crowns and plans of every record by this
version of the program, and notes the version. Records that an older version
judged are taken over so. Files, notes, tags and times stay as they are.`,
		Example: "  ringtrue book rebuild",
		Args:    exactly(0, "nothing"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookRebuild(c.Context(), s, *b) },
	}
}

func runBookRebuild(ctx context.Context, s *streams, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		tell, end := s.progress("working out")
		a, err := answer.BookRebuild(ctx, st, Version(), tell)
		end()
		if err != nil {
			return err
		}
		if b.json {
			err = s.printJSON(a)
		} else {
			_, err = fmt.Fprintf(s.out, "%d %s worked out by version %s, %d came out otherwise than before\n",
				a.Records-len(a.Unread), plural(a.Records-len(a.Unread), "record"), a.Program, a.Changed)
		}
		return errors.Join(err, unreadNote(s, a.Unread), badError(st.Where(), a.Bad))
	})
}
