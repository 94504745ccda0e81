package answer

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// BookCheckAnswer says whether every record is undamaged and what was derived
// comes out the same.
type BookCheckAnswer struct {
	OK      bool        `json:"ok"`
	Records int         `json:"records"` // that could be read
	Bad     []BookFault `json:"bad"`
	Older   int         `json:"older"`  // undamaged, judged by an older version: BookRebuild takes them over
	Newer   int         `json:"newer"`  // undamaged, judged by a newer version
	Differ  []BookFault `json:"differ"` // those of Older that come out otherwise by this version
	Unread  []BookFault `json:"unread"` // undamaged, but their files say nothing to this program
}

// checked is what was found of one record.
type checked struct {
	bad, differ, unread *BookFault
	older, newer        bool
}

// BookCheck checks the database itself, every record against its checksums, and
// works out again what was derived. What the version that asks, program, derived
// itself must come out the same; what another version derived is older where
// the judgement has changed since, or where it comes out otherwise now.
func BookCheck(ctx context.Context, s book.Store, program string, p Progress) (*BookCheckAnswer, error) {
	a := &BookCheckAnswer{Bad: []BookFault{}, Differ: []BookFault{}, Unread: []BookFault{}}
	lines, err := s.Verify(ctx)
	if err != nil {
		if lines, err = damageIn(err); err != nil {
			return nil, err
		}
	}
	for _, l := range lines {
		a.Bad = append(a.Bad, BookFault{Fault: "the database: " + l})
	}
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (checked, error) {
		return checkOne(ctx, s, number, program)
	}, func(c checked) error {
		a.take(c)
		return nil
	})
	if err != nil {
		return nil, err
	}
	a.Records += len(bad)
	a.Bad = append(a.Bad, bad...)
	slices.SortStableFunc(a.Bad, func(x, y BookFault) int { return cmp.Compare(x.Record, y.Record) })
	a.OK = len(a.Bad) == 0
	return a, nil
}

// take adds what was found of one record.
func (a *BookCheckAnswer) take(c checked) {
	a.Records++
	if c.older {
		a.Older++
	}
	if c.newer {
		a.Newer++
	}
	for _, one := range []struct {
		fault *BookFault
		list  *[]BookFault
	}{{c.bad, &a.Bad}, {c.differ, &a.Differ}, {c.unread, &a.Unread}} {
		if one.fault != nil {
			*one.list = append(*one.list, *one.fault)
		}
	}
}

func checkOne(ctx context.Context, s book.Store, number int64, program string) (c checked, err error) {
	r, f, err := wholeRecord(ctx, s, number)
	if err != nil {
		return c, err
	}
	fault := func(format string, args ...any) *BookFault {
		return &BookFault{Record: r.Number, Serial: r.Serial, Stage: r.Stage, Fault: fmt.Sprintf(format, args...)}
	}
	was := &r.Derived
	if was.Program != "" && was.Seal() != r.DerivedSeal {
		c.bad = fault("its results are damaged; ringtrue book rebuild recalculates them")
		return c, nil
	}
	d, err := derive(ctx, f, program)
	own := was.Program == program && was.Revision == judgementRevision
	switch {
	case err != nil && !fileerr.Is(err):
		return c, err
	case err != nil && was.Program == "":
		c.unread = fault("is kept, but %s", oneLine(err))
	case err != nil && own:
		c.bad = fault("is kept, but its results cannot be worked out again: %s", oneLine(err))
	case err != nil:
		c.unread = fault("is kept as %s judged it, but this version cannot read it: %s", was.MakerText(), oneLine(err))
	case was.Program == "":
		c.unread = fault("nothing was worked out yet; ringtrue book rebuild does it")
	default:
		diff := was.Differs(&d)
		c.newer = was.Revision > d.Revision
		c.older = was.Revision < d.Revision || was.Revision == d.Revision && diff != "" && !own
		switch {
		case diff == "" || c.newer:
		case own:
			c.bad = fault("this version judged it and now gets another result: %s; ringtrue book rebuild takes the new one", diff)
		default:
			c.differ = fault("%s judged it: %s", was.MakerText(), diff)
		}
	}
	return c, nil
}

// derive works out what files say. Whatever the files themselves are to blame
// for is a fault of a file.
func derive(ctx context.Context, f book.Files, program string) (book.Derived, error) {
	j, err := JudgeFiles(ctx, f)
	if err == nil {
		var d book.Derived
		if d, err = book.Derive(j, program); err == nil {
			return d, nil
		}
	}
	if ctx.Err() == nil && !fileerr.Is(err) {
		err = fileerr.Fault{File: f.Neck.Name, Msg: err.Error()}
	}
	return book.Derived{}, err
}

// BookRebuildAnswer says what was worked out anew.
type BookRebuildAnswer struct {
	Records int         `json:"records"`
	Changed int         `json:"changed"` // whose values come out otherwise than they stood
	Program string      `json:"program"` // the version that all are worked out by now
	Unread  []BookFault `json:"unread"`  // kept as they were: their files say nothing to this program
	Bad     []BookFault `json:"bad"`     // damaged, and left alone
}

// rebuilt is what came out of one record.
type rebuilt struct {
	number  int64
	derived *book.Derived // nil: leave it
	changed bool
	unread  *BookFault
}

// BookRebuild works out anew what is derived of every record.
func BookRebuild(ctx context.Context, s book.Store, program string, p Progress) (*BookRebuildAnswer, error) {
	a := &BookRebuildAnswer{Program: program, Unread: []BookFault{}, Bad: []BookFault{}}
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (rebuilt, error) {
		return rebuildOne(ctx, s, number, program)
	}, func(r rebuilt) error {
		a.Records++
		if r.unread != nil {
			a.Unread = append(a.Unread, *r.unread)
		}
		if r.changed {
			a.Changed++
		}
		if r.derived == nil {
			return nil
		}
		return s.Rederive(ctx, r.number, r.derived)
	})
	a.Bad = append(a.Bad, bad...)
	return a, err
}

func rebuildOne(ctx context.Context, s book.Store, number int64, program string) (out rebuilt, err error) {
	r, f, err := wholeRecord(ctx, s, number)
	if err != nil {
		return out, err
	}
	out.number = number
	d, err := derive(ctx, f, program)
	if fileerr.Is(err) {
		out.unread = &BookFault{Record: r.Number, Serial: r.Serial, Stage: r.Stage, Fault: oneLine(err)}
		return out, nil
	}
	if err != nil {
		return out, err
	}
	sound := r.Derived.Program != "" && r.Derived.Seal() == r.DerivedSeal
	out.changed = !sound || r.Derived.Differs(&d) != ""
	if !sound || r.DerivedSeal != d.Seal() {
		out.derived = &d
	}
	return out, nil
}
