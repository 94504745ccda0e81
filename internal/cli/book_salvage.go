package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/pages"
	"ringtrue/internal/book/postgres"
	"ringtrue/internal/book/salvage"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/text"
)

func newBookSalvageCommand(s *streams, b *bookOptions) *cobra.Command {
	var with []string
	c := &cobra.Command{
		Use:   "salvage DAMAGED NEW",
		Short: "Recover the intact records of a damaged book",
		Long: `salvage reads a damaged book's file row by row, even if its beginning, its indexes or
its end is gone. Every record, note and play-through that its checksums prove goes
into the new book NEW, with its own number and time. Each one that is lost, or lost
in part, is named, and salvage exits 3. DAMAGED is only read. Copy it to a sound
disk first, with the file of the same name and -wal beside it, if there is one.

One neck file serves many records. If it is gone and you still have it, add
--with FILE. It is used only if its bytes are the ones recorded. The same goes for
readings.`,
		Example: "  ringtrue book salvage book.db saved.db",
		Args:    exactly(2, "the damaged book and the new one"),
		RunE: func(c *cobra.Command, args []string) error {
			return runBookSalvage(c.Context(), s, args[0], args[1], with, *b)
		},
	}
	c.Flags().StringArrayVar(&with, "with", nil, "your own neck or readings `FILE` for a lost one; repeatable")
	return c
}

// errNoneBack ends a salvage that gave back nothing: no book is made.
var errNoneBack = errors.New("no record could be recovered, so no book was made")

func runBookSalvage(ctx context.Context, s *streams, damaged, fresh string, with []string, b bookOptions) error {
	if postgres.IsAddress(damaged) || postgres.IsAddress(fresh) {
		return inputErrorf("salvage works on book files; restore a server's book from its own dump")
	}
	if _, err := os.Lstat(fresh); err == nil {
		return inputErrorf("%s: already exists; name another file", fresh)
	}
	spare, err := spareFiles(with)
	if err != nil {
		return err
	}
	file, closeFile, err := openPages(damaged)
	if err != nil {
		return err
	}
	defer closeFile()
	found, err := salvage.Find(ctx, file, spare)
	if err != nil {
		return bookError(err)
	}
	var a *salvage.Salvaged
	tell, end := s.progress("salvaging")
	err = sqlite.Make(ctx, fresh, sqlite.Options{Now: time.Now}, func(st book.Store) (err error) {
		a, err = found.Put(ctx, st, answer.Judge(Version()), tell)
		if err == nil && a.Records+a.Notes+a.Heard == 0 {
			err = errNoneBack
		}
		return err
	})
	end()
	switch {
	case errors.Is(err, errNoneBack):
		err = failuref("%s: %w", damaged, errNoneBack)
	case errors.Is(err, fs.ErrExist):
		return inputErrorf("%s: already exists; name another file", fresh)
	case errors.Is(err, fs.ErrNotExist):
		return inputErrorf("%s: no such folder", filepath.Dir(fresh))
	case err != nil:
		return bookError(err)
	}
	s.sweep(time.Now(), filepath.Dir(fresh))
	if printErr := s.printSalvaged(a, fresh, b.json); printErr != nil {
		return printErr
	}
	if err == nil && !a.Whole() {
		err = failuref("%s: %s", damaged, text.SalvageFailed(lostOf(a)))
	}
	return err
}

// openPages opens a damaged book and the log beside it, for reading only.
func openPages(path string) (*pages.File, func(), error) {
	f, size, err := openSource(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, inputErrorf("%s: no such file", path)
	case err != nil:
		return nil, nil, failuref("%w", err)
	}
	wal, walSize, err := openSource(path + "-wal")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		f.Close()
		return nil, nil, failuref("%w", err)
	}
	closeAll := func() {
		f.Close()
		if wal != nil {
			wal.Close()
		}
	}
	p, err := pages.Open(pages.Source{ReaderAt: f, Size: size}, pages.Source{ReaderAt: wal, Size: walSize})
	if err != nil {
		closeAll()
		return nil, nil, failuref("%w", err)
	}
	return p, closeAll, nil
}

// openSource opens a plain file and gives its size.
func openSource(path string) (*os.File, int64, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, err
	}
	if !info.Mode().IsRegular() {
		return nil, 0, inputErrorf("%s: is not a plain file", path)
	}
	f, err := os.Open(path)
	return f, info.Size(), err
}

// spareFiles reads the files that a maker still has.
func spareFiles(with []string) (spare []book.File, err error) {
	for _, path := range with {
		data, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, inputErrorf("--with: %s: no such file", path)
		} else if err != nil {
			return nil, failuref("%w", err)
		}
		spare = append(spare, book.File{Name: filepath.Base(path), Bytes: data})
	}
	return spare, nil
}

func (s *streams) printSalvaged(a *salvage.Salvaged, fresh string, asJSON bool) error {
	if asJSON {
		return s.printJSON(a)
	}
	if a.Records+a.Notes+a.Heard == 0 {
		return nil // the fault says it
	}
	if _, err := fmt.Fprintln(s.out, text.Salvaged(a.Records, a.Notes, a.Heard, fresh)); err != nil {
		return outputError(err)
	}
	list := func(head string, faults []archive.Fault) {
		if len(faults) == 0 {
			return
		}
		fmt.Fprintf(s.out, "\n%s\n", head)
		for _, f := range faults {
			wrap(s.out, "  ", printable(f.String()))
		}
	}
	list(text.SalvageHurt, append(faultsOf(a.Hurt), a.HurtHeard...))
	list(text.SalvageLost, slices.Concat(faultsOf(a.Lost), a.LostNotes, a.LostHeard))
	if line := text.SalvageFree(a.Free); line != "" {
		fmt.Fprintln(s.out)
		wrap(s.out, "", line)
	}
	return nil
}

// lostOf counts what a salvage could not give back.
func lostOf(a *salvage.Salvaged) text.Unsaved {
	return text.Unsaved{
		Lost: len(a.Lost), Hurt: len(a.Hurt), Notes: len(a.LostNotes), Heard: len(a.LostHeard), Sounds: len(a.HurtHeard), Cut: a.Cut,
	}
}

// faultsOf are losses as faults.
func faultsOf(losses []salvage.Loss) (faults []archive.Fault) {
	for _, l := range losses {
		faults = append(faults, l.Fault)
	}
	return faults
}
