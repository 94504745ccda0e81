package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/text"
)

func newBookImportCommand(s *streams, b *bookOptions) *cobra.Command {
	var keepGood bool
	c := &cobra.Command{
		Use:   "import DIR",
		Short: "Read an export back into a book",
		Long: `import reads a folder that export wrote and adds its records to any book. What is
already there is left alone. A record keeps its number if that is free. Every
checksum is checked first: if anything differs from the export, all of it is named
and nothing is imported. A record's line appears once it is safe on disk. If an
import was stopped, run it again.`,
		Example: "  ringtrue book import necks-2026 --book postgres://ines@bench/necks",
		Args:    exactly(1, "a folder"),
		RunE: func(c *cobra.Command, args []string) error {
			return runBookImport(c.Context(), s, args[0], *b, keepGood)
		},
	}
	c.Flags().BoolVar(&keepGood, "keep-good", false, "import the intact records even if others are damaged")
	return c
}

func runBookImport(ctx context.Context, s *streams, dir string, b bookOptions, keepGood bool) error {
	if info, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return inputErrorf("%s: no such folder", dir)
	} else if err != nil {
		return failuref("%w", err)
	} else if !info.IsDir() {
		return inputErrorf("%s: is not a folder", dir)
	}
	src := archive.Source{Dir: os.DirFS(dir), Name: dir, KeepGood: keepGood, Judge: answer.Judge(Version())}
	tell, end := s.progress("checking")
	x, err := archive.Read(ctx, src, tell) // before a book is begun for it
	end()
	if err != nil {
		return bookError(err)
	}
	return s.withBook(ctx, b.where, true, func(st book.Store) error {
		tell, end := s.progress("importing")
		a, err := x.Put(ctx, st, tell, func(added book.Added) error {
			if b.json || !added.New {
				return nil
			}
			return s.printAdded(added)
		})
		end()
		if err != nil && !fileerr.Is(err) { // what was printed is safe; the rest is not there
			return err
		}
		return errors.Join(s.printImported(a, b.json), err, unreadNote(s, a.Unread))
	})
}

func (s *streams) printImported(a *archive.Imported, asJSON bool) error {
	if asJSON {
		return s.printJSON(a)
	}
	if _, err := fmt.Fprintf(s.out, "%s, %d new%s\n", text.Count(a.Records, "record"), a.New, notesToo(a.Notes)+heardToo(a.Heard)); err != nil {
		return outputError(err)
	}
	return nil
}

// unreadNote tells of records that are kept though their files say nothing to
// this program.
func unreadNote(s *streams, unread []archive.Fault) error {
	if len(unread) > 0 {
		fmt.Fprintln(s.errOut, faultLines("saved, but can't be judged: ", unread))
	}
	return nil
}
