// Package booktest is the one set of tests that every store must pass.
package booktest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// Open gives an empty book whose clock is now, and closes it with the test.
type Open func(t *testing.T, now func() time.Time) book.Store

// Run runs every test of the suite on stores that open makes.
func Run(t *testing.T, open Open) {
	for _, c := range []struct {
		name string
		test func(*testing.T, book.Store, *Clock)
	}{
		{"AddedComesBackByteForByte", testRoundTrip},
		{"TwiceIsOneRecord", testTwice},
		{"EveryPartOfIdentityCounts", testIdentity},
		{"CorrectionNamesTheOldRecord", testCorrection},
		{"ClockSetBackKeepsTheOrder", testClock},
		{"ImportKeepsFreeNumbers", testImportNumbers},
		{"ImportIsAllOrNothing", testImportAtomic},
		{"UnfitEntriesLeaveNothing", testUnfit},
		{"FilterPicks", testFilter},
		{"PagesFollowEachOther", testPages},
		{"WalkByNumber", testWalk},
		{"SweepInStretches", testSweep},
		{"RederiveChangesOnlyDerived", testRederive},
		{"ManyAtOnce", testManyAtOnce},
		{"CancelledAddsNothing", testCancel},
		{"OddWordsAreKept", testOddWords},
		{"SoundAfterAll", testSound},
	} {
		t.Run(c.name, func(t *testing.T) {
			clock := &Clock{At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
			c.test(t, open(t, clock.Now), clock)
		})
	}
}

func add(t *testing.T, s book.Store, e *book.Entry) book.Receipt {
	t.Helper()
	r, err := s.Add(context.Background(), e)
	if err != nil {
		t.Fatalf("add: %v", err)
	}
	return r
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func testRoundTrip(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(412, "seated", 1)
	e.Note = "first of the batch: \"0.58 mm\" slots, τ = ½"
	e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, "# tail \r\n\x00\xff no line end"...)
	got := add(t, s, e)
	if !got.New || got.Number != 1 {
		t.Errorf("receipt %+v; want new record 1", got)
	}
	f := must[book.Files](t)(s.Files(ctx, got.Number))
	if !reflect.DeepEqual(f, e.Files) {
		t.Error("the files came back changed")
	}
	r := must[book.Record](t)(s.Record(ctx, got.Number))
	if r.Serial != e.Serial || r.Stage != e.Stage || r.Note != e.Note || r.By != e.By || !reflect.DeepEqual(r.Tags, e.Tags) {
		t.Errorf("record %+v", r)
	}
	if !reflect.DeepEqual(r.Derived, e.Derived) {
		t.Errorf("derived %+v\nwant %+v", r.Derived, e.Derived)
	}
	if r.DerivedSeal != r.Derived.Seal() {
		t.Error("the derived values' seal does not fit")
	}
	if err := book.Whole(&r, f); err != nil {
		t.Error(err)
	}
	list := must[[]book.Record](t)(s.Records(ctx, e.Serial))
	if len(list) != 1 || !reflect.DeepEqual(list[0], r) {
		t.Errorf("records %+v", list)
	}
	if _, err := s.Record(ctx, 99); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("record 99: %v", err)
	}
	if _, err := s.Files(ctx, 99); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("files of record 99: %v", err)
	}
}

