package tables

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
)

// AddNotes is book.Store's.
func (t *Reader) AddNotes(ctx context.Context, notes []book.Said) ([]book.NoteReceipt, error) {
	return addBeside(ctx, t, t.LockNotes, notes, putNote)
}

// addBeside puts rows beside the records: one transaction, that no other writer comes
// between.
func addBeside[T, R any, P interface {
	*T
	Check() error
}](ctx context.Context, t *Reader, lock string, all []T, put func(context.Context, *sql.Tx, T, time.Time) (R, error)) (receipts []R, err error) {
	for i := range all {
		if err := P(&all[i]).Check(); err != nil {
			return nil, err
		}
	}
	now := t.Now().UTC().Truncate(time.Microsecond)
	err = t.Try(ctx, func(ctx context.Context) error {
		receipts = nil
		tx, err := t.DB.BeginTx(ctx, nil)
		if err != nil {
			return t.Wrap(err)
		}
		defer tx.Rollback()
		if lock != "" {
			if _, err := tx.ExecContext(ctx, lock); err != nil {
				return t.Wrap(err)
			}
		}
		for _, x := range all {
			r, err := put(ctx, tx, x, now)
			if err != nil {
				return t.Wrap(err)
			}
			receipts = append(receipts, r)
		}
		return t.Wrap(tx.Commit())
	})
	return receipts, err
}

func putNote(ctx context.Context, tx *sql.Tx, n book.Said, now time.Time) (book.NoteReceipt, error) {
	var had, last, lastOfNeck, taken int64
	var at sql.NullInt64
	from, to := now.UnixMicro(), int64(math.MaxInt64) // the same said now, by a try whose answer was lost
	if !n.Added.IsZero() {
		from = n.Added.UnixMicro()
		to = from
	}
	err := tx.QueryRowContext(ctx, `SELECT coalesce(max(number), 0), max(added) FROM note
  WHERE serial = $1 AND said = $2 AND by_whom = $3 AND at = $4 AND added >= $5 AND added <= $6`,
		n.Serial, n.Text, n.By, n.At.UnixMicro(), from, to).Scan(&had, &at)
	if err != nil {
		return book.NoteReceipt{}, err
	}
	if had > 0 {
		return book.NoteReceipt{Number: had, Added: time.UnixMicro(at.Int64).UTC()}, nil
	}
	err = tx.QueryRowContext(ctx, `SELECT (SELECT coalesce(max(number), 0) FROM note), (SELECT count(*) FROM note WHERE number = $2),
  coalesce((SELECT max(added) FROM note WHERE serial = $1), 0)`, n.Serial, n.Number).Scan(&last, &taken, &lastOfNeck)
	if err != nil {
		return book.NoteReceipt{}, err
	}
	n = book.NoteOf(n, now, lastOfNeck)
	if n.Number < 1 || taken > 0 {
		n.Number = last + 1
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO note (number, serial, said, by_whom, at, added, seal) VALUES ($1, $2, $3, $4, $5, $6, $7)",
		n.Number, n.Serial, n.Text, n.By, n.At.UnixMicro(), n.Added.UnixMicro(), n.Checksum[:])
	return book.NoteReceipt{Number: n.Number, New: true, Added: n.Added}, err
}

// Notes is book.Store's.
func (t *Reader) Notes(ctx context.Context, serial string, since time.Time) ([]book.Said, error) {
	query, args := "SELECT number, serial, said, by_whom, at, added, seal FROM note WHERE added >= $1", []any{micros(since)}
	if serial != "" {
		query, args = query+" AND serial = $2", append(args, serial)
	}
	return Collect(ctx, t, query+" ORDER BY added, number", args, func(rows *sql.Rows) (n book.Said, err error) {
		var at, added int64
		var seal []byte
		err = unfit(rows.Scan(&n.Number, &n.Serial, &n.Text, &n.By, &at, &added, &seal))
		copy(n.Checksum[:], seal)
		n.At, n.Added = time.UnixMicro(at).UTC(), time.UnixMicro(added).UTC()
		return n, err
	})
}

// LastNote is book.Store's.
func (t *Reader) LastNote(ctx context.Context) (n int64, err error) {
	_, err = t.askOne(ctx, "SELECT coalesce(max(number), 0) FROM note", nil, &n)
	return n, err
}

// Touched is book.Store's: by the index of times.
func (t *Reader) Touched(ctx context.Context, since time.Time) ([]book.Touched, error) {
	return Collect(ctx, t, `SELECT r.number, r.serial, r.stage, CASE WHEN r.corrects IS NULL THEN r.added ELSE (
    WITH RECURSIVE old(corrects, added) AS (
      SELECT o.corrects, o.added FROM record o WHERE o.number = r.corrects
      UNION ALL SELECT o.corrects, o.added FROM record o JOIN old ON o.number = old.corrects)
    SELECT min(added) FROM old) END, r.program, r.verdict, r.frets_off
  FROM record r
  WHERE r.added >= $1 AND NOT EXISTS (SELECT 1 FROM record x WHERE x.corrects = r.number) ORDER BY r.added, r.number`,
		[]any{micros(since)}, func(rows *sql.Rows) (x book.Touched, err error) {
			var at int64
			var maker string
			if err := rows.Scan(&x.Number, &x.Serial, &x.Stage, &at, &maker, &x.Verdict, &x.FretsOff); err != nil {
				return x, fmt.Errorf("record %d: %w", x.Number, unfit(err))
			}
			if x.At = time.UnixMicro(at).UTC(); maker == "" {
				x.Verdict = ""
			}
			return x, nil
		})
}
