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
	return receipt, err
}

func (s *Store) addOnce(ctx context.Context, e *book.Entry, now time.Time, tried *time.Time) (book.Receipt, error) {
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
		return book.Receipt{Number: number.Int64, New: added.Equal(*tried), Added: added}, nil
	}
	if e.Corrects != nil && !corrected.Valid {
		return book.Receipt{}, fmt.Errorf("the record to correct is %w", book.ErrNotFound)
	}
	r := book.Sealed(e, book.AddedAt(e, now, last.Int64))
	r.CorrectsNo = corrected.Int64
	neckID, err := s.neckID(ctx, r.NeckDigest, e.Files.Neck.Bytes)
	if err != nil {
		return book.Receipt{}, err
	}
	*tried = r.Added
	err = s.DB.QueryRowContext(ctx, addRecord(), append(tables.RecordValues(&r, neckID)[1:], tables.Bytes(e.Files.Readings.Bytes))...).Scan(&r.Number)
	if errors.Is(err, sql.ErrNoRows) { // another bench was quicker with the same record, or took the number
		return book.Receipt{}, fmt.Errorf("%w with the same record", book.ErrBusy)
	}
	return book.Receipt{Number: r.Number, New: true, Added: r.Added}, err
}

// addRecord inserts a record under the next number and its readings at once.
func addRecord() string {
	columns := strings.Count(tables.RecordColumns, ",") + 1
	values := "nextval('record_number')"
	for i := 1; i < columns; i++ {
		values += fmt.Sprintf(", $%d", i)
	}
	return fmt.Sprintf(`WITH r AS (INSERT INTO record (%s) VALUES (%s) ON CONFLICT DO NOTHING RETURNING number)
  INSERT INTO readings (record, bytes) SELECT number, $%d::bytea FROM r RETURNING record`, tables.RecordColumns, values, columns)
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
