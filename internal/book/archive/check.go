package archive

import (
	"context"
	"errors"
	"sort"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// Checked says whether every record is undamaged and what was derived comes out
// the same, as JSON has it.
type Checked struct {
	OK      bool    `json:"ok"`
	Records int     `json:"records"` // that could be read
	Bad     []Fault `json:"bad"`
	Older   int     `json:"older"`  // undamaged, judged by an older version: Rebuild takes them over
	Newer   int     `json:"newer"`  // undamaged, judged by a newer version
	Differ  []Fault `json:"differ"` // those of Older that come out otherwise by this version
	Unread  []Fault `json:"unread"` // undamaged, but their files say nothing to this program
}

// Check checks the database itself, every record against its checksums, and
// works out again what was derived. What the version that asks derived itself
// must come out the same; what another version derived is older where the
// judgement has changed since, or where it comes out otherwise now.
func Check(ctx context.Context, s book.Store, judge book.Judge, p book.Progress) (*Checked, error) {
	a := &Checked{Bad: []Fault{}, Differ: []Fault{}, Unread: []Fault{}}
	unsound, err := Unsound(ctx, s)
	if err != nil {
		return nil, err
	}
	a.Bad = append(a.Bad, unsound...)
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (Checked, error) {
		return checkOne(ctx, s, number, judge)
	}, func(c Checked) error {
		a.Records++
		a.Older, a.Newer = a.Older+c.Older, a.Newer+c.Newer
		a.Bad, a.Differ, a.Unread = append(a.Bad, c.Bad...), append(a.Differ, c.Differ...), append(a.Unread, c.Unread...)
		return nil
	})
	if err != nil {
		return nil, err
	}
	a.Records += len(bad)
	a.Bad = append(a.Bad, bad...)
	sort.SliceStable(a.Bad, func(i, j int) bool { return a.Bad[i].Record < a.Bad[j].Record })
	a.OK = len(a.Bad) == 0
	return a, nil
}

// Unsound is what the database itself finds wrong with the book.
func Unsound(ctx context.Context, s book.Store) (faults []Fault, err error) {
	lines, err := s.Verify(ctx)
	if errors.Is(err, book.ErrDamaged) {
		lines, err = []string{err.Error()}, nil
	}
	for _, l := range lines {
		faults = append(faults, Fault{Fault: "the database: " + l})
	}
	return faults, err
}

// checkOne is what was found of one record.
func checkOne(ctx context.Context, s book.Store, number int64, judge book.Judge) (c Checked, err error) {
	r, f, err := wholeRecord(ctx, s, number)
	if err != nil {
		return c, err
	}
	was := &r.Derived
	if was.Program != "" && was.Checksum() != r.DerivedChecksum {
		c.Bad = faultIn(&r, "its results are damaged; ringtrue book rebuild recalculates them")
		return c, nil
	}
	d, err := derive(ctx, judge, f)
	own := was.Program == judge.Program && was.Revision == judge.Revision
	switch {
	case err != nil && !fileerr.Is(err):
		return c, err
	case err != nil && was.Program == "":
		c.Unread = faultIn(&r, "is kept, but %s", fileerr.OneLine(err))
	case err != nil && own:
		c.Bad = faultIn(&r, "is kept, but its results cannot be worked out again: %s", fileerr.OneLine(err))
	case err != nil:
		c.Unread = faultIn(&r, "is kept as %s judged it, but this version cannot read it: %s", was.MakerText(), fileerr.OneLine(err))
	case was.Program == "":
		c.Unread = faultIn(&r, "nothing was worked out yet; ringtrue book rebuild does it")
	default:
		c.compare(&r, &d, own)
	}
	return c, nil
}

// compare looks at what was derived and what comes out now; own: this version
// derived both.
func (c *Checked) compare(r *book.Record, now *book.Derived, own bool) {
	was, diff := &r.Derived, r.Derived.Differs(now)
	switch {
	case was.Revision > now.Revision:
		c.Newer = 1
		return
	case was.Revision < now.Revision || diff != "" && !own:
		c.Older = 1
	}
	switch {
	case diff == "":
	case own:
		c.Bad = faultIn(r, "this version judged it and now gets another result: %s; ringtrue book rebuild takes the new one", diff)
	default:
		c.Differ = faultIn(r, "%s judged it: %s", was.MakerText(), diff)
	}
}

// Rebuilt says what was worked out anew, as JSON has it.
type Rebuilt struct {
	Records int     `json:"records"`
	Changed int     `json:"changed"` // whose values come out otherwise than they stood
	Program string  `json:"program"` // the version that all are worked out by now
	Unread  []Fault `json:"unread"`  // kept as they were: their files say nothing to this program
	Bad     []Fault `json:"bad"`     // damaged, and left alone
}

// Rebuild works out anew what is derived of every record.
func Rebuild(ctx context.Context, s book.Store, judge book.Judge, p book.Progress) (*Rebuilt, error) {
	a := &Rebuilt{Program: judge.Program, Unread: []Fault{}, Bad: []Fault{}}
	type one struct {
		record book.Record
		now    book.Derived
		unread error // by this program
	}
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (one, error) {
		r, f, err := wholeRecord(ctx, s, number)
		if err != nil {
			return one{}, err
		}
		d, err := derive(ctx, judge, f)
		if fileerr.Is(err) {
			return one{record: r, unread: err}, nil
		}
		return one{record: r, now: d}, err
	}, func(x one) error {
		a.Records++
		if x.unread != nil {
			a.Unread = append(a.Unread, faultIn(&x.record, "%s", fileerr.OneLine(x.unread))...)
			return nil
		}
		was := &x.record.Derived
		sound := was.Program != "" && was.Checksum() == x.record.DerivedChecksum
		if !sound || was.Differs(&x.now) != "" {
			a.Changed++
		}
		if sound && x.record.DerivedChecksum == x.now.Checksum() {
			return nil
		}
		err := s.Rederive(ctx, x.record.Number, &x.now)
		if errors.Is(err, book.ErrDamaged) { // its place cannot be written; others' can
			a.Bad = append(a.Bad, faultIn(&x.record, "%s", fileerr.OneLine(err))...)
			return nil
		}
		return err
	})
	a.Bad = append(a.Bad, bad...)
	if err == nil {
		var unsound []Fault
		unsound, err = Unsound(ctx, s)
		a.Bad = append(a.Bad, unsound...)
	}
	return a, err
}
