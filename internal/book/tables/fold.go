package tables

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/book/column"
)

// Fold packs the columns of whole stretches that have none yet, a transaction each,
// and says how many it packed. A stretch with a damaged record is left as it is.
// Charts answer the same before and after, only faster.
func (t *Reader) Fold(ctx context.Context) (packed int, err error) {
	last, err := t.Last(ctx)
	if err != nil {
		return 0, err
	}
	blocks, err := t.allBlocks(ctx)
	if err != nil {
		return 0, err
	}
	for _, b := range blocks {
		if !b.damaged {
			continue
		}
		if _, err := t.DB.ExecContext(ctx, "DELETE FROM block WHERE id = $1", b.id); err != nil {
			return 0, t.Wrap(err)
		}
	}
	blocks = slices.DeleteFunc(blocks, func(b block) bool { return b.damaged })
	for _, gap := range gaps(blocks, last) {
		for n := gap[0]; n <= gap[1]; {
			if n, err = t.Next(ctx, n-1); err != nil {
				return packed, err
			}
			stretch := n / column.Length
			if n == 0 || n > gap[1] || (stretch+1)*column.Length-1 > last {
				break
			}
			switch err := t.fold(ctx, stretch); {
			case err == nil:
				packed++
			case !errors.Is(err, book.ErrDamaged):
				return packed, err
			}
			n = (stretch + 1) * column.Length
		}
	}
	return packed, nil
}

// FoldAfter folds where new records have filled a stretch. What stays unfolded is read
// record by record, so a fold that fails is no fault of the records that were added.
func (t *Reader) FoldAfter(ctx context.Context, added []book.Receipt) {
	full := false
	for i, r := range added {
		full = full || r.New && (r.Number%column.Length == column.Length-1 || i > 0 && r.Number/column.Length != added[i-1].Number/column.Length)
	}
	if full {
		_, _ = t.Fold(ctx)
	}
}

// FoldLong folds a book of which more is unfolded than its own writers leave, as
// after a change of its tables.
func (t *Reader) FoldLong(ctx context.Context) {
	last, err := t.Last(ctx)
	if err != nil || last < longUnfolded {
		return
	}
	blocks, err := t.blocks(ctx)
	if err == nil && last-int64(len(blocks))*column.Length >= longUnfolded {
		_, _ = t.Fold(ctx)
	}
}

// longUnfolded is how many numbers without columns make a long scan.
const longUnfolded = 3 * column.Length

// fold packs one stretch.
func (t *Reader) fold(ctx context.Context, stretch int64) error {
	tx, err := t.DB.BeginTx(ctx, nil) // in SQLite it begins as a writer
	if err != nil {
		return t.Wrap(err)
	}
	defer tx.Rollback()
	if t.Quiet != "" {
		if _, err := tx.ExecContext(ctx, t.Quiet); err != nil {
			return t.Wrap(err)
		}
	}
	p, err := t.pack(ctx, tx, stretch)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM block WHERE stretch = $1", stretch); err != nil {
		return t.Wrap(err)
	}
	var id int64
	since, until := p.Span()
	if err := tx.QueryRowContext(ctx, "INSERT INTO block (stretch, since, until, seal) VALUES ($1, $2, $3, $4) RETURNING id", stretch, since, until, column.Seal(stretch, since, until)).Scan(&id); err != nil {
		return t.Wrap(err)
	}
	for _, p := range p.Parts() {
		if _, err := tx.ExecContext(ctx, "INSERT INTO block_part (part, block, bytes) VALUES ($1, $2, $3)", p.Number, id, p.Bytes); err != nil {
			return t.Wrap(err)
		}
	}
	return t.Wrap(tx.Commit())
}

// asker is a database or a transaction of it.
type asker interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// pack works out the columns of a stretch from its records.
func (t *Reader) pack(ctx context.Context, from asker, stretch int64) (*column.Packer, error) {
	scan := newScanner(book.NameColumns | book.TagColumns | book.FigureColumns | book.CrownColumns)
	var model sql.RawBytes
	scan.read("r.model", &model)
	first, last := block{stretch: stretch}.numbers()
	rows, err := from.QueryContext(ctx, "SELECT "+scan.columns+" FROM record r WHERE r.number BETWEEN $1 AND $2 ORDER BY r.number", first, last)
	if err != nil {
		return nil, t.Wrap(err)
	}
	defer rows.Close()
	var p column.Packer
	for rows.Next() {
		r, err := scan.next(rows)
		if err != nil {
			return nil, t.Wrap(err)
		}
		if err := p.Add(r, string(model)); err != nil {
			return nil, err
		}
	}
	return &p, t.Wrap(rows.Err())
}

// CheckColumns packs every stretch again that has columns, and names those that are
// not bit for bit what their records say, up to some.
func (t *Reader) CheckColumns(ctx context.Context, progress book.Progress) (bad []string, err error) {
	blocks, err := t.allBlocks(ctx)
	if err != nil {
		return nil, err
	}
	for i, b := range blocks {
		progress.Tell(i, len(blocks))
		same, err := t.columnsHold(ctx, b)
		switch {
		case b.damaged:
			same = false
		case errors.Is(err, book.ErrDamaged):
			continue // a record's own fault is named with the record
		case err != nil:
			return bad, err
		}
		if first, last := b.numbers(); !same && len(bad) < maxNamed {
			bad = append(bad, fmt.Sprintf("columns of the records %d to %d are not what the records say", max(1, first), last))
		}
	}
	return bad, nil
}

// maxNamed is how many faults are named.
const maxNamed = 20

// columnsHold compares a block with its records. One that was dropped in between holds.
func (t *Reader) columnsHold(ctx context.Context, b block) (same bool, err error) {
	p, err := t.pack(ctx, t.DB, b.stretch)
	if err != nil {
		return false, err
	}
	want := p.Parts()
	since, until := p.Span()
	there, err := Collect(ctx, t, "SELECT part, bytes FROM block_part WHERE block = $1 ORDER BY part", []any{b.id}, func(rows *sql.Rows) (p column.Part, err error) {
		err = unfit(rows.Scan(&p.Number, &p.Bytes))
		return p, err
	})
	if err != nil && !errors.Is(err, book.ErrDamaged) {
		return false, err
	}
	same = err == nil && len(there) == len(want) && b.since == since && b.until == until
	for i := 0; same && i < len(want); i++ {
		same = there[i].Number == want[i].Number && bytes.Equal(there[i].Bytes, want[i].Bytes)
	}
	if same {
		return true, nil
	}
	now, err := t.allBlocks(ctx) // it may have been dropped with a change of a record
	for _, o := range now {
		if o == b {
			return false, err
		}
	}
	return true, err
}
