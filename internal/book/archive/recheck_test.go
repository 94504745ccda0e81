package archive

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// judgedBook is a book of necks as version 2.0 judged them.
func judgedBook(t *testing.T, necks int) book.Store {
	t.Helper()
	s := tempBook(t)
	addNecks(t, s, 1, necks)
	return s
}

func addNecks(t *testing.T, s book.Store, from, to int) {
	t.Helper()
	for n := from; n <= to; n++ {
		e := &book.Entry{Serial: fmt.Sprintf("%04d", n), Stage: "seated", Files: shortFiles(t, n)}
		if err := answer.Judge("2.0").Prepare(context.Background(), e, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Add(context.Background(), e); err != nil {
			t.Fatal(err)
		}
	}
}

// noting is a judge that notes the readings it is asked for.
func noting(asked *[]string) book.Judge {
	j := answer.Judge("2.0")
	files := j.Files
	var mu sync.Mutex
	j.Files = func(ctx context.Context, f book.Files) (book.Derived, error) {
		mu.Lock()
		*asked = append(*asked, string(f.Readings.Bytes))
		mu.Unlock()
		return files(ctx, f)
	}
	return j
}

// TestCheck_Scopes: what came out the same is not recalculated again, until a result
// is replaced or all is asked for; a sample is the same for the same day.
func TestCheck_Scopes(t *testing.T) {
	ctx := context.Background()
	s := judgedBook(t, 40)
	day := time.Date(2026, 11, 29, 8, 0, 0, 0, time.UTC)
	check := func(what string, scope Scope, records, now, before, left, unlooked int) (a *Checked, asked []string) {
		t.Helper()
		scope.Now = day
		a, err := Check(ctx, s, noting(&asked), scope)
		if err != nil || !a.OK || a.Records != records || a.Recalculated != now || len(asked) != now || a.Before != before || a.LeftOut != left || a.Unlooked != unlooked {
			t.Errorf("%s: %d judged, %+v, %v", what, len(asked), a, err)
		}
		slices.Sort(asked)
		return a, asked
	}
	share := Scope{Sample: 0.3, Seed: "2026-11-29"}
	const few = 17 // of 40 that this seed picks
	first, picked := check("a sample", share, 40, few, 0, 40-few, 0)
	if first.Sample != "2026-11-29" || first.Whole() || !first.LastWhole.IsZero() {
		t.Errorf("a sample: %+v", first)
	}
	if a, again := check("the same sample", share, 40, few, 0, 40-few, 0); !slices.Equal(again, picked) || !a.LastWhole.IsZero() || !a.LastWholeBytes.Equal(day) {
		t.Errorf("the same seed picks others, or %+v", a)
	}
	check("the rest", Scope{}, 40, 40-few, few, 0, 0)
	if a, _ := check("once more", Scope{}, 40, 0, 40, 0, 0); !a.LastWhole.Equal(day) || !a.Whole() {
		t.Errorf("once more: %+v", a)
	}
	if a, _ := check("nothing new", Scope{New: true}, 0, 0, 40, 0, 40); a.Whole() {
		t.Error("a check of nothing was of the whole book")
	}
	addNecks(t, s, 41, 43)
	check("new ones", Scope{New: true}, 3, 3, 40, 0, 40)
	check("all", Scope{All: true}, 43, 43, 0, 0, 0)
	r, err := s.Record(ctx, 7)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Rederive(ctx, book.Rederived{Number: 7, Derived: &r.Derived}); err != nil {
		t.Fatal(err)
	}
	check("a result that was replaced", Scope{New: true}, 1, 1, 42, 0, 42)
	if a, err := Check(ctx, s, answer.Judge("2.1"), Scope{New: true}); err != nil || a.Recalculated != 43 {
		t.Errorf("by another version: %+v, %v", a, err)
	}
}

// The newest are recalculated first; a check or a rebuild that is stopped keeps what
// it did, and the next goes on there.
func TestCheckRebuild_Stopped(t *testing.T) {
	s := judgedBook(t, 60)
	stopped := func(after int) (context.Context, book.Progress) {
		ctx, cancel := context.WithCancel(context.Background())
		return ctx, func(done, _ int) {
			if done == after {
				cancel()
			}
		}
	}
	ctx, p := stopped(25)
	a, err := Check(ctx, s, answer.Judge("2.0"), Scope{Results: p})
	if !errors.Is(err, context.Canceled) || a == nil || a.Recalculated != 25 {
		t.Fatalf("%+v, %v", a, err)
	}
	done, err := s.Recalculated(context.Background(), answer.Judge("2.0").Maker())
	if err != nil || done.Len() != 25 || !done.Has(60) || !done.Has(36) || done.Has(35) {
		t.Errorf("remembered: %d, %v", done.Len(), err)
	}
	if a, err = Check(context.Background(), s, answer.Judge("2.0"), Scope{}); err != nil || a.Recalculated != 35 || a.Before != 25 {
		t.Errorf("going on: %+v, %v", a, err)
	}
	ctx, p = stopped(20)
	r, err := Rebuild(ctx, s, answer.Judge("3.0"), Scope{Results: p})
	if !errors.Is(err, context.Canceled) || r == nil || r.Recalculated != 20 {
		t.Fatalf("%+v, %v", r, err)
	}
	for number, want := range map[int64]string{60: "3.0", 41: "3.0", 40: "2.0", 1: "2.0"} {
		if x, err := s.Record(context.Background(), number); err != nil || x.Derived.Program != want {
			t.Errorf("record %d is of version %s, %v; want %s", number, x.Derived.Program, err, want)
		}
	}
	if r, err = Rebuild(context.Background(), s, answer.Judge("3.0"), Scope{}); err != nil || r.Records != 60 || r.Recalculated != 40 || r.UpToDate != 20 || r.Changed != 0 {
		t.Errorf("going on: %+v, %v", r, err)
	}
	if r, err = Rebuild(context.Background(), s, answer.Judge("3.0"), Scope{All: true}); err != nil || r.Recalculated != 60 {
		t.Errorf("all: %+v, %v", r, err)
	}
	if a, err = Check(context.Background(), s, answer.Judge("3.0"), Scope{}); err != nil || a.Recalculated != 0 || a.Before != 60 {
		t.Errorf("after the rebuild: %+v, %v", a, err)
	}
}

// forgetful is a store that may be read only.
type forgetful struct{ book.Store }

func (forgetful) Remember(context.Context, string, *book.NumberSet) error { return book.ErrReadOnly }
func (forgetful) Forget(context.Context, string) error                    { return book.ErrReadOnly }
func (forgetful) NoteWhole(context.Context, time.Time, bool) error        { return book.ErrReadOnly }

// A book that may not be written is checked all the same, and says that it does not
// remember.
func TestCheck_ReadOnly(t *testing.T) {
	s := forgetful{judgedBook(t, 4)}
	for _, scope := range []Scope{{}, {All: true}, {New: true}} {
		a, err := Check(context.Background(), s, answer.Judge("2.0"), scope)
		if err != nil || !a.OK || a.Recalculated != 4 || a.NotRemembered == "" {
			t.Errorf("%+v: %+v, %v", scope, a, err)
		}
	}
}

// blindStretch is a store whose stretches cannot be read, as where a page of them is
// damaged, and one record of which is lost.
type blindStretch struct {
	book.Store
	lost int64
}

func (s blindStretch) Stretch(ctx context.Context, from, to int64, fn func(*book.Record, book.Files) error) error {
	err := s.Store.Stretch(ctx, from, min(to, s.lost-1), fn)
	return errors.Join(err, book.ErrDamaged)
}

func (s blindStretch) Record(ctx context.Context, n int64) (book.Record, error) {
	if n == s.lost {
		return book.Record{}, book.ErrDamaged
	}
	return s.Store.Record(ctx, n)
}

// What cannot be read at once is read record by record, and each is counted once.
func TestCheck_DamagedStretch(t *testing.T) {
	a, err := Check(context.Background(), blindStretch{judgedBook(t, 9), 4}, answer.Judge("2.0"), Scope{})
	if err != nil || a.OK || a.Records != 9 || a.Recalculated != 8 || len(a.Bad) != 1 || a.Bad[0].Record != 4 {
		t.Errorf("%+v, %v", a, err)
	}
}

// A sample is of the share that was asked for (within 4 standard deviations), and
// another day's is another.
func TestScope_Sample(t *testing.T) {
	const numbers = 100_000
	a, b := Scope{Sample: 0.05, Seed: "2026-11-29"}, Scope{Sample: 0.05, Seed: "2026-11-30"}
	var n, both float64
	for k := int64(1); k <= numbers; k++ {
		if a.picks(k, true) {
			n++
			if b.picks(k, false) {
				both++
			}
		}
	}
	for what, c := range map[string]struct{ got, share float64 }{"of a day": {n, 0.05}, "of both days": {both, 0.05 * 0.05}} {
		if mean, sd := numbers*c.share, math.Sqrt(numbers*c.share*(1-c.share)); math.Abs(c.got-mean) > 4*sd {
			t.Errorf("%s: %g of %d; want %g ± %.1f", what, c.got, numbers, mean, sd)
		}
	}
}

// Months gives every whole record once, by month and number, and names what is
// damaged; what was derived of a record, if damaged, is left out.
func TestMonths(t *testing.T) {
	s := judgedBook(t, 9) // added just now
	dated := &book.Entry{Serial: "0100", Stage: "seated", Files: shortFiles(t, 100)}
	dated.Files.Readings.Bytes = []byte("method,lane,fret,reading,unit,date\nbeam,1,1,0.4,mm,2019-02-28\nbeam,1,2,0.4,mm,2019-02-28\nbeam,1,3,0.4,mm,2019-02-28\n")
	if err := answer.Judge("2.0").Prepare(context.Background(), dated, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(context.Background(), dated); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		store book.Store
		want  []int64
		bad   []int64
	}{
		{s, []int64{10, 1, 2, 3, 4, 5, 6, 7, 8, 9}, nil},
		{blindStretch{s, 4}, []int64{10, 1, 2, 3, 5, 6, 7, 8, 9}, []int64{4}},
		{blindScan{s}, []int64{10, 1, 2, 3, 4, 5, 6, 7, 8, 9}, nil},
	} {
		var got, named []int64
		var months []string
		bad, err := Months(context.Background(), c.store, nil, func(month string, r *book.Record) error {
			got, months = append(got, r.Number), append(months, month)
			return nil
		})
		for _, f := range bad {
			named = append(named, f.Record)
		}
		if err != nil || !slices.Equal(got, c.want) || !slices.Equal(named, c.bad) || months[0] != "2019-02" || !slices.IsSorted(months) {
			t.Errorf("%v in %v, %+v, %v; want %v", got, months, bad, err, c.want)
		}
	}
	stop := errors.New("enough")
	if _, err := Months(context.Background(), s, nil, func(string, *book.Record) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("take's error came back as %v", err)
	}
}

// blindScan is a store that no scan gets through.
type blindScan struct{ book.Store }

func (s blindScan) Scan(ctx context.Context, f book.Filter, want book.Columns, fn func(*book.Row) error) error {
	err := s.Store.Scan(ctx, f, want, fn)
	return errors.Join(err, book.ErrDamaged)
}
