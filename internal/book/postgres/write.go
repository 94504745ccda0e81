package postgres

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/tables"
)

// neckCache remembers the rows of neck files known to be there.
type neckCache struct {
	mu   sync.Mutex
	rows map[[sha256.Size]byte]int64
}

func (c *neckCache) get(d [sha256.Size]byte) (int64, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	id, ok := c.rows[d]
	return id, ok
}

func (c *neckCache) put(d [sha256.Size]byte, id int64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.rows == nil {
		c.rows = map[[sha256.Size]byte]int64{}
	}
	c.rows[d] = id
}

// Add is book.Store's: one statement, and so one flush of the server's log.
func (s *Store) Add(ctx context.Context, e *book.Entry) (book.Receipt, error) {
	if err := e.Check(); err != nil {
		return book.Receipt{}, err
	}
	now := s.now().UTC()
	var receipt book.Receipt
	var tried time.Time // what an earlier try recorded, if the server took it after all
	err := s.Try(ctx, func(ctx context.Context) (err error) {
		ctx, cancel := context.WithTimeout(ctx, s.patience) // a server may hang without hanging up
		defer cancel()
		receipt, err = s.addOnce(ctx, e, now, &tried)
		return s.wrap(err)
	})
	if errors.Is(err, book.ErrLost) {
		err = fmt.Errorf("%w; add the record again later: should it have got there, it stays one record", err)
	}
	if err == nil {
		s.FoldAfter(ctx, []book.Receipt{receipt})
	}
	return receipt, err
}

// addOnce tries a new record that corrects none first, all in one statement; what
// stands in its way, if anything, is then looked up.
func (s *Store) addOnce(ctx context.Context, e *book.Entry, now time.Time, tried *time.Time) (book.Receipt, error) {
	if tried.IsZero() && e.Corrects == nil {
		r, err := s.insert(ctx, e, book.AddedAt(e, now, 0), 0, tried)
		if !errors.Is(err, sql.ErrNoRows) {
			return r, err
		}
		*tried = time.Time{} // it answered: nothing was recorded
	}
	identity := e.Identity()
	var corrects []byte
	if e.Corrects != nil {
		corrects = e.Corrects[:]
	}
	var number, at, corrected, last sql.NullInt64
	err := s.DB.QueryRowContext(ctx, `SELECT (SELECT number FROM record WHERE identity = $1), (SELECT added FROM record WHERE identity = $1),
  (SELECT number FROM record WHERE identity = $2), (SELECT max(added) FROM record WHERE serial = $3)`,
		identity[:], corrects, e.Serial).Scan(&number, &at, &corrected, &last)
	if err != nil {
		return book.Receipt{}, err
	}
	if number.Valid {
		added := time.UnixMicro(at.Int64).UTC()
		receipt := book.Receipt{Number: number.Int64, New: added.Equal(*tried), Added: added}
		if receipt.New {
			receipt.Behind = book.Behind(e, added, now)
		}
		return receipt, nil
	}
	if e.Corrects != nil && !corrected.Valid {
		return book.Receipt{}, fmt.Errorf("the record to correct is %w", book.ErrNotFound)
	}
	r, err := s.insert(ctx, e, book.AddedAt(e, now, last.Int64), corrected.Int64, tried)
	if errors.Is(err, sql.ErrNoRows) { // another bench was quicker with the same record, or took the number
		return book.Receipt{}, fmt.Errorf("%w with the same record", book.ErrBusy)
	}
	r.Behind = book.Behind(e, r.Added, now)
	return r, err
}

// insert records an entry at a time. sql.ErrNoRows: the record or its number is
// there already, or one of the same neck that is not older.
func (s *Store) insert(ctx context.Context, e *book.Entry, added time.Time, correctsNo int64, tried *time.Time) (book.Receipt, error) {
	r := book.RecordOf(e, added)
	r.CorrectsNo = correctsNo
	neckID, err := s.neckID(ctx, r.NeckDigest, e.Files.Neck.Bytes)
	if err != nil {
		return book.Receipt{}, err
	}
	*tried = r.Added
	values := append(tables.RecordValues(&r, neckID)[1:], tables.Bytes(e.Files.Readings.Bytes), e.Added.IsZero())
	err = s.DB.QueryRowContext(ctx, addRecord(), values...).Scan(&r.Number)
	return book.Receipt{Number: r.Number, New: true, Added: r.Added}, err
}

// addRecord inserts a record under the next number and its readings at once,
// unless it is there (so that no number is used up), or takes its time from the
// clock and a record of the neck is not older.
func addRecord() string {
	columns := strings.Count(tables.RecordColumns, ",") + 1
	values := "nextval('record_number')"
	for i := 1; i < columns; i++ {
		values += fmt.Sprintf(", $%d", i)
	}
	const identity, serial, added = 1, 2, 4 // places in RecordColumns, the number not counted
	return fmt.Sprintf(`WITH r AS (INSERT INTO record (%s) SELECT %s
    WHERE NOT EXISTS (SELECT 1 FROM record o WHERE o.identity = $%d)
      AND NOT ($%d::boolean AND EXISTS (SELECT 1 FROM record o WHERE o.serial = $%d AND o.added >= $%d))
    ON CONFLICT DO NOTHING RETURNING number)
  INSERT INTO readings (record, bytes) SELECT number, $%d::bytea FROM r RETURNING record`,
		tables.RecordColumns, values, identity, columns+1, serial, added, columns)
}

func (s *Store) neckID(ctx context.Context, digest [sha256.Size]byte, bytes []byte) (int64, error) {
	if id, ok := s.necks.get(digest); ok {
		return id, nil
	}
	var id int64
	ask := func() error {
		return s.DB.QueryRowContext(ctx, "SELECT id FROM neck_file WHERE digest = $1", digest[:]).Scan(&id)
	}
	err := ask()
	if errors.Is(err, sql.ErrNoRows) {
		_, err = s.DB.ExecContext(ctx, "INSERT INTO neck_file (digest, bytes) VALUES ($1, $2) ON CONFLICT DO NOTHING", digest[:], tables.Bytes(bytes))
		if err == nil {
			err = ask()
		}
	}
	if err == nil {
		s.necks.put(digest, id)
	}
	return id, err
}
