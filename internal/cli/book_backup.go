package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
	"ringtrue/internal/name"
	"ringtrue/internal/text"
)

// backedUp is what `book backup` made, as JSON has it.
type backedUp struct {
	File    string `json:"file"`
	Records int    `json:"records"`
}

func newBookBackupCommand(s *streams, b *bookOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the book to a file, even while others use it",
		Long: `backup writes the whole book, as it is at one moment, to a new file. That file is
a book like any other: --book FILE opens it.`,
		Example: "  ringtrue book backup book-2026-03-02.db",
		Args:    exactly(1, "the file to write"),
		RunE:    func(c *cobra.Command, args []string) error { return runBookBackup(c.Context(), s, args[0], *b) },
	}
}

func runBookBackup(ctx context.Context, s *streams, file string, b bookOptions) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		copier, can := st.(interface {
			Backup(ctx context.Context, path string) error
		})
		if !can {
			return inputErrorf("a server's book: use pg_dump --schema=ringtrue, or plain files from ringtrue book export DIR")
		}
		err := copier.Backup(ctx, file)
		switch {
		case errors.Is(err, fs.ErrExist):
			return inputErrorf("%s: already exists; name another file", file)
		case errors.Is(err, fs.ErrNotExist):
			return inputErrorf("%s: no such folder", filepath.Dir(file))
		case err != nil:
			return err
		}
		s.sweep(time.Now(), filepath.Dir(file))
		return s.printBackup(ctx, file, b)
	})
}

// printBackup opens the copy, so that what is said of it was read from it.
func (s *streams) printBackup(ctx context.Context, file string, b bookOptions) error {
	return s.withBook(ctx, file, false, func(st book.Store) error {
		n, err := st.Count(ctx)
		if err != nil {
			return err
		}
		if b.json {
			return s.printJSON(backedUp{file, n})
		}
		_, err = fmt.Fprintf(s.out, "wrote %s: %s\n", name.Visible(file), text.Count(n, "record"))
		return err
	})
}
