package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/text"
)

// exportNotes writes a book's notes beside their necks' records.
func exportNotes(ctx context.Context, st book.Store, dir string, a *archive.Exported) error {
	done, bad, refused, err := archive.ExportNotes(ctx, st, func(f archive.NoteFile) (bool, error) { return writeNote(dir, f) })
	a.Notes, a.Bad, a.Refused = done, append(a.Bad, bad...), append(a.Refused, refused...)
	return err
}

// exportHeard writes what was heard of necks, likewise.
func exportHeard(ctx context.Context, st book.Store, dir string, a *archive.Exported) error {
	done, bad, refused, err := archive.ExportHeard(ctx, st, func(f archive.NoteFile) (bool, error) { return writeNote(dir, f) })
	a.Heard, a.Bad, a.Refused = done, append(a.Bad, bad...), append(a.Refused, refused...)
	return err
}

// writeNote writes one note: beside its place first, then renamed. One that is there is
// left.
func writeNote(dir string, f archive.NoteFile) (isNew bool, err error) {
	serial := filepath.Join(dir, folderName(f.Serial))
	place := filepath.Join(serial, f.Name)
	have, err := os.ReadFile(place)
	switch {
	case err == nil && bytes.Equal(have, f.Data):
		return false, nil
	case err == nil:
		return false, fmt.Errorf("%s: %w", place, archive.ErrInTheWay)
	case !errors.Is(err, fs.ErrNotExist):
		return false, diskError(place, err)
	}
	if err := os.MkdirAll(serial, 0o755); err != nil {
		return false, diskError(place, err)
	}
	part, err := os.MkdirTemp(serial, ".part-")
	if err != nil {
		return false, diskError(place, err)
	}
	defer os.RemoveAll(part)
	beside := filepath.Join(part, f.Name)
	if err := writeSynced(beside, f.Data); err != nil {
		return false, diskError(place, err)
	}
	if err := os.Rename(beside, place); err != nil {
		return false, diskError(place, err)
	}
	return true, nil
}

// notesToo says how many notes went along; "" where there are none.
func notesToo(n archive.Notes) string {
	if n.Notes == 0 {
		return ""
	}
	return fmt.Sprintf("; %s, %d new", text.Count(n.Notes, "note"), n.New)
}

// heardToo says the same of what was heard.
func heardToo(n archive.Heard) string {
	if n.Heard == 0 {
		return ""
	}
	return fmt.Sprintf("; %s, %d new", text.Count(n.Heard, "play-through"), n.New)
}
