package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

// writer is the one connection that adds records, with its questions prepared.
type writer struct {
	conn     *sql.Conn
	begin    *sql.Stmt
	commit   *sql.Stmt
	look     *sql.Stmt
	taken    *sql.Stmt
	correct  *sql.Stmt
	neck     *sql.Stmt
	addNeck  *sql.Stmt
	record   *sql.Stmt
	readings *sql.Stmt
	stmts    []*sql.Stmt                 // all of them, to be closed
	necks    map[[sha256.Size]byte]int64 // rows of neck files known to be there
}

func (s *Store) openWriter(ctx context.Context) (*writer, error) {
	if s.writer != nil {
		return s.writer, nil
	}
	conn, err := s.DB.Conn(ctx)
	if err != nil {
		return nil, err
	}
	w := &writer{conn: conn, necks: map[[sha256.Size]byte]int64{}}
	values := strings.TrimSuffix(strings.Repeat("?,", strings.Count(tables.RecordColumns, ",")+1), ",")
	for _, q := range []struct {
		stmt **sql.Stmt
		text string
	}{
		{&w.begin, "BEGIN IMMEDIATE"},
		{&w.commit, "COMMIT"},
		{&w.look, `SELECT (SELECT number FROM record WHERE identity = ?1), (SELECT added FROM record WHERE identity = ?1),
  (SELECT coalesce(max(number), 0) FROM record), (SELECT max(added) FROM record WHERE serial = ?2)`},
		{&w.taken, `SELECT count(*) FROM record WHERE number = ?`},
		{&w.correct, `SELECT number FROM record WHERE identity = ?`},
		{&w.neck, `SELECT id FROM neck_file WHERE digest = ?`},
		{&w.addNeck, `INSERT INTO neck_file (digest, bytes) VALUES (?, ?)`},
		{&w.record, `INSERT INTO record (` + tables.RecordColumns + `) VALUES (` + values + `)`},
		{&w.readings, `INSERT INTO readings (record, bytes) VALUES (?, ?)`},
	} {
		if *q.stmt, err = conn.PrepareContext(ctx, q.text); err != nil {
			return nil, errors.Join(err, w.close())
		}
		w.stmts = append(w.stmts, *q.stmt)
	}
	s.writer = w
	return w, nil
}

// close closes the questions, and then the connection: with one left open SQLite
// would keep the file, and never fold its log back into it.
func (w *writer) close() error {
	var errs []error
	for _, stmt := range w.stmts {
		errs = append(errs, stmt.Close())
	}
	return errors.Join(append(errs, w.conn.Close())...)
}

// Add is book.Store's.
func (s *Store) Add(ctx context.Context, e *book.Entry) (book.Receipt, error) {
	r, err := s.Import(ctx, []*book.Entry{e})
	if err != nil {
		return book.Receipt{}, err
	}
	return r[0], nil
}

// Import is book.Store's: one transaction.
func (s *Store) Import(ctx context.Context, entries []*book.Entry) ([]book.Receipt, error) {
	for _, e := range entries {
		if err := e.Check(); err != nil {
			return nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	receipts, err := s.put(ctx, entries)
	if err != nil {
		return nil, named(s.path, err)
	}
	s.FoldAfter(ctx, receipts)
	return receipts, nil
}

func (s *Store) put(ctx context.Context, entries []*book.Entry) ([]book.Receipt, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	w, err := s.openWriter(context.WithoutCancel(ctx))
	if err != nil {
		return nil, err
	}
	return w.put(ctx, entries, s.clock)
}

func (w *writer) put(ctx context.Context, entries []*book.Entry, now func() time.Time) (receipts []book.Receipt, err error) {
	_, err = w.begin.ExecContext(ctx) // may wait for other programs
	// A transaction once begun is brought to its end: it is short, and a driver
	// that must listen for a cancel costs a good part of its time.
	ctx = context.WithoutCancel(ctx)
	if err != nil {
		return nil, w.undo(ctx, err)
	}
	added := map[[sha256.Size]byte]int64{} // neck files known only once committed
	for _, e := range entries {
		r, err := w.putOne(ctx, e, now(), added)
		if err != nil {
			return nil, w.undo(ctx, err)
		}
		receipts = append(receipts, r)
	}
	if _, err := w.commit.ExecContext(ctx); err != nil {
		return nil, w.undo(ctx, err)
	}
	for d, id := range added {
		w.necks[d] = id
	}
	return receipts, nil
}

// undo rolls back. SQLite may have done so itself, as when the disk is full;
// its word that nothing is open is then no fault.
func (w *writer) undo(ctx context.Context, why error) error {
	if _, err := w.conn.ExecContext(ctx, "ROLLBACK"); err != nil && !strings.Contains(err.Error(), "no transaction is active") {
		return errors.Join(why, err)
	}
	return why
}

func (w *writer) putOne(ctx context.Context, e *book.Entry, now time.Time, necks map[[sha256.Size]byte]int64) (book.Receipt, error) {
	identity := e.Identity()
	var number, at, neckLast sql.NullInt64
	var last int64
	if err := w.look.QueryRowContext(ctx, identity[:], e.Serial).Scan(&number, &at, &last, &neckLast); err != nil {
		return book.Receipt{}, err
	}
	if number.Valid {
		return book.Receipt{Number: number.Int64, Added: time.UnixMicro(at.Int64).UTC()}, nil
	}
	r := book.RecordOf(e, book.AddedAt(e, now, neckLast.Int64))
	var err error
	if r.Number, err = w.number(ctx, e.Number, last+1); err != nil {
		return book.Receipt{}, err
	}
	if e.Corrects != nil {
		err := w.correct.QueryRowContext(ctx, e.Corrects[:]).Scan(&r.CorrectsNo)
		if errors.Is(err, sql.ErrNoRows) {
			err = fmt.Errorf("the record to correct is %w", book.ErrNotFound)
		}
		if err != nil {
			return book.Receipt{}, err
		}
	}
	neckID, err := w.neckID(ctx, r.NeckDigest, e.Files.Neck.Bytes, necks)
	if err != nil {
		return book.Receipt{}, err
	}
	if _, err := w.record.ExecContext(ctx, tables.RecordValues(&r, neckID)...); err != nil {
		return book.Receipt{}, err
	}
	if _, err := w.readings.ExecContext(ctx, r.Number, tables.Bytes(e.Files.Readings.Bytes)); err != nil {
		return book.Receipt{}, err
	}
	return book.Receipt{Number: r.Number, New: true, Added: r.Added, Behind: book.Behind(e, r.Added, now)}, nil
}

// number is the wanted number where it is free, else the next.
func (w *writer) number(ctx context.Context, wanted, next int64) (int64, error) {
	if wanted <= 0 {
		return next, nil
	}
	if wanted >= next {
		return wanted, nil
	}
	var n int
	if err := w.taken.QueryRowContext(ctx, wanted).Scan(&n); err != nil || n == 0 {
		return wanted, err
	}
	return next, nil
}

func (w *writer) neckID(ctx context.Context, digest [sha256.Size]byte, bytes []byte, added map[[sha256.Size]byte]int64) (int64, error) {
	if id, ok := w.necks[digest]; ok {
		return id, nil
	}
	if id, ok := added[digest]; ok {
		return id, nil
	}
	var id int64
	err := w.neck.QueryRowContext(ctx, digest[:]).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		var res sql.Result
		if res, err = w.addNeck.ExecContext(ctx, digest[:], tables.Bytes(bytes)); err == nil {
			id, err = res.LastInsertId()
		}
	}
	if err == nil {
		added[digest] = id
	}
	return id, err
}
