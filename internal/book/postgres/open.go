package postgres

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Options of Open.
type Options struct {
	Create bool             // begin a book where there is none
	Now    func() time.Time // the clock

	// Patience is how long a server that went away is waited for; 0 is
	// DefaultPatience.
	Patience time.Duration
}

// DefaultPatience lets a server restart.
const DefaultPatience = 20 * time.Second

// openPatience is how long a server is waited for that has not answered yet:
// a wrong address should not keep anyone long.
const openPatience = 2 * time.Second

const (
	schema      = "ringtrue"
	lockKey     = 0x52547262 // of the advisory lock held while tables change ("RTrb")
	connectWait = 5 * time.Second
	maxConns    = 8
)

// Store is a book in a PostgreSQL database.
type Store struct {
	tables.Reader
	where    string // its address without the password
	role     string // who asks, quoted for SQL
	now      func() time.Time
	patience time.Duration
	necks    neckCache
}

var _ book.Store = (*Store)(nil)

// IsAddress reports whether the name of a book is a server's address.
func IsAddress(s string) bool {
	return strings.HasPrefix(s, "postgres://") || strings.HasPrefix(s, "postgresql://")
}

// Open opens a book. The address is postgres://NAME@HOST/DATABASE; a password
// may stand in it, in PGPASSWORD or in the password file, and is never printed.
// book.ErrNoBook: no such database, or no book in it and Create is false.
// book.ErrRefused: name or password. book.ErrNewer. book.ErrLost.
func Open(ctx context.Context, address string, o Options) (*Store, error) {
	steps, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, err
	}
	return open(ctx, address, o, steps)
}