func testTwice(t *testing.T, s book.Store, _ *Clock) {
	first := add(t, s, Entry(1, "seated", 1))
	again := add(t, s, Entry(1, "seated", 1))
	if again.New || again.Number != first.Number || !again.Added.Equal(first.Added) {
		t.Errorf("the second time: %+v; want record %d, not new", again, first.Number)
	}
	in := must[[]book.Receipt](t)(s.Import(context.Background(), []*book.Entry{Entry(1, "seated", 1), Entry(2, "seated", 1), Entry(2, "seated", 1)}))
	if in[0].New || !in[1].New || in[2].New || in[2].Number != in[1].Number {
		t.Errorf("import %+v", in)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 2 {
		t.Errorf("%d records; want 2", n)
	}
}

func testIdentity(t *testing.T, s book.Store, _ *Clock) {
	base := add(t, s, Entry(1, "seated", 1))
	for what, change := range map[string]func(*book.Entry){
		"stage":    func(e *book.Entry) { e.Stage = "levelled" },
		"serial":   func(e *book.Entry) { e.Serial += "b" },
		"readings": func(e *book.Entry) { e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, '\n') },
		"neck":     func(e *book.Entry) { e.Files.Neck.Bytes = append(e.Files.Neck.Bytes, '\n') },
	} {
		e := Entry(1, "seated", 1)
		change(e)
		if r := add(t, s, e); !r.New || r.Number == base.Number {
			t.Errorf("another %s: %+v; want a new record", what, r)
		}
	}
	e := Entry(1, "seated", 1)
	e.Note, e.Tags, e.By = "other words", book.Tags{"press": "other"}, "Tomas"
	if r := add(t, s, e); r.New {
		t.Error("note and tags alone made a new record; that takes a correction")
	}
}

func testCorrection(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	wrong := Entry(1, "seated", 1)
	old := add(t, s, wrong)
	id := wrong.Identity()
	fix := Entry(1, "seated", 1)
	fix.Tags = book.Tags{"wire": "lot9"}
	fix.Corrects, fix.By, fix.Why = &id, "Tomas", "wrong lot written down"
	first := add(t, s, fix)
	if !first.New || add(t, s, fix).New {
		t.Error("a correction is one new record")
	}
	r := must[book.Record](t)(s.Record(ctx, first.Number))
	if r.Corrects == nil || *r.Corrects != id || r.CorrectsNo != old.Number || r.Why != fix.Why {
		t.Errorf("the correction: %+v", r)
	}
	was := must[book.Record](t)(s.Record(ctx, old.Number))
	if was.CorrectedBy != first.Number || was.Tags["wire"] == "lot9" {
		t.Errorf("the corrected record: %+v", was)
	}
	if n := count(t, s, book.Filter{InForce: true}); n != 1 {
		t.Errorf("%d records in force; want 1", n)
	}
	for _, bad := range []func(*book.Entry){
		func(e *book.Entry) { e.Why = "" },
		func(e *book.Entry) { e.By = "" },
	} {
		e := Entry(1, "seated", 1)
		e.Corrects, e.By, e.Why = &id, "x", "y"
		bad(e)
		if _, err := s.Add(ctx, e); !errors.Is(err, book.ErrEntry) {
			t.Errorf("a correction without who and why: %v", err)
		}
	}
	nobody := book.Identity{1}
	e := Entry(3, "seated", 1)
	e.Corrects, e.Why = &nobody, "y"
	if _, err := s.Add(ctx, e); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("a correction of nothing: %v", err)
	}
}

func testClock(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	for i, stage := range []string{"seated", "levelled", "played"} {
		clock.At = clock.At.AddDate(-i, 0, 0) // the clock falls back by years
		add(t, s, Entry(1, stage, uint64(i)))
	}
	all := must[[]book.Record](t)(s.Records(ctx, Entry(1, "", 1).Serial))
	var stages []string
	for i, r := range all {
		stages = append(stages, r.Stage)
		if i > 0 && !r.Added.After(all[i-1].Added) {
			t.Errorf("record %d is dated %s, not after %s", r.Number, r.Added, all[i-1].Added)
		}
		if err := book.Whole(&r, must[book.Files](t)(s.Files(ctx, r.Number))); err != nil {
			t.Error(err)
		}
	}
	if strings.Join(stages, " ") != "seated levelled played" {
		t.Errorf("order %v", stages)
	}
	if r := add(t, s, Entry(2, "seated", 1)); r.Added.Year() != clock.At.Year() {
		t.Errorf("another neck is dated %s; its clock said %s", r.Added, clock.At)
	}
}

