package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/postgres"
	"ringtrue/internal/name"
	"ringtrue/internal/text"
)

func newBookExportCommand(s *streams, b *bookOptions) *cobra.Command {
	var asParquet bool
	c := &cobra.Command{
		Use:   "export DIR",
		Short: "Write every record as plain files",
		Long: `export writes DIR/SERIAL/RECORD-STAGE/neck.toml and readings.csv, byte for byte as
they were given, and record.json with everything else. A record appears complete or
not at all. What is already there is left alone, so a stopped export goes on where
it stopped. Nothing else in DIR is touched. Damaged records are named. What can
still be read of them goes to DIR/damaged, which import ignores.

--parquet writes tables for other programs instead, one file per month:
DIR/records/month=2026-11/records.parquet has one row per record, DIR/crowns/… one
per crown. They don't contain your files, so keep plain files or a backup too.`,
		Example: "  ringtrue book export necks-2026\n  ringtrue book export --parquet tables",
		Args:    exactly(1, "a folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if asParquet {
				return runBookParquet(c.Context(), s, args[0], *b)
			}
			return runBookExport(c.Context(), s, args[0], *b)
		},
	}
	c.Flags().BoolVar(&asParquet, "parquet", false, "write Parquet tables of records and crowns")
	return c
}

func runBookExport(ctx context.Context, s *streams, dir string, b bookOptions) error {
	var a *archive.Exported
	var unsound []archive.Fault
	write := func(x archive.Folder) (bool, error) { return writeRecord(dir, x) }
	beside := func(f archive.NoteFile) (bool, error) { return writeNote(dir, f) }
	err := s.withBook(ctx, b.where, false, func(st book.Store) (err error) {
		if err := makeFolder(dir); err != nil {
			return err
		}
		tell, end := s.progress("exporting")
		a, err = archive.Export(ctx, st, tell, write)
		end()
		if err == nil {
			err = exportNotes(ctx, st, dir, a)
		}
		if err == nil {
			err = exportHeard(ctx, st, dir, a)
		}
		if err == nil {
			unsound, err = archive.Unsound(ctx, st)
		}
		return err
	})
	if isDamage(err) || err == nil && len(a.Bad)+len(unsound) > 0 {
		if err2 := makeFolder(dir); err2 != nil {
			return err2
		}
		a, err = s.exportRows(ctx, b.where, write, beside, a, unsound, err)
	}
	if err != nil {
		return err
	}
	s.sweep(time.Now(), foldersIn(dir)...)
	if b.json {
		err = s.printJSON(a)
	} else if _, err = fmt.Fprintf(s.out, "%s in %s, %d new%s\n", text.Count(a.Records, "record"), name.Visible(dir), a.New, notesToo(a.Notes)+heardToo(a.Heard)); err != nil {
		err = outputError(err)
	}
	if err != nil {
		return err
	}
	return errors.Join(refusedError(dir, a.Refused), s.badError(b.where, a.Bad))
}

// makeFolder makes the folder that a maker named, in one that is there.
func makeFolder(dir string) error {
	err := os.Mkdir(dir, 0o755)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return inputErrorf("%s: no such folder", filepath.Dir(dir))
	case !errors.Is(err, fs.ErrExist):
		return diskError(dir, err)
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return inputErrorf("%s: is not a folder", dir)
	}
	return nil
}

// foldersIn are the folders in one, and the one itself.
func foldersIn(dir string) []string {
	all := []string{dir}
	found, _ := os.ReadDir(dir) // one that cannot be read was written to just now
	for _, f := range found {
		if f.IsDir() {
			all = append(all, filepath.Join(dir, f.Name()))
		}
	}
	return all
}

// writeRecord writes one record's folder: beside its place first, then renamed.
// A folder of the same record is left, but for values that were recalculated.
func writeRecord(dir string, x archive.Folder) (isNew bool, err error) {
	if x.Damaged {
		dir = filepath.Join(dir, "damaged")
	}
	serial := filepath.Join(dir, folderName(x.Serial))
	place := filepath.Join(serial, folderName(x.Name))
	if _, err := os.Lstat(place); err == nil {
		return false, refreshRecord(place, x)
	}
	if err := os.MkdirAll(serial, 0o755); err != nil {
		return false, diskError(place, err)
	}
	part, err := os.MkdirTemp(serial, ".part-")
	if err != nil {
		return false, diskError(place, err)
	}
	defer os.RemoveAll(part) // does nothing once renamed
	for name, data := range x.Files {
		if err := writeSynced(filepath.Join(part, name), data); err != nil {
			return false, diskError(place, err)
		}
	}
	if err := os.Chmod(part, 0o755); err != nil {
		return false, diskError(place, err)
	}
	if err := os.Rename(part, place); err != nil {
		return false, diskError(place, err)
	}
	return true, nil
}

func writeSynced(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// refreshRecord leaves a record that is there as it is, and takes over only
// what was worked out anew.
func refreshRecord(place string, x archive.Folder) error {
	for name, want := range x.Files {
		path := filepath.Join(place, name)
		have, err := os.ReadFile(path)
		switch {
		case err == nil && bytes.Equal(have, want):
		case err == nil && name == "record.json" && x.Card != nil && x.Card.SameRecord(have):
			if err := writeFile(path, want); err != nil {
				return err
			}
		case err == nil, errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("%s: %w", path, archive.ErrInTheWay)
		default:
			return failuref("%w", err)
		}
	}
	return nil
}

// longestName leaves room below the 255 bytes of the usual file systems.
const longestName = 240

// folderName is a word as a folder's name: itself, but for what the system
// cannot take. What it stands for is in record.json.
func folderName(word string) string {
	if runtime.GOOS == "windows" {
		word = strings.TrimRight(strings.Map(func(r rune) rune {
			if strings.ContainsRune(`<>:"|?*`, r) {
				return '_'
			}
			return r
		}, word), ". ")
	}
	for len(word) > longestName {
		_, size := utf8.DecodeLastRuneInString(word)
		word = word[:len(word)-size]
	}
	return word
}

// maxNamed is how many records a message names one by one.
const maxNamed = 20

// faultLines are faults as an error's lines, maxNamed at most.
func faultLines(lead string, faults []archive.Fault) string {
	var lines []string
	for i, f := range faults {
		if i == maxNamed {
			lines = append(lines, fmt.Sprintf("%sand %d more", lead, len(faults)-i))
			break
		}
		lines = append(lines, lead+printable(f.String()))
	}
	return strings.Join(lines, "\n")
}

// badError is the failure of a book with damaged records.
func (s *streams) badError(where string, bad []archive.Fault) error {
	if len(bad) == 0 {
		return nil
	}
	place, _, err := bookPlace(where)
	if err != nil {
		return err
	}
	lines := faultLines(place+": ", bad)
	if !postgres.IsAddress(place) {
		lines += "\n" + place + ": " + text.SalvageIt
	}
	return failuref("%s", lines)
}

func refusedError(dir string, refused []archive.Fault) error {
	if len(refused) == 0 {
		return nil
	}
	return inputErrorf("%s\n%s", faultLines("", refused), dir+": name another folder for these")
}