func open(ctx context.Context, address string, o Options, steps fs.FS) (*Store, error) {
	cfg, err := parse(address)
	if err != nil {
		return nil, err
	}
	cfg.ConnectTimeout = connectWait
	cfg.DialFunc = (&net.Dialer{KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 10 * time.Second, Interval: 5 * time.Second, Count: 3}}).DialContext
	cfg.RuntimeParams["application_name"] = "ringtrue"
	cfg.RuntimeParams["search_path"] = schema
	cfg.RuntimeParams["synchronous_commit"] = "on" // a record is on disk before it is said to be there
	if o.Patience == 0 {
		o.Patience = DefaultPatience
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	s := &Store{where: nameOf(cfg), role: pgx.Identifier{cfg.User}.Sanitize(), now: o.Now, patience: o.Patience}
	db := stdlib.OpenDB(*cfg)
	db.SetMaxOpenConns(maxConns)
	db.SetMaxIdleConns(maxConns)
	s.Reader = tables.Reader{DB: db, Position: "strpos", Quiet: "LOCK TABLE record IN SHARE ROW EXCLUSIVE MODE", Wrap: s.wrap, Try: tryFor(o.Patience), Now: o.Now, LockNotes: "LOCK TABLE note IN SHARE ROW EXCLUSIVE MODE", LockHeard: "LOCK TABLE heard IN SHARE ROW EXCLUSIVE MODE", Lock: "LOCK TABLE recalculated IN SHARE ROW EXCLUSIVE MODE"}
	err = tryFor(min(openPatience, o.Patience))(ctx, func(ctx context.Context) error { return s.wrap(db.PingContext(ctx)) })
	if err == nil {
		err = s.migrate(ctx, steps, o.Create)
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	s.FoldLong(ctx)
	return s, nil
}

// nameOf names a database without its password.
func nameOf(cfg *pgx.ConnConfig) string {
	u := url.URL{Scheme: "postgres", User: url.User(cfg.User), Path: "/" + cfg.Database}
	if strings.HasPrefix(cfg.Host, "/") {
		u.RawQuery = "host=" + cfg.Host
	} else {
		u.Host = net.JoinHostPort(cfg.Host, strconv.Itoa(int(cfg.Port)))
	}
	return u.String()
}

// hasTables asks the catalogue, which everyone may read: the information schema
// shows nothing to those without rights.
const hasTables = "SELECT count(*) FROM pg_catalog.pg_class c JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace" +
	" WHERE n.nspname = '" + schema + "' AND c.relname = 'goose_db_version'"

// mayRead asks whether this role may look into the book's schema and its tables;
// true where there is none.
const mayRead = "SELECT coalesce(bool_and(has_schema_privilege(n.oid, 'USAGE') AND has_table_privilege(c.oid, 'SELECT')), true)" +
	" FROM pg_catalog.pg_class c JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = '" + schema + "' AND c.relkind IN ('r', 'p')"

func (s *Store) migrate(ctx context.Context, steps fs.FS, create bool) error {
	m := tables.Migration{DB: s.DB, Dialect: goose.DialectPostgres, Steps: steps, Exists: hasTables, Wrap: s.wrap, Backup: s.copyTables}
	if err := s.mayRead(ctx); err != nil {
		return err
	}
	have, newest, err := m.Versions(ctx)
	switch {
	case err != nil:
		return err
	case have == newest:
		return nil
	case have == 0 && !create:
		return fmt.Errorf("%s: %w yet; `ringtrue book add` begins one", s.where, book.ErrNoBook)
	case have > newest:
		return fmt.Errorf("%s: %w", s.where, m.Run(ctx)) // refuses it
	}
	// One bench at a time changes the tables; the others then find it done.
	lock, err := s.DB.Conn(ctx)
	if err != nil {
		return s.wrap(err)
	}
	defer lock.Close()
	if _, err := lock.ExecContext(ctx, "SELECT pg_advisory_lock($1)", lockKey); err != nil {
		return s.wrap(err)
	}
	defer lock.ExecContext(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", lockKey)
	if have == 0 {
		var n int
		if err := s.DB.QueryRowContext(ctx, "SELECT count(*) FROM information_schema.schemata WHERE schema_name = $1", schema).Scan(&n); err != nil {
			return s.wrap(err)
		}
		if n == 0 {
			if err := s.begin(ctx); err != nil {
				return err
			}
		}
	}
	return m.Run(ctx)
}

// mayRead is book.ErrNoRights where this role may not read the book there.
func (s *Store) mayRead(ctx context.Context) error {
	var may bool
	if err := s.DB.QueryRowContext(ctx, mayRead).Scan(&may); err != nil {
		return s.wrap(err)
	}
	if !may {
		return fmt.Errorf("%s: %w; its owner grants them: GRANT USAGE ON SCHEMA %s TO %s, and SELECT, INSERT, UPDATE on its tables",
			s.where, book.ErrNoRights, schema, s.role)
	}
	return nil
}

// begin makes the book's schema.
func (s *Store) begin(ctx context.Context) error {
	_, err := s.DB.ExecContext(ctx, "CREATE SCHEMA "+schema)
	if err = s.wrap(err); errors.Is(err, book.ErrReadOnly) {
		return fmt.Errorf("%w; to begin a book there, the database's owner grants CREATE on it to %s", err, s.role)
	}
	return err
}

// copyTables keeps an older book's tables, as they are, in a schema beside it.
func (s *Store) copyTables(ctx context.Context, version int64) (where string, err error) {
	tx, err := s.DB.BeginTx(ctx, nil)
	if err != nil {
		return "", err
	}
	defer tx.Rollback()
	var names []string
	rows, err := tx.QueryContext(ctx, "SELECT table_name FROM information_schema.tables WHERE table_schema = $1 ORDER BY 1", schema)
	if err != nil {
		return "", err
	}
	for rows.Next() {
		var n string
		if err := rows.Scan(&n); err != nil {
			return "", errors.Join(err, rows.Close())
		}
		names = append(names, n)
	}
	if err := rows.Err(); err != nil {
		return "", err
	}
	where = fmt.Sprintf("%s_version_%d_%s", schema, version, s.now().UTC().Format("20060102_150405"))
	to := pgx.Identifier{where}.Sanitize()
	if _, err := tx.ExecContext(ctx, "CREATE SCHEMA "+to); err != nil {
		return "", err
	}
	for _, n := range names {
		table := pgx.Identifier{n}.Sanitize()
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("CREATE TABLE %s.%s AS TABLE %s.%s", to, table, schema, table)); err != nil {
			return "", err
		}
	}
	return "the schema " + where, tx.Commit()
}

// Where is the database's address without a password.
func (s *Store) Where() string { return s.where }

// Close closes the book.
func (s *Store) Close() error { return s.DB.Close() }

// Verify is book.Store's: every record has its readings and its neck file.
// PostgreSQL checks its own pages where it was set up with data checksums.
func (s *Store) Verify(ctx context.Context) ([]string, error) {
	return tables.Collect(ctx, &s.Reader, `SELECT r.number FROM record r LEFT JOIN readings s ON s.record = r.number
  LEFT JOIN neck_file n ON n.id = r.neck WHERE s.record IS NULL OR n.id IS NULL ORDER BY 1 LIMIT 20`, nil, func(rows *sql.Rows) (string, error) {
		var n sql.NullInt64
		err := rows.Scan(&n)
		return fmt.Sprintf("record %d has lost its files", n.Int64), err
	})
}
