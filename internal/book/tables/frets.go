package tables

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"ringtrue/internal/book"
	"ringtrue/internal/book/column"
)

// fretReader is book.FretReader over the blocks of one scan, and over the crowns of
// the records beside them.
type fretReader struct {
	*Reader
	blocks map[int64]*fretBlock // by id
	order  []*fretBlock
	beside book.KeptCrowns
}

// fretBlock is what was picked of one block.
type fretBlock struct {
	shapes column.ShapeList
	first  int     // record that was picked of it, as they were handed out
	places []int16 // in the block, of each record picked
}

// ScanFrets is book.FretScanner's.
func (t *Reader) ScanFrets(ctx context.Context, f book.Filter, want book.Columns, fn func(*book.Row) error) (book.FretReader, error) {
	last, err := t.Last(ctx)
	if err != nil {
		return nil, err
	}
	c, err := t.newColumnScan(ctx, f, want, last)
	if err != nil {
		return nil, err
	}
	blocks, err := t.blocks(ctx)
	if err != nil {
		return nil, err
	}
	out := &fretReader{Reader: t, blocks: map[int64]*fretBlock{}}
	n := 0
	var read []block
	for _, b := range blocks {
		if !suits(f, want) {
			break
		}
		if c.apart(b) {
			read = append(read, b)
			continue
		}
		of, err := out.begin(ctx, b, n)
		if err == nil {
			err = c.block(ctx, b, func(at int, r *book.Row) error {
				n++
				of.places = append(of.places, int16(at))
				r.Crowned = of.crowned(at)
				return fn(r)
			})
		}
		switch {
		case err == nil:
			read = append(read, b)
			out.blocks[b.id], out.order = of, append(out.order, of)
		case !errors.Is(err, errGone):
			return nil, err
		}
	}
	s := sweep{Reader: t, filter: f, want: want | book.CrownColumns, last: last, fn: func(r *book.Row) (err error) {
		if r.Crowned, err = out.beside.Keep(n, r.Crowns); err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		n++
		return fn(r)
	}}
	for _, g := range gaps(read, last) {
		if err := s.run(ctx, g[0], g[1]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// begin reads a block's shapes.
func (f *fretReader) begin(ctx context.Context, b block, first int) (*fretBlock, error) {
	parts, err := f.parts(ctx, b, column.Shapes)
	if err != nil {
		return nil, err
	}
	of := &fretBlock{first: first}
	of.shapes, err = column.ReadShapes(parts[0])
	return of, gone(err)
}

func (b *fretBlock) crowned(at int) bool {
	t := b.table(at)
	return t.Frets*len(t.Lanes) > 0
}

func (b *fretBlock) table(at int) *book.CrownTable { return &b.shapes.Kinds[b.shapes.Of[at]] }

// Shapes is book.FretReader's.
func (f *fretReader) Shapes(fn func(record int, t *book.CrownTable)) {
	for _, b := range f.order {
		for i, at := range b.places {
			if b.crowned(int(at)) {
				fn(b.first+i, b.table(int(at)))
			}
		}
	}
	f.beside.Shapes(fn)
}

// Fret is book.FretReader's.
func (f *fretReader) Fret(ctx context.Context, fret int, fn func(book.Crowns)) error {
	if fret < 0 || fret > 255 {
		return nil
	}
	wanted := 0
	for _, b := range f.order {
		if b.has(fret) {
			wanted++
		}
	}
	if wanted > 0 {
		rows, err := f.DB.QueryContext(ctx, "SELECT block, bytes FROM block_part WHERE part = $1", column.FirstFret+fret)
		if err != nil {
			return f.Wrap(err)
		}
		defer rows.Close()
		var id int64
		var bytes sql.RawBytes
		var room book.Crowns
		for rows.Next() {
			if err := rows.Scan(&id, &bytes); err != nil {
				return f.Wrap(unfit(err))
			}
			if b := f.blocks[id]; b != nil {
				if err := b.fret(bytes, fret, &room, fn); err != nil {
					return err
				}
				wanted--
			}
		}
		if err := rows.Err(); err != nil {
			return f.Wrap(err)
		}
	}
	if wanted > 0 {
		return fmt.Errorf("%w: records were recalculated while they were read; ask again", book.ErrBusy)
	}
	return f.beside.Fret(ctx, fret, fn)
}

func (b *fretBlock) has(fret int) bool {
	for i := range b.shapes.Kinds {
		if b.shapes.Kinds[i].HasFret(fret) {
			return len(b.places) > 0
		}
	}
	return false
}

// fret hands out the records that were picked.
func (b *fretBlock) fret(part []byte, fret int, room *book.Crowns, fn func(book.Crowns)) error {
	return b.shapes.Fret(part, fret, func(c book.Crowns) {
		next := 0
		fn(c.Pick(func(at int32) int32 {
			for next < len(b.places) && int32(b.places[next]) < at {
				next++
			}
			if next == len(b.places) || int32(b.places[next]) != at {
				return -1
			}
			return int32(b.first + next)
		}, room))
	})
}