func testImportNumbers(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	add(t, s, Entry(1, "seated", 1)) // takes number 1
	when := time.Date(2019, 5, 4, 3, 2, 1, 123456000, time.UTC)
	from := func(n int, number int64) *book.Entry {
		e := Entry(n, "seated", 1)
		e.Number, e.Added = number, when
		return e
	}
	in := must[[]book.Receipt](t)(s.Import(ctx, []*book.Entry{from(2, 1), from(3, 17), from(4, 2), from(5, 5)}))
	if in[1].Number != 17 || in[3].Number != 5 {
		t.Errorf("free numbers 17 and 5 became %d and %d", in[1].Number, in[3].Number)
	}
	seen := map[int64]bool{1: true}
	for _, r := range in {
		if seen[r.Number] || !r.New {
			t.Errorf("receipts %+v", in)
		}
		seen[r.Number] = true
	}
	if r := must[book.Record](t)(s.Record(ctx, 17)); !r.Added.Equal(when) {
		t.Errorf("imported record is dated %s; want %s", r.Added, when)
	}
	if r := add(t, s, Entry(6, "seated", 1)); seen[r.Number] || !r.New {
		t.Errorf("after the import: %+v", r)
	}
}

func testImportAtomic(t *testing.T, s book.Store, _ *Clock) {
	nobody := book.Identity{1}
	bad := Entry(3, "seated", 1)
	bad.Corrects, bad.Why = &nobody, "y"
	if _, err := s.Import(context.Background(), []*book.Entry{Entry(1, "seated", 1), Entry(2, "seated", 1), bad}); !errors.Is(err, book.ErrNotFound) {
		t.Fatalf("import: %v", err)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records of a failed import", n)
	}
	if r := add(t, s, Entry(1, "seated", 1)); !r.New {
		t.Error("a failed import left its record")
	}
}

func testUnfit(t *testing.T, s book.Store, _ *Clock) {
	for what, change := range map[string]func(*book.Entry){
		"no serial":          func(e *book.Entry) { e.Serial = "" },
		"no stage":           func(e *book.Entry) { e.Stage = "" },
		"a path as serial":   func(e *book.Entry) { e.Serial = "../0412" },
		"a hidden stage":     func(e *book.Entry) { e.Stage = ".." },
		"a line end":         func(e *book.Entry) { e.Stage = "sea\nted" },
		"a long serial":      func(e *book.Entry) { e.Serial = strings.Repeat("x", 100) },
		"a tag without name": func(e *book.Entry) { e.Tags = book.Tags{"": "x"} },
		"a zero byte":        func(e *book.Entry) { e.Note = "a\x00b" },
		"broken letters":     func(e *book.Entry) { e.Note = "a\xffb" },
	} {
		e := Entry(1, "seated", 1)
		change(e)
		if _, err := s.Add(context.Background(), e); !errors.Is(err, book.ErrEntry) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records", n)
	}
}

func count(t *testing.T, s book.Store, f book.Filter) int {
	t.Helper()
	n := 0
	if err := s.Scan(context.Background(), f, 0, func(*book.Row) error { n++; return nil }); err != nil {
		t.Fatal(err)
	}
	return n
}

