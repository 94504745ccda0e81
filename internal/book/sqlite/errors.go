package sqlite

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"ringtrue/internal/book"
)

// wrap says what SQLite's error means for the book (sqlite.org/rescode.html).
func wrap(err error) error {
	if book.IsKnown(err) || errors.Is(err, unwritten{}) || errors.Is(err, unopened{}) {
		return err
	}
	if errors.Is(err, fs.ErrPermission) {
		return fmt.Errorf("%w: %w", book.ErrReadOnly, err)
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() {
	case sqlite3.SQLITE_IOERR_SHMSIZE: // the log's index found no room
		return fmt.Errorf("%w: %w", book.ErrFull, err)
	case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_TRUNCATE: // SQLite tells a quota apart no further
		return unwritten{err}
	}
	if e.Code()&0xff == sqlite3.SQLITE_CANTOPEN {
		return unopened{err}
	}
	// The program's questions fit a book: a table or a column that is missing was there.
	if e.Code() == sqlite3.SQLITE_ERROR && strings.Contains(e.Error(), "no such ") {
		return fmt.Errorf("%w: %w", book.ErrDamaged, err)
	}
	kind := map[int]error{
		sqlite3.SQLITE_BUSY: book.ErrBusy, sqlite3.SQLITE_LOCKED: book.ErrBusy,
		sqlite3.SQLITE_READONLY: book.ErrReadOnly, sqlite3.SQLITE_PERM: book.ErrReadOnly,
		sqlite3.SQLITE_FULL:    book.ErrFull,
		sqlite3.SQLITE_CORRUPT: book.ErrDamaged, sqlite3.SQLITE_NOTADB: book.ErrDamaged,
	}[e.Code()&0xff]
	if kind == nil {
		return err
	}
	return fmt.Errorf("%w: %w", kind, err)
}

// unopened is a file that could not be opened or begun.
type unopened struct{ error }

func (u unopened) Error() string {
	return fmt.Sprintf("it cannot be opened; may you read and write its folder? (%s)", u.error)
}

func (u unopened) Unwrap() error { return u.error }

// Is makes any of them the same to errors.Is.
func (u unopened) Is(target error) bool { _, same := target.(unopened); return same }

// unwritten is a disk that took less than it was given.
type unwritten struct{ error }

func (u unwritten) Error() string {
	return fmt.Sprintf("it could not be written; is the disk full, or your share of it? (%s)", u.error)
}

func (u unwritten) Unwrap() error { return u.error }

func (u unwritten) Is(other error) bool { _, ok := other.(unwritten); return ok }

// notADatabase reports whether a file does not begin as SQLite's do.
func notADatabase(err error) bool { return codeOf(err) == sqlite3.SQLITE_NOTADB }

// noIndex reports whether a log could not be read because its index, which
// lies beside it, can be neither written nor made.
func noIndex(err error) bool {
	c := codeOf(err)
	return c == sqlite3.SQLITE_CANTOPEN || c == sqlite3.SQLITE_READONLY
}

// codeOf is the primary result code of SQLite's error; 0 for any other.
func codeOf(err error) int {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return 0
	}
	return e.Code() & 0xff
}
