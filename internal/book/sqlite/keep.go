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
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s: %w", path, fs.ErrExist)
	}
	if err := s.backup(ctx, path); err != nil {
		return fmt.Errorf("%s: %w", path, wrap(err))
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) error {
	part, err := s.files.temp(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer s.files.remove(part)
	_, err = s.DB.ExecContext(ctx, "VACUUM INTO ?", part)
	if codeOf(err) == sqlite3.SQLITE_ERROR { // it takes a size that can't be read for a file that is taken
		return diskFault{unread, err}
	}
	if err != nil {
		return err
	}
	if err := s.files.sync(part); err != nil {
		return err
	}
	if err := place(s.files, part, path); err != nil {
		return err
	}
	return s.files.sync(filepath.Dir(path))
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