func testFilter(t *testing.T, s book.Store, _ *Clock) {
	var in []*book.Entry
	for n := range 40 {
		in = append(in, Entry(n, "seated", 1))
		if n%4 == 0 {
			in = append(in, Entry(n, "levelled", 2))
		}
	}
	in[7].Tags = book.Tags{"xwire": "lot6", "note": `"wire":"lot6"`}
	in[1].Serial = "late B%1"
	must[[]book.Receipt](t)(s.Import(context.Background(), in))
	picks := func(f book.Filter, keep func(e *book.Entry) bool) {
		t.Helper()
		want := 0
		for _, e := range in {
			if keep(e) {
				want++
			}
		}
		if got := count(t, s, f); got != want || want == 0 {
			t.Errorf("filter %+v picks %d; want %d, above 0", f, got, want)
		}
	}
	day := in[0].Derived.Taken.AddDate(0, 0, 10)
	picks(book.Filter{}, func(*book.Entry) bool { return true })
	picks(book.Filter{Stage: "levelled"}, func(e *book.Entry) bool { return e.Stage == "levelled" })
	picks(book.Filter{Model: "Heron 22"}, func(*book.Entry) bool { return true })
	picks(book.Filter{Serial: in[3].Serial}, func(e *book.Entry) bool { return e.Serial == in[3].Serial })
	picks(book.Filter{Part: "0003"}, func(e *book.Entry) bool { return strings.Contains(e.Serial, "0003") })
	picks(book.Filter{Part: "LATE b%", Stage: "levelled"}, func(e *book.Entry) bool { return e == in[1] })
	picks(book.Filter{Tags: book.Tags{"wire": "lot6"}}, func(e *book.Entry) bool { return e.Tags["wire"] == "lot6" })
	picks(book.Filter{Tags: book.Tags{"wire": "lot6", "press": "arbor"}}, func(e *book.Entry) bool { return e.Tags["wire"] == "lot6" })
	picks(book.Filter{Since: day}, func(e *book.Entry) bool { return !e.Derived.Taken.Before(day) })
	picks(book.Filter{Until: day}, func(e *book.Entry) bool { return e.Derived.Taken.Before(day) })
	for _, f := range []book.Filter{{Stage: "polished"}, {Model: "Wren"}, {Part: "0_0"}, {Tags: book.Tags{"wire": "lot"}}} {
		if n := count(t, s, f); n != 0 {
			t.Errorf("filter %+v picks %d", f, n)
		}
	}
	necks := must[[]book.Neck](t)(s.Necks(context.Background(), book.Filter{Stage: "levelled"}, book.Page{}))
	if len(necks) != 10 || necks[0].Records != 2 || strings.Join(necks[0].Stages, " ") != "seated levelled" || necks[0].Model != "Heron 22" {
		t.Errorf("%d necks, the first %+v", len(necks), necks[0])
	}
	stop := errors.New("enough")
	if err := s.Scan(context.Background(), book.Filter{}, book.WantCrowns, func(*book.Row) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("a callback's error came back as %v", err)
	}
}

func testPages(t *testing.T, s book.Store, _ *Clock) {
	var in []*book.Entry
	for n := range 25 {
		in = append(in, Entry(n, "seated", 1))
	}
	must[[]book.Receipt](t)(s.Import(context.Background(), in))
	var seen []string
	after := ""
	for range 10 {
		page := must[[]book.Neck](t)(s.Necks(context.Background(), book.Filter{}, book.Page{After: after, Most: 7}))
		if len(page) == 0 {
			break
		}
		for _, n := range page {
			seen = append(seen, n.Serial)
		}
		after = seen[len(seen)-1]
	}
	all := must[[]string](t)(s.Serials(context.Background()))
	if len(all) != 25 || !reflect.DeepEqual(seen, all) {
		t.Errorf("pages %v\nall %v", seen, all)
	}
}

func testWalk(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(2, "seated", 1)
	e.Number = 40
	must[[]book.Receipt](t)(s.Import(ctx, []*book.Entry{Entry(1, "seated", 1), e}))
	var walked []int64
	for n := int64(0); ; {
		n = must[int64](t)(s.Next(ctx, n))
		if n == 0 {
			break
		}
		walked = append(walked, n)
	}
	if last := must[int64](t)(s.Last(ctx)); fmt.Sprint(walked) != "[1 40]" || last != 40 {
		t.Errorf("walked %v, last %d", walked, last)
	}
}

