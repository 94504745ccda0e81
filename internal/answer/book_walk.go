package answer

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// Progress is told how much of a long work is done. It may be nil.
type Progress func(done, total int)

func (p Progress) tell(done, total int) {
	if p != nil {
		p(done, total)
	}
}

// BookFault is what is wrong with one record; Record 0 is the book itself.
type BookFault struct {
	Record int64  `json:"record,omitempty"`
	Serial string `json:"serial,omitempty"`
	Stage  string `json:"stage,omitempty"`
	Fault  string `json:"fault"`
}

// String is the fault on a line.
func (f BookFault) String() string {
	switch {
	case f.Record == 0:
		return f.Fault
	case f.Serial == "":
		return fmt.Sprintf("record %d: %s", f.Record, f.Fault)
	}
	return fmt.Sprintf("record %d (%s %s): %s", f.Record, f.Serial, f.Stage, f.Fault)
}

// walk calls do for every record on several processors and take, in order of
// numbers, with what each do returned. A record that cannot be read is a fault
// and does not end the walk; an error of take does.
func walk[T any](ctx context.Context, s book.Store, p Progress, do func(ctx context.Context, number int64) (T, error), take func(T) error) ([]BookFault, error) {
	ctx, cancel := context.WithCancel(ctx)
	var running sync.WaitGroup
	defer func() { // nobody reads the book once this has returned
		cancel()
		running.Wait()
	}()
	total, err := s.Count(ctx)
	if err != nil && !errors.Is(err, book.ErrDamaged) {
		return nil, err
	}
	pending := make(chan chan result[T], 2*runtime.GOMAXPROCS(0))
	running.Go(func() {
		defer close(pending)
		for number, err := range book.Numbers(ctx, s) {
			answer := make(chan result[T], 1)
			select {
			case pending <- answer:
			case <-ctx.Done():
				return
			}
			if err != nil {
				answer <- result[T]{number: number, err: fmt.Errorf("what is kept from here on cannot be read: %w", err)}
				continue
			}
			running.Go(func() {
				v, err := do(ctx, number)
				answer <- result[T]{number, v, err}
			})
		}
	})
	var faults []BookFault
	done := 0
	for answer := range pending {
		r := <-answer
		switch {
		case errors.Is(r.err, book.ErrDamaged):
			faults = append(faults, faultOf(r.number, r.err))
		case r.err != nil:
			return faults, r.err
		default:
			if err := take(r.value); err != nil {
				return faults, err
			}
		}
		done++
		p.tell(done, max(total, done))
	}
	return faults, ctx.Err()
}

type result[T any] struct {
	number int64
	value  T
	err    error
}

// recordError is an error that knows which record it is about.
type recordError struct {
	fault BookFault
	error
}

func (e recordError) Unwrap() error { return e.error }

func faultOf(number int64, err error) BookFault {
	var r recordError
	if errors.As(err, &r) {
		return r.fault
	}
	return BookFault{Record: number, Fault: oneLine(err)}
}

// ofRecord says which record an error is about.
func ofRecord(r *book.Record, err error) error {
	return recordError{BookFault{Record: r.Number, Serial: r.Serial, Stage: r.Stage, Fault: oneLine(err)}, err}
}

// wholeRecord reads a record and its files, and checks them against their checksums.
func wholeRecord(ctx context.Context, s book.Store, number int64) (book.Record, book.Files, error) {
	r, err := s.Record(ctx, number)
	if err != nil {
		return r, book.Files{}, err
	}
	f, err := wholeFiles(ctx, s, &r)
	if err != nil {
		return r, f, ofRecord(&r, err)
	}
	return r, f, nil
}

// oneLine is an error on one line: of a file's faults the first.
func oneLine(err error) string {
	var l fileerr.List
	switch {
	case !errors.As(err, &l) || len(l) == 0:
		return strings.ReplaceAll(err.Error(), "\n", "; ")
	case len(l) == 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0], len(l)-1)
}

// damageIn turns a word of damage into a line about it; any other error stays.
func damageIn(err error) ([]string, error) {
	if errors.Is(err, book.ErrDamaged) {
		return []string{err.Error()}, nil
	}
	return nil, err
}
