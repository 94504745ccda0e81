package archive

import (
	"context"
	"errors"
	"iter"
	"maps"
	"slices"

	"ringtrue/internal/book"
)

// monthForm is how a month is written.
const monthForm = "2006-01"

// Months calls take for every whole record, month by month of when it was read
// (UTC), the earliest first, and in each month by numbers. What is derived of a
// record, if damaged, is left out as if nothing were; a damaged record is a fault.
// Memory: that of some stretches of records, and a bit a record.
func Months(ctx context.Context, s book.Store, p book.Progress, take func(month string, r *book.Record) error) ([]Fault, error) {
	byMonth, total, err := numbersByMonth(ctx, s)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	done := 0
	for _, month := range slices.Sorted(maps.Keys(byMonth)) {
		only := byMonth[month]
		err := book.InOrder(ctx, func(context.Context) iter.Seq2[int64, struct{}] {
			return stretchesOf(only)
		}, func(ctx context.Context, from int64, _ struct{}) (stretch[*book.Record], error) {
			return readStretch(ctx, s, from, book.StretchEnd(from), func(n int64) bool { return !only.Has(n) }, kept)
		}, func(_ int64, x stretch[*book.Record], err error) error {
			if err != nil {
				return err
			}
			for _, r := range x.values {
				if err := take(month, r); err != nil {
					return err
				}
			}
			faults = append(faults, x.faults...)
			done += len(x.values) + len(x.faults)
			p.Tell(done, total)
			return nil
		})
		if err != nil {
			return faults, err
		}
	}
	slices.SortStableFunc(faults, func(a, b Fault) int { return int(a.Record - b.Record) })
	return faults, nil
}

// kept is a record to be passed on.
func kept(r *book.Record, _ book.Files) *book.Record {
	one := *r
	if !soundly(r) {
		one.Derived = book.Derived{}
	}
	return &one
}

// numbersByMonth says which records are of which month, and how many there are. Those
// whose row a scan cannot read are found by their numbers; of them the month says nothing.
func numbersByMonth(ctx context.Context, s book.Store) (map[string]*book.NumberSet, int, error) {
	byMonth, total := map[string]*book.NumberSet{}, 0
	add := func(month string, n int64) {
		if byMonth[month] == nil {
			byMonth[month] = &book.NumberSet{}
		}
		byMonth[month].Add(n)
		total++
	}
	err := s.Scan(ctx, book.Filter{}, book.NameColumns, func(r *book.Row) error {
		add(r.At.UTC().Format(monthForm), r.Number)
		return nil
	})
	if !errors.Is(err, book.ErrDamaged) {
		return byMonth, total, err
	}
	clear(byMonth)
	total = 0
	for n, err := range book.Numbers(ctx, s) {
		var r book.Record
		if err == nil {
			r, err = s.Record(ctx, n)
		}
		switch {
		case err == nil:
			add(r.At().UTC().Format(monthForm), n)
		case errors.Is(err, book.ErrDamaged):
			add("", n)
		default:
			return nil, 0, err
		}
	}
	return byMonth, total, ctx.Err()
}

// stretchesOf gives the first number of each stretch that a set has one in.
func stretchesOf(only *book.NumberSet) iter.Seq2[int64, struct{}] {
	return func(yield func(int64, struct{}) bool) {
		for block := range only.Blocks() {
			first := block * book.BlockNumbers
			for from := first; from < first+book.BlockNumbers; from += book.StretchNumbers {
				if only.HasBetween(from, book.StretchEnd(from)) && !yield(from, struct{}{}) {
					return
				}
			}
		}
	}
}