func testRederive(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(1, "seated", 1)
	n := add(t, s, e).Number
	before := must[book.Record](t)(s.Record(ctx, n))
	d := Entry(2, "seated", 7).Derived
	d.Program = "newer"
	if err := s.Rederive(ctx, n, &d); err != nil {
		t.Fatal(err)
	}
	after := must[book.Record](t)(s.Record(ctx, n))
	if !reflect.DeepEqual(after.Derived, d) || after.DerivedSeal != d.Seal() {
		t.Errorf("derived %+v; want %+v", after.Derived, d)
	}
	after.Derived, after.DerivedSeal = before.Derived, before.DerivedSeal
	if !reflect.DeepEqual(after, before) {
		t.Error("more than the derived values changed")
	}
	empty := book.Derived{}
	if err := s.Rederive(ctx, n, &empty); err != nil {
		t.Fatal(err)
	}
	if r := must[book.Record](t)(s.Record(ctx, n)); r.Derived.ZoneMM != nil || !r.Derived.Taken.IsZero() || len(r.Derived.Crowns) != 0 {
		t.Errorf("nothing derived came back as %+v", r.Derived)
	}
	if err := s.Rederive(ctx, 99, &d); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("record 99: %v", err)
	}
}

func testManyAtOnce(t *testing.T, s book.Store, _ *Clock) {
	const hands, each = 8, 12
	var wg sync.WaitGroup
	var mu sync.Mutex
	numbers := map[int64]int{}
	for h := range hands {
		wg.Go(func() {
			for i := range each {
				n := i // half the necks are everybody's, half one's own
				if i%2 == 0 {
					n = 1000 + h*each + i
				}
				r, err := s.Add(context.Background(), Entry(n, "seated", 1))
				if err != nil {
					t.Errorf("add: %v", err)
					return
				}
				if r.New {
					mu.Lock()
					numbers[r.Number]++
					mu.Unlock()
				}
			}
		})
	}
	wg.Wait()
	want := hands*each/2 + each/2
	if n := must[int](t)(s.Count(context.Background())); n != want || len(numbers) != want {
		t.Errorf("%d records, %d said to be new; want %d", n, len(numbers), want)
	}
}

func testCancel(t *testing.T, s book.Store, _ *Clock) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Add(ctx, Entry(1, "seated", 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("add: %v", err)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records", n)
	}
}

func testOddWords(t *testing.T, s book.Store, _ *Clock) {
	e := Entry(1, "rod set", 1)
	e.Serial = "№ 0412 'b' \"x\"; -- ½"
	e.Tags = book.Tags{"wood batch": `eb"ony\3`, "bend": "131.5", "wire": "<lot&7>"}
	e.Files.Readings = book.File{}
	n := add(t, s, e).Number
	r := must[book.Record](t)(s.Record(context.Background(), n))
	if r.Serial != e.Serial || !reflect.DeepEqual(r.Tags, e.Tags) {
		t.Errorf("%q %v", r.Serial, r.Tags)
	}
	for k, v := range e.Tags {
		if c := count(t, s, book.Filter{Tags: book.Tags{k: v}}); c != 1 {
			t.Errorf("tag %s=%s picks %d", k, v, c)
		}
	}
	f := must[book.Files](t)(s.Files(context.Background(), n))
	if len(f.Readings.Bytes) != 0 || !bytes.Equal(f.Neck.Bytes, e.Files.Neck.Bytes) {
		t.Error("files changed")
	}
}

func testSound(t *testing.T, s book.Store, _ *Clock) {
	for n := range 30 {
		add(t, s, Entry(n, "seated", 1))
	}
	if bad := must[[]string](t)(s.Verify(context.Background())); len(bad) != 0 {
		t.Errorf("not sound: %v", bad)
	}
	want := map[string]book.Packed{}
	for n := range 30 {
		e := Entry(n, "seated", 1)
		want[e.Serial] = e.Derived.Crowns
	}
	err := s.Scan(context.Background(), book.Filter{}, book.WantName|book.WantCrowns, func(r *book.Row) error {
		if r.Stage == "" || r.At.IsZero() || r.Tags != nil || r.Verdict != "" {
			t.Errorf("record %d: %+v is not what was wanted", r.Number, r)
		}
		if !bytes.Equal(r.Crowns, want[r.Serial]) {
			t.Errorf("crowns of %s changed", r.Serial)
		}
		delete(want, r.Serial)
		return nil
	})
	if err != nil || len(want) != 0 {
		t.Errorf("scan left out %d, %v", len(want), err)
	}
}
