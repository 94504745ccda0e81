package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/pressly/goose/v3"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

// hasTables tells a book from an empty file.
const hasTables = "SELECT count(*) FROM sqlite_master WHERE name = 'goose_db_version'"

// maxTries is how often a program looks again that met another one changing
// the tables.
const maxTries = 20

// migrate brings the tables up to date. Several programs may begin or change
// one book at the same time: those that come second find the first one's work
// done, which each version's unique row makes sure of.
func (s *Store) migrate(ctx context.Context, steps fs.FS, mode fileMode, create bool) error {
	m := tables.Migration{DB: s.DB, Dialect: goose.DialectSQLite3, Steps: steps, Exists: hasTables, Wrap: wrap, Backup: s.backupVersion}
	for try := 1; ; try++ {
		have, newest, err := m.Versions(ctx)
		switch {
		case err != nil:
			return err
		case have == 0 && (!create || mode == readOnly):
			return fmt.Errorf("%w: it is empty", book.ErrNoBook)
		case have > 0 && have < newest && mode == readOnly:
			return fmt.Errorf("%w: and its tables are of version %d; this program needs %d", book.ErrReadOnly, have, newest)
		}
		err = m.Run(ctx)
		if err == nil || try == maxTries || book.IsCall(err) || ofTheDisk(err) || ctx.Err() != nil {
			return err
		}
		time.Sleep(time.Duration(try) * 10 * time.Millisecond)
		if now, _, lookErr := m.Versions(ctx); have > 0 && now == have || lookErr != nil {
			return err // nobody else did it
		}
	}
}

// ofTheDisk reports a fault that is not another program's doing: it is there the
// next time too.
func ofTheDisk(err error) bool {
	return failing(err) || errors.Is(err, book.ErrFull) || errors.Is(err, book.ErrDamaged) || errors.Is(err, book.ErrReadOnly)
}

// backupVersion keeps a book of an older version beside it.
func (s *Store) backupVersion(ctx context.Context, version int64) (path string, err error) {
	base := fmt.Sprintf("%s.version-%d-%s", s.path, version, s.clock().Format("20060102-150405"))
	for n := 1; n <= maxTries; n++ {
		path = base + ".db"
		if n > 1 {
			path = fmt.Sprintf("%s-%d.db", base, n)
		}
		if err = s.Backup(ctx, path); !errors.Is(err, fs.ErrExist) {
			return path, err
		}
	}
	return path, err
}
