package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/text"
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
	var a *archive.Checked
	err := s.withBook(ctx, b.where, false, func(st book.Store) (err error) {
		tell, end := s.progress("checking")
		a, err = archive.Check(ctx, st, answer.Judge(Version()), tell)
		end()
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

// maxDiffer is how many records of an older version are listed with what comes
// out otherwise; the others are counted.
const maxDiffer = 5

func (s *streams) printCheck(a *archive.Checked) error {
	for i, line := range text.BookChecked(a.Records, len(a.Bad), a.Older, len(a.Differ), a.Newer, len(a.Unread)) {
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
	err := s.withBook(ctx, b.where, false, func(st book.Store) error {
		tell, end := s.progress("working out")
		a, err := archive.Rebuild(ctx, st, answer.Judge(Version()), tell)
		end()
		if err != nil {
			return err
		}
		if b.json {
			err = s.printJSON(a)
		} else {
			_, err = fmt.Fprintf(s.out, "%s worked out by version %s, %d came out otherwise than before\n",
				text.Count(a.Records-len(a.Unread), "record"), a.Program, a.Changed)
		}
		return errors.Join(err, unreadNote(s, a.Unread), s.badError(b.where, a.Bad))
	})
	if isDamage(err) {
		return s.rowsError(ctx, b.where, err)
	}
	return err
}
