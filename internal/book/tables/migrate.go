package tables

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"github.com/pressly/goose/v3"

	"ringtrue/internal/book"
)

// Migration takes a book's tables to the newest version the program knows.
type Migration struct {
	DB      *sql.DB
	Dialect goose.Dialect
	Steps   fs.FS             // numbered SQL files
	Exists  string            // a question with one number: above 0 where the book has tables
	Wrap    func(error) error // turns the database's error into one of package book

	// Backup keeps an older book before it is changed, and says where.
	Backup func(ctx context.Context, version int64) (where string, err error)
}

// Versions gives the book's version (0: no tables yet) and the program's.
func (m *Migration) Versions(ctx context.Context) (have, newest int64, err error) {
	newest, err = newestStep(m.Steps)
	if err != nil {
		return 0, 0, err
	}
	var exists int
	if err := m.DB.QueryRowContext(ctx, m.Exists).Scan(&exists); err != nil {
		return 0, newest, m.Wrap(err)
	}
	if exists == 0 {
		return 0, newest, nil
	}
	var v sql.NullInt64
	err = m.DB.QueryRowContext(ctx, "SELECT max(version_id) FROM goose_db_version WHERE is_applied").Scan(&v)
	return v.Int64, newest, m.Wrap(err)
}

func newestStep(steps fs.FS) (int64, error) {
	names, err := fs.Glob(steps, "*.sql")
	if err != nil {
		return 0, err
	}
	var newest int64
	for _, n := range names {
		number, _, _ := strings.Cut(path.Base(n), "_")
		v, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return 0, fmt.Errorf("migration %s has no number", n)
		}
		newest = max(newest, v)
	}
	return newest, nil
}

// Run brings the tables up to date: an older book after a backup; a newer one
// is refused with book.ErrNewer and left as it is.
func (m *Migration) Run(ctx context.Context) error {
	have, newest, err := m.Versions(ctx)
	if err != nil {
		return err
	}
	kept := ""
	switch {
	case have > newest:
		return fmt.Errorf("%w: its tables are of version %d, this program knows %d", book.ErrNewer, have, newest)
	case have == newest:
		return nil
	case have > 0:
		if kept, err = m.Backup(ctx, have); err != nil {
			return fmt.Errorf("the backup before the change from version %d to %d: %w", have, newest, m.Wrap(err))
		}
	}
	p, err := goose.NewProvider(m.Dialect, m.DB, m.Steps)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	if err = m.Wrap(err); err != nil && kept != "" {
		return fmt.Errorf("the change of its tables from version %d to %d failed; as it was, the book lies in %s: %w", have, newest, kept, err)
	}
	return err
}
