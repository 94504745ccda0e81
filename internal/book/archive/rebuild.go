package archive

import (
	"context"
	"errors"
	"sort"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// Rebuilt says what was worked out anew, as JSON has it.
type Rebuilt struct {
	Records int     `json:"records"`
	Changed int     `json:"changed"` // whose values come out otherwise than they stood
	Program string  `json:"program"` // the version that all are worked out by now
	Unread  []Fault `json:"unread"`  // kept as they were: their files say nothing to this program
	Bad     []Fault `json:"bad"`     // damaged, and left alone

	Recalculated int `json:"recalculated"` // of Records
	UpToDate     int `json:"up_to_date"`   // this version recalculated them before, and they are whole
}

// Rebuild recalculates what is derived of every record that another version
// derived, that is damaged, or of which this version does not know yet that the same
// comes out: with scope.All of every record. The newest come first. What is done is saved a batch at a time, so that one that was stopped goes
// on there; what it did until then is returned with the error.
func Rebuild(ctx context.Context, s book.Store, judge book.Judge, scope Scope) (*Rebuilt, error) {
	a := &Rebuilt{Program: judge.Program, Unread: []Fault{}, Bad: []Fault{}}
	done, m, err := recalculated(ctx, s, judge.Maker())
	if err != nil {
		return nil, err
	}
	todo := &book.NumberSet{}
	bad, err := sweep(ctx, s, &book.NumberSet{}, scope.Bytes, func(r *book.Record, _ book.Files) bool {
		return scope.All || !soundly(r) || r.Derived.Maker() != judge.Maker()
	}, func(n int64, stale bool) {
		a.Records++
		if stale || !done.Has(n) {
			todo.Add(n)
		} else {
			a.UpToDate++
		}
	})
	a.Bad = append(a.Bad, bad...)
	if err != nil {
		return a, err
	}
	batch := rederiving{store: s, memory: m}
	bad, err = newestFirst(ctx, todo, scope.Results, func(ctx context.Context, number int64) (rederived, error) {
		return rederiveOne(ctx, s, number, judge)
	}, func(_ int64, x rederived) error {
		if x.unread != nil {
			a.Unread = append(a.Unread, faultIn(&x.record, "%s", fileerr.OneLine(x.unread))...)
			return nil
		}
		a.Recalculated++
		if !soundly(&x.record) || x.record.Derived.Differs(&x.now) != "" {
			a.Changed++
		}
		return batch.add(ctx, &x)
	})
	err = errors.Join(err, batch.save(ctx))
	a.Bad = append(append(a.Bad, bad...), batch.bad...)
	if err == nil {
		var unsound []Fault
		unsound, err = Unsound(ctx, s)
		a.Bad = append(a.Bad, unsound...)
	}
	sort.SliceStable(a.Bad, func(i, j int) bool { return a.Bad[i].Record < a.Bad[j].Record })
	sort.SliceStable(a.Unread, func(i, j int) bool { return a.Unread[i].Record < a.Unread[j].Record })
	if err == nil {
		err = foldAgain(ctx, s)
	}
	return a, err
}

// foldAgain packs the columns of records that were changed. Without them charts are
// slower, so a book that cannot take them is no failure.
func foldAgain(ctx context.Context, s book.Store) error {
	if c, keeps := s.(book.Columned); keeps {
		if _, err := c.Fold(ctx); ctx.Err() != nil {
			return err
		}
	}
	return nil
}

// soundly reports whether something was derived of a record and is as it was kept.
func soundly(r *book.Record) bool {
	return r.Derived.Program != "" && r.Derived.Checksum() == r.DerivedChecksum
}

// rederived is one record, worked out anew.
type rederived struct {
	record book.Record
	now    book.Derived
	unread error // by this program
}

func rederiveOne(ctx context.Context, s book.Store, number int64, judge book.Judge) (rederived, error) {
	r, f, err := wholeRecord(ctx, s, number)
	if err != nil {
		return rederived{}, err
	}
	d, err := derive(ctx, judge, f)
	if fileerr.Is(err) {
		return rederived{record: r, unread: err}, nil
	}
	return rederived{record: r, now: d}, err
}

// rederiving saves what was derived anew.
type rederiving struct {
	store   book.Store
	changes []book.Rederived
	memory  *memory
	bad     []Fault // whose results could not be written for damage
}

// rederiveBatch is how many records are saved at once: a slow disk takes some
// hundredths of a second to.
const rederiveBatch = 100

func (b *rederiving) add(ctx context.Context, x *rederived) error {
	if soundly(&x.record) && x.record.DerivedChecksum == x.now.Checksum() {
		return b.memory.add(ctx, x.record.Number)
	}
	b.changes = append(b.changes, book.Rederived{Number: x.record.Number, Derived: &x.now})
	if len(b.changes) < rederiveBatch {
		return nil
	}
	return b.write(ctx)
}

// write saves the changes, and remembers them after: a change undoes that.
func (b *rederiving) write(ctx context.Context) error {
	if len(b.changes) == 0 {
		return nil
	}
	soon, end := lastly(ctx)
	defer end()
	changes := b.changes
	b.changes = nil
	changes, err := b.keep(soon, changes)
	if err != nil {
		return err
	}
	for _, c := range changes {
		if err := b.memory.add(ctx, c.Number); err != nil {
			return err
		}
	}
	return nil
}

// keep saves changes at once or, where a place cannot be written for damage, one by
// one, and says which were saved: other places can be written.
func (b *rederiving) keep(ctx context.Context, changes []book.Rederived) (kept []book.Rederived, err error) {
	err = b.store.Rederive(ctx, changes...)
	if !errors.Is(err, book.ErrDamaged) {
		return changes, err
	}
	for _, c := range changes {
		err := b.store.Rederive(ctx, c)
		switch {
		case errors.Is(err, book.ErrDamaged):
			b.bad = append(b.bad, Fault{Record: c.Number, Fault: fileerr.OneLine(err)})
		case err != nil:
			return nil, err
		default:
			kept = append(kept, c)
		}
	}
	return kept, nil
}

// save saves what is left.
func (b *rederiving) save(ctx context.Context) error {
	return errors.Join(b.write(ctx), b.memory.save(ctx))
}
