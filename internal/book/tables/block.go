package tables

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/book/column"
)

// block is a stretch of records whose columns are there.
type block struct {
	id, stretch  int64
	since, until int64 // when its necks were read
	damaged      bool  // what stands here is not what was written
}

// numbers are the first and the last that a block's records can have.
func (b block) numbers() (first, last int64) {
	return b.stretch * column.Length, (b.stretch+1)*column.Length - 1
}

// errGone is a block that was dropped, or whose columns are damaged: its records
// are read instead.
var errGone = errors.New("columns are gone")

// blocks lists what columns there are, in order of numbers. A book whose list
// cannot be read is read record by record.
func (t *Reader) blocks(ctx context.Context) ([]block, error) {
	all, err := t.allBlocks(ctx)
	if err != nil {
		return nil, ctx.Err()
	}
	return slices.DeleteFunc(all, func(b block) bool { return b.damaged }), nil
}

func (t *Reader) allBlocks(ctx context.Context) ([]block, error) {
	return Collect(ctx, t, "SELECT id, stretch, since, until, seal FROM block ORDER BY stretch", nil, func(rows *sql.Rows) (b block, err error) {
		var seal int64
		err = unfit(rows.Scan(&b.id, &b.stretch, &b.since, &b.until, &seal))
		b.damaged = b.stretch < 0 || seal != column.Seal(b.stretch, b.since, b.until)
		return b, err
	})
}

// parts reads some columns of a block. errGone.
func (t *Reader) parts(ctx context.Context, b block, numbers ...int) ([][]byte, error) {
	args := []any{b.id}
	var marks []string
	for _, n := range numbers {
		args = append(args, n)
		marks = append(marks, fmt.Sprintf("$%d", len(args)))
	}
	found := make([][]byte, len(numbers))
	_, err := Collect(ctx, t, "SELECT part, bytes FROM block_part WHERE block = $1 AND part IN ("+strings.Join(marks, ", ")+")", args, func(rows *sql.Rows) (struct{}, error) {
		var part int
		var bytes []byte
		err := unfit(rows.Scan(&part, &bytes))
		if at := slices.Index(numbers, part); at >= 0 {
			found[at] = bytes
		}
		return struct{}{}, err
	})
	if err == nil && slices.ContainsFunc(found, func(b []byte) bool { return b == nil }) {
		err = errGone
	}
	return found, gone(err)
}

// gone takes damage of columns for their lack: the records are what counts.
func gone(err error) error {
	if errors.Is(err, book.ErrDamaged) {
		return errGone
	}
	return err
}

// gaps are the stretches of numbers up to last that no block covers.
func gaps(blocks []block, last int64) (all [][2]int64) {
	next := int64(0)
	for _, b := range blocks {
		from, to := b.numbers()
		if from > next && next <= last {
			all = append(all, [2]int64{next, min(from-1, last)})
		}
		next = to + 1
	}
	if next <= last {
		all = append(all, [2]int64{next, last})
	}
	return all
}

// columnScan reads records from columns.
type columnScan struct {
	*Reader
	filter    book.Filter
	want      book.Columns
	last      int64
	corrected map[int64]bool
	texts     *scanner // remembers tags that were parsed
}

func (t *Reader) newColumnScan(ctx context.Context, f book.Filter, want book.Columns, last int64) (*columnScan, error) {
	c := &columnScan{Reader: t, filter: f, want: want, last: last, corrected: map[int64]bool{}, texts: newScanner(0)}
	if !f.InForce {
		return c, nil
	}
	_, err := Collect(ctx, t, "SELECT corrects FROM record WHERE corrects IS NOT NULL AND number <= $1", []any{last}, func(rows *sql.Rows) (struct{}, error) {
		var n int64
		err := unfit(rows.Scan(&n))
		c.corrected[n] = true
		return struct{}{}, err
	})
	return c, err
}

// apart says whether no record of a block can be of the time asked for: it need not be read.
func (c *columnScan) apart(b block) bool {
	return !c.filter.Since.IsZero() && b.until < c.filter.Since.UnixMicro() || !c.filter.Until.IsZero() && b.since >= c.filter.Until.UnixMicro()
}

// suits says whether columns can answer a filter.
func suits(f book.Filter, want book.Columns) bool {
	return f.Part == "" && want&book.CrownColumns == 0
}

// block hands out the picked records of one block, and each one's place in it.
// Nothing was handed out where it gives errGone.
func (c *columnScan) block(ctx context.Context, b block, fn func(at int, r *book.Row) error) error {
	bytes, err := c.parts(ctx, b, column.Names, column.Serials, column.Figures)
	if err != nil {
		return err
	}
	names, err := column.ReadNames(bytes[0])
	if err != nil {
		return gone(err)
	}
	serials, err := column.ReadSerials(bytes[1])
	if err == nil && len(serials) != len(names.All) {
		err = errGone
	}
	if err != nil {
		return gone(err)
	}
	figures, err := column.ReadFigures(bytes[2])
	if err != nil {
		return gone(err)
	}
	tags, picked, err := c.tagsOf(names.Tags)
	if err != nil {
		return gone(err)
	}
	stage, model := pick(names.Stages, c.filter.Stage), pick(names.Models, c.filter.Model)
	var r book.Row
	for i, n := range names.All {
		if c.want&book.FigureColumns != 0 {
			if err := figures.Next(&r.Figures); err != nil {
				return err // its checksum was right: not to be expected
			}
		}
		if !stage[n.Stage] || !model[n.Model] || !picked[n.Tags] || n.Number > c.last || !c.inTime(n.At) ||
			c.filter.Serial != "" && serials[i] != c.filter.Serial || c.corrected[n.Number] {
			continue
		}
		r.Number = n.Number
		if c.want&book.NameColumns != 0 {
			r.Serial, r.Stage, r.At = serials[i], names.Stages[n.Stage], n.Time()
		}
		if c.want&book.TagColumns != 0 {
			r.Tags = tags[n.Tags]
		}
		if c.want&book.TagTextColumn != 0 {
			r.TagText = names.Tags[n.Tags]
		}
		if err := fn(i, &r); err != nil {
			return err
		}
	}
	return nil
}

func (c *columnScan) inTime(at int64) bool {
	return (c.filter.Since.IsZero() || at >= c.filter.Since.UnixMicro()) && (c.filter.Until.IsZero() || at < c.filter.Until.UnixMicro())
}

// pick says of each word whether it is the one wanted; "" wants all.
func pick(words []string, wanted string) []bool {
	ok := make([]bool, len(words))
	for i, w := range words {
		ok[i] = wanted == "" || w == wanted
	}
	return ok
}

// tagsOf parses tags where that is wanted, and says which ones the filter picks.
func (c *columnScan) tagsOf(texts []string) (all []book.Tags, picked []bool, err error) {
	all, picked = make([]book.Tags, len(texts)), make([]bool, len(texts))
	keys := map[book.TagKey]string{}
	for k, v := range c.filter.Tags {
		keys[book.KeyOf(k)] = v
	}
	for i, text := range texts {
		picked[i] = true
		for k, v := range keys {
			has, there := k.In(text)
			picked[i] = picked[i] && there && has == v
		}
		if picked[i] && c.want&book.TagColumns != 0 {
			if all[i], err = c.texts.tagsOf([]byte(text)); err != nil {
				return nil, nil, fmt.Errorf("%w: %w", book.ErrDamaged, err)
			}
		}
	}
	return all, picked, nil
}
