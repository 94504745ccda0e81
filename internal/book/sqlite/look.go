package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"syscall"

	"ringtrue/internal/book"
)

// fileMode is how a file may be opened.
type fileMode string

const (
	readWrite fileMode = "rw"
	anew      fileMode = "rwc"
	readOnly  fileMode = "ro"
)

// bookID is the application id that a book's first migration writes ("RTrb").
const bookID = 0x52547262

// look tells what stands at a path before anything may change it.
//
// It leaves reading to SQLite: a program that opens and closes the file by
// itself drops the locks that its own SQLite holds on it (fcntl; "How To Corrupt
// An SQLite Database File", section 2.2, sqlite.org).
func look(ctx context.Context, path string, create bool) (fileMode, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if !create {
			return "", fmt.Errorf("%s: %w yet; `ringtrue book add` begins one", path, book.ErrNoBook)
		}
		if _, err := os.Stat(filepath.Dir(path)); err != nil {
			return "", fmt.Errorf("%s: %w: its folder is missing", path, book.ErrNoBook)
		}
		return anew, nil
	case errors.Is(err, syscall.ENOTDIR):
		return "", fmt.Errorf("%s: %w: part of its path is a file, not a folder", path, book.ErrNoBook)
	case err != nil:
		return "", err
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%s: %w: it is not a plain file", path, book.ErrNotABook)
	}
	mode := readWrite
	if !writable(path, info) {
		mode = readOnly
	}
	empty := info.Size() == 0 // a program that was stopped before its first page
	if !empty {
		if empty, err = peek(ctx, path); err != nil {
			return "", fmt.Errorf("%s: %w", path, err)
		}
	}
	switch {
	case !empty:
		return mode, nil
	case !create || mode == readOnly:
		return "", fmt.Errorf("%s: %w: it is empty", path, book.ErrNoBook)
	}
	return anew, nil
}

// peek reads whose a file is, and changes nothing: a database of another
// program must not even be turned to write-ahead logging. Empty is one that
// holds nothing yet.
func peek(ctx context.Context, path string) (empty bool, err error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return false, err
	}
	q := url.Values{"mode": {string(readOnly)}}
	q.Add("_pragma", fmt.Sprintf("busy_timeout(%d)", busyWait.Milliseconds()))
	var id, others int
	alone := !openElsewhere(abs)
	if !hasLog(abs) {
		q.Set("immutable", "1") // else reading leaves an empty log beside it
		id, others, err = whose(ctx, abs, q)
		q.Del("immutable")
	}
	// The pages may have been changed while they were read: then read once more,
	// with locks.
	if hasLog(abs) || err != nil && (!alone || openElsewhere(abs)) {
		id, others, err = whose(ctx, abs, q)
	}
	switch {
	case notADatabase(err) || err == nil && id != bookID && id != 0:
		return false, fmt.Errorf("%w: it is another program's file, or its beginning is damaged", book.ErrNotABook)
	case err == nil && id == 0 && others > 0:
		return false, fmt.Errorf("%w: it is another program's database", book.ErrNotABook)
	case noIndex(err):
		return false, nil // the log cannot be read: connect says so
	}
	return id == 0, wrap(err)
}

// whose reads a file's application id and how many tables it has, but for those
// that a book has before its first migration is done.
func whose(ctx context.Context, abs string, q url.Values) (id, others int, err error) {
	db, err := ping(ctx, abs, q)
	if err != nil {
		return 0, 0, err
	}
	defer db.Close()
	var versions int
	err = db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
  (SELECT count(*) FROM sqlite_master WHERE name NOT LIKE 'goose_db_version%' AND name NOT LIKE 'sqlite_%'),
  (SELECT count(*) FROM sqlite_master WHERE name = 'goose_db_version')`).Scan(&id, &others, &versions)
	if err != nil || id != 0 || others > 0 || versions == 0 {
		return id, others, err
	}
	// A first version without a book's mark was another program's first.
	err = db.QueryRowContext(ctx, "SELECT count(*) FROM goose_db_version WHERE version_id > 0").Scan(&others)
	return id, others, err
}

// openElsewhere reports whether a program has the book open: while one has, there is a
// log ("Write-Ahead Logging", section 4, sqlite.org/wal.html).
func openElsewhere(path string) bool {
	_, err := os.Stat(path + "-wal")
	return err == nil
}

// hasLog reports whether a write-ahead log holds records not yet in the file.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return err == nil && info.Size() > 0
}
