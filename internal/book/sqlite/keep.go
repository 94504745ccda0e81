package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	sqlite3 "modernc.org/sqlite/lib"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

// Verify is book.Store's: SQLite's own integrity and foreign key checks. Damage
// that a check could not get past stands beside what it found before.
func (s *Store) Verify(ctx context.Context) ([]string, error) {
	bad, err := tables.Collect(ctx, &s.Reader, "PRAGMA integrity_check(20)", nil, func(rows *sql.Rows) (line string, err error) {
		err = rows.Scan(&line)
		return line, err
	})
	bad = slices.DeleteFunc(bad, func(line string) bool { return line == "ok" })
	if err == nil {
		var lost []string
		lost, err = tables.Collect(ctx, &s.Reader, "PRAGMA foreign_key_check", nil, func(rows *sql.Rows) (string, error) {
			var table, parent string
			var row, key sql.NullInt64
			err := rows.Scan(&table, &row, &parent, &key)
			return fmt.Sprintf("table %s, row %d: what it names in %s is missing", table, row.Int64, parent), err
		})
		bad = append(bad, lost...)
	}
	switch {
	case errors.Is(err, book.ErrDamaged):
		return append(bad, named(s.path, err).Error()), nil
	case err != nil:
		return bad, named(s.path, err)
	}
	return bad, nil
}

// Backup writes a whole copy of one moment to a path that does not exist yet,
// while others go on writing: VACUUM INTO reads in one transaction. The copy
// appears under its name only once it is safe on disk.
func (s *Store) Backup(ctx context.Context, path string) error {
	return appear(s.files, path, ".ringtrue-backup-*", func(part string) error {
		_, err := s.DB.ExecContext(ctx, "VACUUM INTO ?", part)
		if codeOf(err) == sqlite3.SQLITE_ERROR { // it takes a size that can't be read for a file that is taken
			return diskFault{unread, err}
		}
		return err
	})
}

// Make makes a book at a path that does not exist yet. It appears there only once
// fill has ended without an error and all is safe on disk.
func Make(ctx context.Context, path string, o Options, fill func(book.Store) error) error {
	return appear(system{}, path, ".ringtrue-salvage-*", func(part string) error {
		o.Create = true
		s, err := Open(ctx, part, o)
		if err != nil {
			return err
		}
		return errors.Join(fill(s), s.Close())
	})
}

// appear makes a file beside its place and gives it its name once it is safe on
// disk. It is its owner's alone, as os.CreateTemp makes it.
func appear(f files, path, pattern string, fill func(part string) error) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s: %w", path, fs.ErrExist)
	}
	if err := finish(f, path, pattern, fill); err != nil {
		return fmt.Errorf("%s: %w", path, wrap(err))
	}
	return nil
}

func finish(f files, path, pattern string, fill func(part string) error) error {
	part, err := f.temp(filepath.Dir(path), pattern)
	if err != nil {
		return err
	}
	defer func() { // of a book that failed, its log too
		_ = f.remove(part)
		for _, ending := range []string{"-wal", "-shm", "-journal"} {
			_ = os.Remove(part + ending)
		}
	}()
	if err := fill(part); err != nil {
		return err
	}
	if err := f.sync(part); err != nil {
		return err
	}
	if err := place(f, part, path); err != nil {
		return err
	}
	return f.sync(filepath.Dir(path))
}

// begin makes an empty file that is its owner's alone, where there is none: SQLite
// would let others of the machine read it, and gives its log the file's own mode
// ("The WAL File", section 2.2, sqlite.org/walformat.html). It is never opened under
// its name, so no lock on it is lost.
func begin(f files, path string) error {
	part, err := f.temp(filepath.Dir(path), ".ringtrue-book-*")
	if err != nil {
		return err
	}
	defer f.remove(part)
	if err := place(f, part, path); err != nil {
		if errors.Is(err, fs.ErrExist) { // another program was quicker
			return nil
		}
		return err
	}
	return f.sync(filepath.Dir(path))
}

// place gives a finished file its name, never over another file. Disks without
// links (FAT, as on most sticks) have the name reserved first.
func place(f files, part, path string) error {
	err := f.link(part, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if err := f.reserve(path); err != nil {
		return err
	}
	if err := f.rename(part, path); err != nil {
		return errors.Join(err, f.remove(path))
	}
	return nil
}
