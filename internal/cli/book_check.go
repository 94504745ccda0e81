package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
	"ringtrue/internal/job"
)

func newBookCheckCommand(s *streams, b *bookOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Is every record whole, and does all come out the same",
		Long: `check asks the database whether it is sound, holds every record against its
checksums, and works out anew what was worked out from its files. It exits 1
where anything is not as it should be.`,
		Example: "  ringtrue book check",
		Args:    exactly(0, "nothing"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookCheck(c.Context(), s, *b) },
	}
}

func runBookCheck(ctx context.Context, s *streams, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		tell, end := s.progress("checking")
		a, err := job.BookCheck(ctx, st, tell)
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
			err = errNotAsAsked
		}
		return err
	})
}

func (s *streams) printCheck(a *job.BookCheckAnswer) error {
	word := fmt.Sprintf("OK: %d %s, all whole, all worked out the same", a.Records, plural(a.Records, "record"))
	switch {
	case !a.OK:
		word = fmt.Sprintf("NOT OK: %d of %d %s", len(a.Bad), a.Records, plural(a.Records, "record"))
	case len(a.Unread) > 0:
		word = fmt.Sprintf("OK: %d %s, all whole", a.Records, plural(a.Records, "record"))
	}
	if _, err := fmt.Fprintln(s.out, word); err != nil {
		return outputError(err)
	}
	for _, list := range []struct {
		head   string
		faults []job.BookFault
	}{{"Bad", a.Bad}, {"Kept, but not worked out", a.Unread}} {
		if len(list.faults) == 0 {
			continue
		}
		fmt.Fprintf(s.out, "\n%s\n", list.head)
		for _, f := range list.faults {
			wrap(s.out, "  ", printable(f.String()))
		}
	}
	return nil
}

func newBookRebuildCommand(s *streams, b *bookOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "rebuild",
		Short: "Work out anew what was worked out from the readings",
		Long: `rebuild works out verdicts, zones, crowns and plans of every record anew by this
version of the program, and notes the version. Files, notes, tags and times stay
as they are.`,
		Example: "  ringtrue book rebuild",
		Args:    exactly(0, "nothing"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookRebuild(c.Context(), s, *b) },
	}
}

func runBookRebuild(ctx context.Context, s *streams, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		tell, end := s.progress("working out")
		a, err := job.BookRebuild(ctx, st, Version(), tell)
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
