package archive

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"ringtrue/internal/book"
)

// sweep calls do for every record with its files, once both are found to be as they
// were kept, and take, in order of numbers, with what do returned. A stretch of
// numbers is read at once, several side by side. What is damaged is a fault and
// does not end the sweep. Numbers of skip are left out.
func sweep[T any](ctx context.Context, s book.Store, skip *book.NumberSet, p book.Progress,
	do func(*book.Record, book.Files) T, take func(number int64, v T)) ([]Fault, error) {
	last, total, err := extent(ctx, s, skip)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	done := 0
	err = book.InOrder(ctx, func(ctx context.Context) iter.Seq2[int64, error] {
		return book.Stretches(ctx, s)
	}, func(ctx context.Context, from int64, err error) (stretch[T], error) {
		if err != nil {
			return stretch[T]{}, fmt.Errorf("records from here on can't be read: %w", err)
		}
		to, some := min(book.StretchEnd(from), last), true
		if from, to, some = skip.Missing(from, to); !some {
			return stretch[T]{}, nil
		}
		return readStretch(ctx, s, from, to, skip.Has, do)
	}, func(from int64, x stretch[T], err error) error {
		switch {
		case errors.Is(err, book.ErrDamaged):
			faults = append(faults, faultOf(from, err))
			done++
		case err != nil:
			return err
		}
		for i, n := range x.numbers {
			take(n, x.values[i])
		}
		faults = append(faults, x.faults...)
		done += len(x.numbers) + len(x.faults)
		p.Tell(done, max(total, done))
		return nil
	})
	return faults, err
}

// extent is the last number to look at and how many records there are. Of a book
// whose damage hides it, it is every number. With numbers left out they are not
// counted.
func extent(ctx context.Context, s book.Store, skip *book.NumberSet) (last int64, total int, err error) {
	last, err = s.Last(ctx)
	switch {
	case errors.Is(err, book.ErrDamaged):
		last = 1<<63 - 1
	case err != nil:
		return 0, 0, err
	}
	if skip.Len() > 0 {
		return last, 0, nil
	}
	total, err = s.Count(ctx)
	if errors.Is(err, book.ErrDamaged) {
		err = nil
	}
	return last, total, err
}

// stretch is what was found in one.
type stretch[T any] struct {
	numbers []int64
	values  []T
	faults  []Fault
}

// add looks at one record.
func (x *stretch[T]) add(r *book.Record, f book.Files, whole error, do func(*book.Record, book.Files) T) {
	if whole != nil {
		x.faults = append(x.faults, faultOf(r.Number, ofRecord(r, whole)))
		return
	}
	x.numbers = append(x.numbers, r.Number)
	x.values = append(x.values, do(r, f))
}

// readStretch reads a stretch at once, and record by record where that fails. Those
// skipped are left out.
func readStretch[T any](ctx context.Context, s book.Store, from, to int64, skipped func(int64) bool, do func(*book.Record, book.Files) T) (x stretch[T], err error) {
	err = s.Stretch(ctx, from, to, func(r *book.Record, f book.Files) error {
		if !skipped(r.Number) {
			x.add(r, f, book.Whole(r, f), do)
		}
		return ctx.Err()
	})
	if !errors.Is(err, book.ErrDamaged) && !errors.Is(err, book.ErrLost) {
		return x, err
	}
	x = stretch[T]{}
	for n := from; n <= to && ctx.Err() == nil; n++ {
		if skipped(n) {
			continue
		}
		r, f, err := wholeRecord(ctx, s, n)
		switch {
		case err == nil:
			x.add(&r, f, nil, do)
		case errors.Is(err, book.ErrDamaged):
			x.faults = append(x.faults, faultOf(n, err))
		case !errors.Is(err, book.ErrNotFound):
			return x, err
		}
	}
	return x, ctx.Err()
}

// newestFirst calls do for the records of a set on several processors, those with
// the highest numbers first, and take with what each returned, in that order.
// A record that cannot be read is a fault; an error of take ends it.
func newestFirst[T any](ctx context.Context, todo *book.NumberSet, p book.Progress,
	do func(ctx context.Context, number int64) (T, error), take func(number int64, v T) error) ([]Fault, error) {
	total, done := todo.Len(), 0
	var faults []Fault
	err := book.InOrder(ctx, func(context.Context) iter.Seq2[int64, struct{}] {
		return func(yield func(int64, struct{}) bool) {
			for n := range todo.Down() {
				if !yield(n, struct{}{}) {
					return
				}
			}
		}
	}, func(ctx context.Context, n int64, _ struct{}) (T, error) {
		return do(ctx, n)
	}, func(n int64, v T, err error) error {
		switch {
		case errors.Is(err, book.ErrDamaged):
			faults = append(faults, faultOf(n, err))
		case err != nil:
			return err
		default:
			if err := take(n, v); err != nil {
				return err
			}
		}
		done++
		p.Tell(done, total)
		return nil
	})
	return faults, err
}

// memory is what a run adds to what a maker has recalculated: a batch at a time, so
// that a run that is stopped loses little. Where the book cannot remember, the run
// goes on without.
type memory struct {
	store book.Store
	maker string
	fresh book.NumberSet
	count int
	why   string // it does not remember
}

// memoryBatch is how many results are remembered at once: some seconds' work.
const memoryBatch = 1000

// recalculated is what was recalculated before, with the memory to go on from there.
func recalculated(ctx context.Context, s book.Store, maker string) (*book.NumberSet, *memory, error) {
	m := &memory{store: s, maker: maker}
	done, err := s.Recalculated(ctx, maker)
	if err := m.excuse(err); err != nil {
		return nil, nil, err
	}
	if done == nil {
		done = &book.NumberSet{}
	}
	return done, m, nil
}

// excuse keeps in words why nothing is remembered, where the book is to blame; a
// check goes on then.
func (m *memory) excuse(err error) error {
	for _, known := range []error{book.ErrReadOnly, book.ErrFull, book.ErrBusy, book.ErrDamaged} {
		if errors.Is(err, known) {
			m.why = known.Error()
			return nil
		}
	}
	return err
}

func (m *memory) add(ctx context.Context, n int64) error {
	if m.why != "" {
		return nil
	}
	m.fresh.Add(n)
	if m.count++; m.count < memoryBatch {
		return nil
	}
	return m.save(ctx)
}

// savePatience is how long a run that is stopped may still take to save.
const savePatience = 150 * time.Millisecond

// save remembers what has come together, also of a run that is stopped.
func (m *memory) save(ctx context.Context) error {
	if m.count == 0 {
		return nil
	}
	ctx, end := lastly(ctx)
	defer end()
	err := m.store.Remember(ctx, m.maker, &m.fresh)
	m.fresh, m.count = book.NumberSet{}, 0
	return m.excuse(err)
}

// lastly is a context for what is saved at the end, which a stopped run has little
// time for.
func lastly(ctx context.Context) (context.Context, context.CancelFunc) {
	if ctx.Err() == nil {
		return ctx, func() {}
	}
	return context.WithTimeout(context.WithoutCancel(ctx), savePatience)
}
