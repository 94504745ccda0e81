package archive

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// Fault is what is wrong with one record; Record 0 is the book itself.
type Fault struct {
	Record int64  `json:"record,omitempty"`
	Serial string `json:"serial,omitempty"`
	Stage  string `json:"stage,omitempty"`
	Fault  string `json:"fault"`
}

// String is the fault on a line.
func (f Fault) String() string {
	switch {
	case f.Record == 0:
		return f.Fault
	case f.Serial == "":
		return fmt.Sprintf("record %d: %s", f.Record, f.Fault)
	}
	return fmt.Sprintf("record %d (%s): %s", f.Record, strings.TrimRight(f.Serial+" "+f.Stage, " "), f.Fault)
}

// faultIn is a fault of a record that could be read.
func faultIn(r *book.Record, format string, args ...any) []Fault {
	return []Fault{{r.Number, r.Serial, r.Stage, fmt.Sprintf(format, args...)}}
}

// walk calls do for every record on several processors and take, in order of
// numbers, with what each do returned. A record that cannot be read is a fault
// and does not end the walk; an error of take does.
func walk[T any](ctx context.Context, s book.Store, p book.Progress, do func(ctx context.Context, number int64) (T, error), take func(T) error) ([]Fault, error) {
	total, err := s.Count(ctx)
	if err != nil && !errors.Is(err, book.ErrDamaged) {
		return nil, err
	}
	var faults []Fault
	done := 0
	err = book.InOrder(ctx, func(ctx context.Context) iter.Seq2[int64, error] {
		return book.Numbers(ctx, s)
	}, func(ctx context.Context, number int64, err error) (v T, _ error) {
		if err != nil {
			return v, fmt.Errorf("records from here on can't be read: %w", err)
		}
		return do(ctx, number)
	}, func(number int64, v T, err error) error {
		switch {
		case errors.Is(err, book.ErrDamaged):
			faults = append(faults, faultOf(number, err))
		case err != nil:
			return err
		default:
			if err := take(v); err != nil {
				return err
			}
		}
		done++
		p.Tell(done, max(total, done))
		return nil
	})
	return faults, err
}

// recordError is an error that knows which record it is about.
type recordError struct {
	fault Fault
	error
}

func (e recordError) Unwrap() error { return e.error }

func faultOf(number int64, err error) Fault {
	var r recordError
	if errors.As(err, &r) {
		return r.fault
	}
	return Fault{Record: number, Fault: fileerr.OneLine(err)}
}

// ofRecord says which record an error is about.
func ofRecord(r *book.Record, err error) error {
	return recordError{faultIn(r, "%s", fileerr.OneLine(err))[0], err}
}

// wholeRecord reads a record and its files, and checks them against their checksums.
func wholeRecord(ctx context.Context, s book.Store, number int64) (book.Record, book.Files, error) {
	r, err := s.Record(ctx, number)
	if errors.Is(err, book.ErrNotFound) { // pages out of place: the walk met it
		err = fmt.Errorf("%w: its number exists, but the record is missing", book.ErrDamaged)
	}
	if err != nil {
		return r, book.Files{}, err
	}
	f, err := book.WholeFiles(ctx, s, &r)
	if err != nil {
		return r, f, ofRecord(&r, err)
	}
	return r, f, nil
}

// derive works out what files say. Whatever the files themselves are to blame
// for is a fault of a file.
func derive(ctx context.Context, judge book.Judge, f book.Files) (book.Derived, error) {
	d, err := judge.Derive(ctx, f)
	if err != nil && ctx.Err() == nil && !fileerr.Is(err) {
		err = fileerr.Fault{File: f.Neck.Name, Msg: err.Error()}
	}
	return d, err
}
