package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver "sqlite"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Options of Open.
type Options struct {
	Create bool             // begin a book where there is none
	Now    func() time.Time // the clock; required where records are added
}

// busyWait is how long a writer waits for another program's.
const busyWait = 20 * time.Second

// Store is a book in a SQLite file.
type Store struct {
	tables.Reader
	path string
	now  func() time.Time

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
	mode, err := look(path, o.Create)
	if err != nil {
		return nil, err
	}
	db, err := connect(ctx, path, mode)
	if err != nil {
		return nil, named(path, err)
	}
	s := &Store{path: path, now: o.Now}
	s.Reader = tables.Reader{DB: db, Position: "instr", Wrap: wrap, Try: once}
	if err := s.migrate(ctx, steps, mode); err != nil {
		db.Close()
		return nil, named(path, err)
	}
	return s, nil
}

func named(path string, err error) error { return fmt.Errorf("%s: %w", path, wrap(err)) }

// once asks a local file once: what it answers now it answers again.
func once(ctx context.Context, ask func(context.Context) error) error { return ask(ctx) }

// fileMode is how a file may be opened.
type fileMode string

const (
	readWrite fileMode = "rw"
	anew      fileMode = "rwc"
	readOnly  fileMode = "ro"
)

// sqliteHead begins every SQLite file (sqlite.org/fileformat2.html, 1.3.1).
const sqliteHead = "SQLite format 3\x00"

// look tells what stands at a path before the database library touches it.
func look(path string, create bool) (fileMode, error) {
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
	case err != nil:
		return "", err
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%s: %w: it is no plain file", path, book.ErrNotABook)
	}
	mode := readWrite
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		mode = readOnly
		if f, err = os.Open(path); err != nil {
			return "", err
		}
	}
	defer f.Close()
	if info.Size() == 0 { // a program that was stopped before its first page
		if !create || mode == readOnly {
			return "", fmt.Errorf("%s: %w: it is empty", path, book.ErrNoBook)
		}
		return anew, nil
	}
	head := make([]byte, len(sqliteHead))
	if _, err := io.ReadFull(f, head); err != nil || string(head) != sqliteHead {
		return "", fmt.Errorf("%s: %w: it is no SQLite file", path, book.ErrNotABook)
	}
	return mode, nil
}

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
	if err != nil && mode == readOnly && !hasLog(abs) {
		// Where its folder may not be written either, the log's index cannot be
		// made; without a log none is needed.
		q.Set("immutable", "1")
		db, err = ping(ctx, abs, q)
	}
	return db, err
}

func ping(ctx context.Context, abs string, q url.Values) (*sql.DB, error) {
	address := url.URL{Scheme: "file", Path: abs, RawQuery: q.Encode()}
	db, err := sql.Open("sqlite", address.String())
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

// hasLog reports whether a write-ahead log holds records not yet in the file.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return err == nil && info.Size() > 0
}

// hasTables tells a book from an empty file and from other programs' files.
const hasTables = "SELECT count(*) FROM sqlite_master WHERE name = 'goose_db_version'"

// bookID is the application id that a book's first migration writes ("RTrb").
const bookID = 0x52547262

func (s *Store) migrate(ctx context.Context, steps fs.FS, mode fileMode) error {
	m := tables.Migration{DB: s.DB, Dialect: goose.DialectSQLite3, Steps: steps, Exists: hasTables,
		Backup: func(ctx context.Context, version int64) error {
			return s.Backup(ctx, fmt.Sprintf("%s.version-%d-%s.db", s.path, version, s.clock().Format("20060102-150405")))
		}}
	// Two programs may begin one book at the same time; the one that comes
	// second finds the first one's work done.
	for try := 0; ; try++ {
		have, newest, err := m.Versions(ctx)
		if err == nil && have == 0 {
			err = s.refuseForeign(ctx, mode)
		}
		if err == nil && have != 0 && mode == readOnly && have < newest {
			err = fmt.Errorf("%w: and its tables are of version %d; this program needs %d", book.ErrReadOnly, have, newest)
		}
		if err == nil {
			err = m.Run(ctx)
		}
		if err == nil || try == mostTries || book.IsCall(err) || errors.Is(err, book.ErrReadOnly) || ctx.Err() != nil {
			return err
		}
		time.Sleep(time.Duration(try+1) * 10 * time.Millisecond)
	}
}

const mostTries = 20

// refuseForeign keeps the program's hands off a database that is not its own.
func (s *Store) refuseForeign(ctx context.Context, mode fileMode) error {
	var id, others int
	err := s.DB.QueryRowContext(ctx, "SELECT (SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_master WHERE name NOT LIKE 'goose_db_version%' AND name NOT LIKE 'sqlite_%')").Scan(&id, &others)
	switch {
	case err != nil:
		return err
	case id != bookID && (id != 0 || others > 0):
		return fmt.Errorf("%w: it is another program's database", book.ErrNotABook)
	case mode == readOnly:
		return fmt.Errorf("%w: it is empty", book.ErrNoBook)
	}
	return nil
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
		err = s.writer.conn.Close()
		s.writer = nil
	}
	return errors.Join(err, s.DB.Close())
}
