package tables

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/book"
)

// Stretch is book.Store's.
func (t *Reader) Stretch(ctx context.Context, from, to int64, fn func(*book.Record, book.Files) error) error {
	rows, err := t.DB.QueryContext(ctx, "SELECT "+recordFields+", n.bytes, s.bytes, n.id IS NULL OR s.record IS NULL"+recordFrom+
		"LEFT JOIN readings s ON s.record = r.number WHERE r.number BETWEEN $1 AND $2 ORDER BY r.number", from, to)
	if err != nil {
		return t.Wrap(err)
	}
	defer rows.Close()
	for rows.Next() {
		var f book.Files
		var lost bool
		r, err := scanRecordAnd(rows, &f.Neck.Bytes, &f.Readings.Bytes, &lost)
		if err != nil {
			return t.Wrap(err)
		}
		if lost {
			return fmt.Errorf("record %d: %w: its files are missing", r.Number, book.ErrDamaged)
		}
		f.Neck.Name, f.Readings.Name = r.NeckName, r.ReadingsName
		if err := fn(&r, f); err != nil {
			return err
		}
	}
	return t.Wrap(rows.Err())
}

// Rederive is book.Store's: derived columns only.
func (t *Reader) Rederive(ctx context.Context, changes ...book.Rederived) error {
	return t.change(ctx, func(tx *sql.Tx) error {
		var numbers []int64
		for _, c := range changes {
			seal := c.Derived.Checksum()
			res, err := tx.ExecContext(ctx, `UPDATE record SET (`+derivedColumns+`) =
  ($2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) WHERE number = $1`,
				append([]any{c.Number}, derivedValues(c.Derived, seal[:])...)...)
			if err != nil {
				return err
			}
			if n, err := res.RowsAffected(); err != nil || n == 0 {
				return errors.Join(err, fmt.Errorf("record %d is %w", c.Number, book.ErrNotFound))
			}
			numbers = append(numbers, c.Number)
		}
		return forget(ctx, tx, numbers)
	})
}

// change makes changes in one transaction, again where that may succeed then.
func (t *Reader) change(ctx context.Context, do func(*sql.Tx) error) error {
	return t.Try(ctx, func(ctx context.Context) error {
		tx, err := t.DB.BeginTx(ctx, nil)
		if err != nil {
			return t.Wrap(err)
		}
		if t.Lock != "" {
			_, err = tx.ExecContext(ctx, t.Lock)
		}
		if err == nil {
			err = do(tx)
		}
		if err == nil {
			return t.Wrap(tx.Commit())
		}
		if undo := tx.Rollback(); undo != nil && !errors.Is(undo, sql.ErrTxDone) {
			err = errors.Join(err, undo)
		}
		return t.Wrap(err)
	})
}

// A block's row bears a checksum: a flipped bit would pass a record over.
func blockSeal(maker string, block int64, bits []byte) []byte {
	sum := sha256.Sum256(append([]byte("ringtrue recalculated\x00"+maker+"\x00"+strconv.FormatInt(block, 10)+"\x00"), bits...))
	return sum[:]
}

// blockRow is a row of the table recalculated. Bits that are not as they were
// written are none.
type blockRow struct {
	maker string
	block int64
	bits  book.NumberBlock
}

const selectBlocks = "SELECT maker, block, bits, seal FROM recalculated "

func scanBlock(rows *sql.Rows) (b blockRow, err error) {
	var bits, seal []byte
	if err := rows.Scan(&b.maker, &b.block, &bits, &seal); err != nil {
		return b, unfit(err)
	}
	if len(bits) == len(b.bits) && string(seal) == string(blockSeal(b.maker, b.block, bits)) {
		copy(b.bits[:], bits)
	}
	return b, nil
}

// blocksIn reads rows within a transaction.
func blocksIn(ctx context.Context, tx *sql.Tx, cond string, args ...any) (all []blockRow, err error) {
	rows, err := tx.QueryContext(ctx, selectBlocks+cond, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		b, err := scanBlock(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, b)
	}
	return all, rows.Err()
}

func putBlock(ctx context.Context, tx *sql.Tx, b *blockRow) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO recalculated (maker, block, bits, seal) VALUES ($1, $2, $3, $4)
  ON CONFLICT (maker, block) DO UPDATE SET bits = excluded.bits, seal = excluded.seal`,
		b.maker, b.block, b.bits[:], blockSeal(b.maker, b.block, b.bits[:]))
	return err
}

// forget takes numbers out of what any maker recalculated.
func forget(ctx context.Context, tx *sql.Tx, numbers []int64) error {
	byBlock := map[int64][]int64{}
	for _, n := range numbers {
		byBlock[n/book.BlockNumbers] = append(byBlock[n/book.BlockNumbers], n)
	}
	for _, block := range slices.Sorted(maps.Keys(byBlock)) {
		rows, err := blocksIn(ctx, tx, "WHERE block = $1 ORDER BY maker", block)
		if err != nil {
			return err
		}
		for i := range rows {
			for _, n := range byBlock[block] {
				rows[i].bits.Remove(n)
			}
			if err := putBlock(ctx, tx, &rows[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// Recalculated is book.Recheck's.
func (t *Reader) Recalculated(ctx context.Context, maker string) (*book.NumberSet, error) {
	rows, err := Collect(ctx, t, selectBlocks+"WHERE maker = $1 ORDER BY block", []any{maker}, scanBlock)
	if err != nil {
		return nil, err
	}
	var s book.NumberSet
	for i := range rows {
		s.AddBlock(rows[i].block, &rows[i].bits)
	}
	return &s, nil
}

// Remember is book.Recheck's.
func (t *Reader) Remember(ctx context.Context, maker string, same *book.NumberSet) error {
	return t.change(ctx, func(tx *sql.Tx) error {
		for block, bits := range same.Blocks() {
			had, err := blocksIn(ctx, tx, "WHERE maker = $1 AND block = $2", maker, block)
			if err != nil {
				return err
			}
			b := blockRow{maker: maker, block: block, bits: *bits}
			for _, h := range had {
				for i := range h.bits {
					b.bits[i] |= h.bits[i]
				}
			}
			if err := putBlock(ctx, tx, &b); err != nil {
				return err
			}
		}
		return nil
	})
}

// Forget is book.Recheck's.
func (t *Reader) Forget(ctx context.Context, maker string) error {
	return t.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM recalculated WHERE maker = $1", maker)
		return err
	})
}

// NoteWhole is book.Recheck's.
func (t *Reader) NoteWhole(ctx context.Context, at time.Time, results bool) error {
	return t.change(ctx, func(tx *sql.Tx) error {
		what := []string{"bytes"}
		if results {
			what = append(what, "results")
		}
		for _, w := range what {
			if _, err := tx.ExecContext(ctx, "INSERT INTO whole (what, at) VALUES ($1, $2) ON CONFLICT (what) DO UPDATE SET at = excluded.at", w, at.UnixMicro()); err != nil {
				return err
			}
		}
		return nil
	})
}

// LastWhole is book.Recheck's.
func (t *Reader) LastWhole(ctx context.Context) (bytes, results time.Time, err error) {
	_, err = Collect(ctx, t, "SELECT what, at FROM whole", nil, func(rows *sql.Rows) (string, error) {
		var what string
		var at int64
		err := unfit(rows.Scan(&what, &at))
		switch what {
		case "bytes":
			bytes = time.UnixMicro(at).UTC()
		case "results":
			results = time.UnixMicro(at).UTC()
		}
		return what, err
	})
	return bytes, results, err
}
