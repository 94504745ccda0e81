package tables

import (
	"context"
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

// Scan is book.Store's. Records added while it runs are not seen.
func (t *Reader) Scan(ctx context.Context, f book.Filter, want book.Columns, fn func(*book.Row) error) error {
	last, err := t.Last(ctx)
	if err != nil {
		return err
	}
	s := sweep{Reader: t, filter: f, want: want, last: last, fn: fn}
	return s.run(ctx)
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

func (s *sweep) run(ctx context.Context) error {
	long := max(minStretch, s.last/maxStretches+1)
	stretches := s.last/long + 1
	readers := int(min(stretches, int64(runtime.GOMAXPROCS(0)), maxReaders))
	if readers < 2 {
		return s.result(ctx, s.read(ctx, 0, s.last))
	}
	all, inner := errgroup.WithContext(ctx)
	all.SetLimit(readers)
	for k := int64(0); k < stretches && inner.Err() == nil; k++ {
		all.Go(func() error { return s.read(inner, k*long, min(s.last, k*long+long-1)) })
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
