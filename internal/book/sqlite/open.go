package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Options of Open.
type Options struct {
	Create bool             // begin a book where there is none
	Now    func() time.Time // the clock; required where records are added

	files files // nil: this machine's
}

// busyWait is how long a writer waits for another program's.
const busyWait = 20 * time.Second

// Store is a book in a SQLite file.
type Store struct {
	tables.Reader
	path  string
	now   func() time.Time
	files files

	mu     sync.Mutex // guards the writer
	writer *writer    // opened by the first write
}

var _ book.Store = (*Store)(nil)

// Open opens a book. book.ErrNoBook: there is none and Create is false, or its
// folder is missing. book.ErrNotABook: the file is something else.
// book.ErrNewer: a newer program made it.
func Open(ctx context.Context, path string, o Options) (*Store, error) {
	steps, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, err
	}
	return open(ctx, path, o, steps)
}

func open(ctx context.Context, path string, o Options, steps fs.FS) (*Store, error) {
	mode, err := look(ctx, path, o.Create)
	if err != nil {
		return nil, err
	}
	if o.files == nil {
		o.files = system{}
	}
	if mode == anew {
		if err := begin(o.files, path); err != nil {
			return nil, named(path, err)
		}
	}
	db, err := connect(ctx, path, mode)
	if err != nil {
		return nil, named(path, err)
	}
	s := &Store{path: path, now: o.Now, files: o.files}
	s.Reader = tables.Reader{DB: db, Position: "instr", Wrap: wrap, Try: once, Now: s.clock}
	if err := s.migrate(ctx, steps, mode, o.Create); err != nil {
		db.Close()
		return nil, named(path, err)
	}
	if mode != readOnly {
		s.FoldLong(ctx)
	}
	return s, nil
}

func named(path string, err error) error { return fmt.Errorf("%s: %w", path, wrap(err)) }

// once asks a local file once: what it answers now it answers again.
func once(ctx context.Context, ask func(context.Context) error) error { return ask(ctx) }

// connect opens the file. What SQLite keeps per connection stands in the
// address, so that every connection of the pool has it; the wait for others
// comes first, as the change to write-ahead logging may already need it.
func connect(ctx context.Context, path string, mode fileMode) (*sql.DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	q := url.Values{"mode": {string(mode)}, "_txlock": {"immediate"}}
	q.Add("_pragma", fmt.Sprintf("busy_timeout(%d)", busyWait.Milliseconds()))
	q.Add("_pragma", "foreign_keys(1)")
	if mode != readOnly {
		q.Add("_pragma", "journal_mode(WAL)")
		q.Add("_pragma", "synchronous(FULL)")
	}
	db, err := ping(ctx, abs, q)
	// The change to write-ahead logging does not wait for another program that
	// begins the book at the same time.
	for try := 1; try <= maxTries && codeOf(err) == sqlite3.SQLITE_BUSY && ctx.Err() == nil; try++ {
		time.Sleep(time.Duration(try) * 10 * time.Millisecond)
		db, err = ping(ctx, abs, q)
	}
	if err != nil && mode == readOnly && !hasLog(abs) {
		// Where its folder may not be written either, the log's index cannot be
		// made; without a log none is needed.
		q.Set("immutable", "1")
		db, err = ping(ctx, abs, q)
	}
	if err != nil && mode == readOnly && hasLog(abs) && noIndex(err) {
		err = fmt.Errorf("%w: its latest records are in %s-wal; to read them, copy both files to a folder that you may write to",
			book.ErrReadOnly, filepath.Base(path))
	}
	return db, err
}

func ping(ctx context.Context, abs string, q url.Values) (*sql.DB, error) {
	db, err := sql.Open("sqlite", address(runtime.GOOS, abs, q))
	if err != nil {
		return nil, err
	}
	// The log's index is first needed by a read.
	var n int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&n); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

func (s *Store) clock() time.Time {
	if s.now == nil {
		return time.Now().UTC()
	}
	return s.now().UTC()
}

// Where is the file's path.
func (s *Store) Where() string { return s.path }

// Close closes the book.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	if s.writer != nil {
		err = s.writer.close()
		s.writer = nil
	}
	return errors.Join(err, s.DB.Close())
}
