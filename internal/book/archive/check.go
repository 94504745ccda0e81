package archive

import (
	"context"
	"encoding/binary"
	"errors"
	"hash/fnv"
	"math"
	"sort"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// Scope says how much of a book is looked at. Its zero value: every byte, and the
// results that this version has not recalculated yet.
type Scope struct {
	All    bool    // every result, whatever was recalculated before
	New    bool    // neither bytes nor results of what this version recalculated before
	Sample float64 // this share of all results, 0 to 1; 0: no sample
	Seed   string  // picks the sample: the same seed, the same records
	Now    time.Time

	Bytes, Results book.Progress // of reading, and of recalculating
}

// picks reports whether a record's result is to be recalculated. done: this version
// has before.
func (s *Scope) picks(number int64, done bool) bool {
	if s.Sample == 0 {
		return !done
	}
	h := fnv.New64a()
	h.Write(binary.LittleEndian.AppendUint64([]byte(s.Seed), uint64(number)))
	x := h.Sum64() // its high bits differ little between neighbours: mixed as in splitmix64 (Steele, Lea and Flood 2014)
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return float64(x^x>>31) < s.Sample*math.MaxUint64
}

// Checked says whether every record is undamaged and what was derived comes out
// the same, as JSON has it.
type Checked struct {
	OK      bool    `json:"ok"`
	Records int     `json:"records"` // that were looked at
	Notes   Notes   `json:"notes,omitzero"`
	Heard   Heard   `json:"heard,omitzero"`
	Bad     []Fault `json:"bad"`
	Older   int     `json:"older"`  // undamaged, judged by an older version: Rebuild takes them over
	Newer   int     `json:"newer"`  // undamaged, judged by a newer version
	Differ  []Fault `json:"differ"` // those of Older that come out otherwise by this version
	Unread  []Fault `json:"unread"` // undamaged, but their files say nothing to this program

	Recalculated int    `json:"recalculated"`        // now
	Before       int    `json:"recalculated_before"` // not now, but by this version before, with the same result
	LeftOut      int    `json:"left_out"`            // recalculated neither now nor before
	Unlooked     int    `json:"not_looked_at"`       // of Before: their bytes were not read either
	Sample       string `json:"sample,omitempty"`    // the seed that picked the sample

	LastWhole      time.Time `json:"last_whole,omitzero"`       // when a check last found all in order; zero: never
	LastWholeBytes time.Time `json:"last_whole_bytes,omitzero"` // or at least every byte
	NotRemembered  string    `json:"not_remembered,omitempty"`  // why the book does not remember this check
}

// Whole reports whether all was looked at, now or before, and nothing is bad.
func (a *Checked) Whole() bool { return a.OK && a.LeftOut == 0 && a.Unlooked == 0 }

// Check checks the database itself, every record against its checksums, and
// recalculates what scope picks, the newest first. What the version that asks
// derived itself must come out the same; what another version derived is older
// where the judgement has changed since, or where it comes out otherwise now. The
// book remembers what came out the same, so that a check that was stopped goes on
// there; what it found until then is returned with the error.
func Check(ctx context.Context, s book.Store, judge book.Judge, scope Scope) (*Checked, error) {
	a := &Checked{Bad: []Fault{}, Differ: []Fault{}, Unread: []Fault{}}
	if scope.Sample > 0 {
		a.Sample = scope.Seed
	}
	done, m, err := recalculated(ctx, s, judge.Maker())
	if err != nil {
		return nil, err
	}
	if scope.All {
		done = &book.NumberSet{}
		if err := m.excuse(s.Forget(ctx, m.maker)); err != nil {
			return nil, err
		}
	}
	if a.LastWholeBytes, a.LastWhole, err = s.LastWhole(ctx); m.excuse(err) != nil {
		return nil, err
	}
	if !scope.New {
		if err := errors.Join(a.verify(ctx, s), a.checkNotes(ctx, s), a.checkHeard(ctx, s), a.checkColumns(ctx, s)); err != nil {
			return nil, err
		}
	}
	todo, err := a.bytes(ctx, s, judge, &scope, done)
	if err == nil {
		err = a.results(ctx, s, judge, &scope, todo, m)
	}
	if err != nil {
		return a, err
	}
	sort.SliceStable(a.Bad, func(i, j int) bool { return a.Bad[i].Record < a.Bad[j].Record })
	a.OK = len(a.Bad) == 0
	if a.OK && !scope.New && m.why == "" {
		err = m.excuse(s.NoteWhole(ctx, scope.Now, a.Whole()))
	}
	a.NotRemembered = m.why
	return a, err
}

// verify asks the database itself.
func (a *Checked) verify(ctx context.Context, s book.Store) error {
	unsound, err := Unsound(ctx, s)
	a.Bad = append(a.Bad, unsound...)
	return err
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

// checkColumns recounts what the book keeps for charts.
func (a *Checked) checkColumns(ctx context.Context, s book.Store) error {
	c, keeps := s.(book.Columned)
	if !keeps {
		return nil
	}
	bad, err := c.CheckColumns(ctx, nil)
	for _, words := range bad {
		a.Bad = append(a.Bad, Fault{Fault: words + "; ringtrue book rebuild --all packs them again"})
	}
	if errors.Is(err, book.ErrDamaged) {
		return nil // named with the database, or with the record
	}
	return err
}

// bytes looks whether every record is as it was kept, and says which are to be
// recalculated.
func (a *Checked) bytes(ctx context.Context, s book.Store, judge book.Judge, scope *Scope, done *book.NumberSet) (*book.NumberSet, error) {
	skip := &book.NumberSet{}
	if scope.New && scope.Sample == 0 {
		skip = done
		a.Before, a.Unlooked = done.Len(), done.Len()
	}
	todo := &book.NumberSet{}
	bad, err := sweep(ctx, s, skip, scope.Bytes, func(r *book.Record, _ book.Files) Checked {
		return checkBytes(r, judge)
	}, func(n int64, c Checked) {
		a.Records++
		before := done.Has(n)
		switch {
		case len(c.Bad) > 0:
			a.Bad = append(a.Bad, c.Bad...)
		case scope.picks(n, before):
			todo.Add(n)
		default:
			a.Older, a.Newer = a.Older+c.Older, a.Newer+c.Newer
			if before {
				a.Before++
			} else {
				a.LeftOut++
			}
		}
	})
	a.Records += len(bad)
	a.Bad = append(a.Bad, bad...)
	return todo, err
}

// results recalculates records.
func (a *Checked) results(ctx context.Context, s book.Store, judge book.Judge, scope *Scope, todo *book.NumberSet, m *memory) error {
	bad, err := newestFirst(ctx, todo, scope.Results, func(ctx context.Context, number int64) (one Checked, err error) {
		return checkOne(ctx, s, number, judge)
	}, func(n int64, c Checked) error {
		a.Recalculated++
		a.Older, a.Newer = a.Older+c.Older, a.Newer+c.Newer
		a.Bad, a.Differ, a.Unread = append(a.Bad, c.Bad...), append(a.Differ, c.Differ...), append(a.Unread, c.Unread...)
		if len(c.Bad)+len(c.Differ)+len(c.Unread) > 0 {
			return nil // named again the next time
		}
		return m.add(ctx, n)
	})
	a.Bad = append(a.Bad, bad...)
	for _, list := range [][]Fault{a.Differ, a.Unread} {
		sort.SliceStable(list, func(i, j int) bool { return list[i].Record < list[j].Record })
	}
	return errors.Join(err, m.save(ctx))
}

// checkBytes is what was found of a record whose files are as they were kept.
func checkBytes(r *book.Record, judge book.Judge) (c Checked) {
	was := &r.Derived
	switch {
	case was.Program == "":
	case was.Checksum() != r.DerivedChecksum:
		c.Bad = faultIn(r, "its results are damaged; ringtrue book rebuild recalculates them")
	case was.Revision < judge.Revision:
		c.Older = 1
	case was.Revision > judge.Revision:
		c.Newer = 1
	}
	return c
}

// checkOne is what was found of one record, its results recalculated.
func checkOne(ctx context.Context, s book.Store, number int64, judge book.Judge) (c Checked, err error) {
	r, f, err := wholeRecord(ctx, s, number)
	if err != nil {
		return c, err
	}
	if damaged := checkBytes(&r, judge).Bad; len(damaged) > 0 {
		return Checked{Bad: damaged}, nil
	}
	was := &r.Derived
	d, err := derive(ctx, judge, f)
	own := was.Program == judge.Program && was.Revision == judge.Revision
	switch {
	case err != nil && !fileerr.Is(err):
		return c, err
	case err != nil && was.Program == "":
		c.Unread = faultIn(&r, "is saved, but %s", fileerr.OneLine(err))
	case err != nil && own:
		c.Bad = faultIn(&r, "is saved, but its results can't be recalculated: %s", fileerr.OneLine(err))
	case err != nil:
		c.Unread = faultIn(&r, "is left as %s judged it: this version can't read it: %s", was.MakerText(), fileerr.OneLine(err))
	case was.Program == "":
		c.Unread = faultIn(&r, "has no results yet; ringtrue book rebuild works them out")
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
