package sqlite

import (
	"errors"
	"fmt"
	"io/fs"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"ringtrue/internal/book"
)

// wrap says what SQLite's error means for the book (sqlite.org/rescode.html).
func wrap(err error) error {
	if errors.Is(err, fs.ErrPermission) {
		return fmt.Errorf("%w: %w", book.ErrReadOnly, err)
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	if e.Code() == sqlite3.SQLITE_IOERR_SHMSIZE { // the log's index found no room
		return fmt.Errorf("%w: %w", book.ErrFull, err)
	}
	kind := map[int]error{
		sqlite3.SQLITE_BUSY: book.ErrBusy, sqlite3.SQLITE_LOCKED: book.ErrBusy,
		sqlite3.SQLITE_READONLY: book.ErrReadOnly, sqlite3.SQLITE_PERM: book.ErrReadOnly,
		sqlite3.SQLITE_FULL:    book.ErrFull,
		sqlite3.SQLITE_CORRUPT: book.ErrDamaged, sqlite3.SQLITE_NOTADB: book.ErrDamaged,
	}[e.Code()&0xff]
	if kind == nil || errors.Is(err, kind) {
		return err
	}
	return fmt.Errorf("%w: %w", kind, err)
}
