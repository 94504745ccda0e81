package sqlite

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"ringtrue/internal/book"
)

// wrap says what SQLite's error means for the book (sqlite.org/rescode.html).
func wrap(err error) error {
	if book.IsKnown(err) || failing(err) {
		return err
	}
	if errors.Is(err, syscall.ENOSPC) {
		return fmt.Errorf("%w: %w", book.ErrFull, err)
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
		return diskFault{unwritten, err}
	case sqlite3.SQLITE_IOERR_LOCK, sqlite3.SQLITE_IOERR_RDLOCK, sqlite3.SQLITE_IOERR_CHECKRESERVEDLOCK, sqlite3.SQLITE_IOERR_SHMLOCK:
		return diskFault{unlocked, err}
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_CANTOPEN:
		return diskFault{unopened, err}
	case sqlite3.SQLITE_IOERR:
		return diskFault{unread, err}
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

// diskFault is a disk that fails, in words for the bench.
type diskFault struct {
	says string
	error
}

func (f diskFault) Error() string { return fmt.Sprintf("%s (%s)", f.says, f.error) }

func (f diskFault) Unwrap() error { return f.error }

// What diskFaults say.
const (
	unread    = "the disk is failing; check its cable or card, and copy the book to another disk"
	unlocked  = "it can't be locked; is it on a network drive? Keep the book on a disk of this computer"
	unopened  = "it can't be opened; check that you may read and write its folder"
	unwritten = "it could not be written; is the disk full, or your share of it?"
)

// failing reports a disk's failure that is said already.
func failing(err error) bool {
	var f diskFault
	return errors.As(err, &f)
}

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
