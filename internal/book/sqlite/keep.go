package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Verify is book.Store's: SQLite's own integrity and foreign key checks.
func (s *Store) Verify(ctx context.Context) ([]string, error) {
	var bad []string
	if err := s.lines(ctx, "PRAGMA integrity_check(20)", func(rows *sql.Rows) error {
		var line string
		err := rows.Scan(&line)
		if line != "ok" && err == nil {
			bad = append(bad, line)
		}
		return err
	}); err != nil {
		return nil, err
	}
	err := s.lines(ctx, "PRAGMA foreign_key_check", func(rows *sql.Rows) error {
		var table, parent string
		var row, key sql.NullInt64
		err := rows.Scan(&table, &row, &parent, &key)
		bad = append(bad, fmt.Sprintf("table %s, row %d: what it names in %s is missing", table, row.Int64, parent))
		return err
	})
	return bad, err
}

func (s *Store) lines(ctx context.Context, query string, row func(*sql.Rows) error) error {
	rows, err := s.DB.QueryContext(ctx, query)
	if err != nil {
		return named(s.path, err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows); err != nil {
			return named(s.path, err)
		}
	}
	if err := rows.Err(); err != nil {
		return named(s.path, err)
	}
	return nil
}

// Backup writes a whole copy of one moment to a path that does not exist yet,
// while others go on writing: VACUUM INTO reads in one transaction. The copy
// appears under its name only once it is safe on disk.
func (s *Store) Backup(ctx context.Context, path string) (err error) {
	if _, err := os.Stat(path); err == nil {
		return fmt.Errorf("%s: %w", path, fs.ErrExist)
	}
	part, err := os.CreateTemp(filepath.Dir(path), ".ringtrue-backup-*")
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	if err := part.Close(); err != nil {
		return err
	}
	if _, err := s.DB.ExecContext(ctx, "VACUUM INTO ?", part.Name()); err != nil {
		return fmt.Errorf("%s: %w", path, wrap(err))
	}
	if err := flush(part.Name()); err != nil {
		return err
	}
	if err := os.Link(part.Name(), path); err != nil { // unlike a rename, never over another file
		return err
	}
	return flush(filepath.Dir(path))
}

// flush asks the disk to keep a file or a folder's entries.
func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
