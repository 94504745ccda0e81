package tables

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/book"
)

// A scan of many records is cut into stretches of numbers, which several
// connections read side by side.
const (
	minStretch   = 4096 // numbers; fewer are not worth a connection
	maxStretches = 32   // numbers may lie far apart: so many questions at most
	maxReaders   = 4
)

// Scan is book.Store's. Records added while it runs are not seen. Where columns
// are there and will do, they are read instead of the records, in order of numbers.
func (t *Reader) Scan(ctx context.Context, f book.Filter, want book.Columns, fn func(*book.Row) error) error {
	last, err := t.Last(ctx)
	if err != nil {
		return err
	}
	s := sweep{Reader: t, filter: f, want: want, last: last, fn: fn}
	if !suits(f, want) {
		return s.run(ctx, 0, last)
	}
	c, err := t.newColumnScan(ctx, f, want, last)
	if err != nil {
		return err
	}
	blocks, err := t.blocks(ctx)
	if err != nil {
		return err
	}
	var read []block
	for _, b := range blocks {
		if c.apart(b) {
			read = append(read, b)
			continue
		}
		switch err := c.block(ctx, b, func(_ int, r *book.Row) error { return fn(r) }); {
		case err == nil:
			read = append(read, b)
		case !errors.Is(err, errGone):
			return err
		}
	}
	for _, g := range gaps(read, last) {
		if err := s.run(ctx, g[0], g[1]); err != nil {
			return err
		}
	}
	return nil
}

// sweep is one scan.
type sweep struct {
	*Reader
	filter book.Filter
	want   book.Columns
	last   int64

	mu     sync.Mutex // guards what follows
	fn     func(*book.Row) error
	failed error // what fn gave: it is not called again
}

// run reads the records of some numbers.
func (s *sweep) run(ctx context.Context, from, to int64) error {
	long := max(minStretch, (to-from)/maxStretches+1)
	stretches := (to-from)/long + 1
	readers := int(min(stretches, int64(runtime.GOMAXPROCS(0)), maxReaders))
	if readers < 2 {
		return s.result(ctx, s.read(ctx, from, to))
	}
	all, inner := errgroup.WithContext(ctx)
	all.SetLimit(readers)
	for at := from; at <= to && inner.Err() == nil; at += long {
		all.Go(func() error { return s.read(inner, at, min(to, at+long-1)) })
	}
	return s.result(ctx, all.Wait())
}

// result is the caller's own cancel where that is why it failed.
func (s *sweep) result(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// read reads one stretch of numbers.
func (s *sweep) read(ctx context.Context, from, to int64) error {
	cond, args := s.where(s.filter, s.last)
	args = append(args, from, to)
	scan := newScanner(s.want)
	query := "SELECT " + scan.columns + fmt.Sprintf(" FROM record r WHERE r.number BETWEEN $%d AND $%d", len(args)-1, len(args))
	if cond != "" {
		query += " AND " + cond
	}
	var stopped error // by the callback: no fault of the database
	handed, again := false, false
	err := s.Try(ctx, func(ctx context.Context) error {
		if again = handed; again { // rows already handed out cannot be taken back
			return nil
		}
		rows, err := s.DB.QueryContext(ctx, query, args...)
		if err != nil {
			return s.Wrap(err)
		}
		defer rows.Close()
		for rows.Next() {
			row, err := scan.next(rows)
			if err != nil {
				return s.Wrap(err)
			}
			handed = true
			if stopped = s.hand(row); stopped != nil {
				return nil
			}
		}
		return s.Wrap(rows.Err())
	})
	switch {
	case stopped != nil:
		return stopped
	case again:
		return fmt.Errorf("%w in the middle of a list; ask again", book.ErrLost)
	}
	return err
}

// hand hands out one row at a time.
func (s *sweep) hand(row *book.Row) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.failed != nil {
		return s.failed
	}
	s.failed = s.fn(row)
	return s.failed
}
