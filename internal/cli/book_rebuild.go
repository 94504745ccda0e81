package cli

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/text"
)

func newBookRebuildCommand(s *streams, b *bookOptions) *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "rebuild",
		Short: "Recalculate results that are out of date",
		Long: `rebuild recalculates verdicts, zones, crowns and plans with this version of the
program, and notes the version. It takes records that another version judged,
records whose results are damaged, and records that this version hasn't
recalculated yet, the newest first. A stopped rebuild goes on where it stopped.
--all recalculates every record. Files, notes, tags and times stay as they are.`,
		Example: "  ringtrue book rebuild",
		Args:    exactly(0, "no arguments"),
		RunE:    func(c *cobra.Command, _ []string) error { return runBookRebuild(c.Context(), s, *b, all) },
	}
	c.Flags().BoolVar(&all, "all", false, "recalculate every record, up to date or not")
	return c
}

func runBookRebuild(ctx context.Context, s *streams, b bookOptions, all bool) error {
	err := s.withBook(ctx, b.where, false, func(st book.Store) error {
		scope := archive.Scope{All: all, Now: time.Now()}
		end := s.steps(&scope)
		a, err := archive.Rebuild(ctx, st, answer.Judge(Version()), scope)
		end()
		if err != nil {
			if a != nil && errors.Is(err, context.Canceled) {
				fmt.Fprintf(s.errOut, "ringtrue: %s\n", text.RebuildStopped(a.Recalculated))
			}
			return err
		}
		if b.json {
			err = s.printJSON(a)
		} else {
			_, err = fmt.Fprintln(s.out, text.BookRebuilt(a.Records-len(a.Unread), a.UpToDate, a.Changed, a.Program))
		}
		return errors.Join(err, unreadNote(s, a.Unread), s.badError(b.where, a.Bad))
	})
	if isDamage(err) {
		return s.rowsError(ctx, b.where, err)
	}
	return err
}
