package booktest

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// Folder is a store that keeps columns beside its records.
type Folder interface {
	book.Store
	book.FretScanner
	Fold(ctx context.Context) (packed int, err error)
	CheckColumns(ctx context.Context, p book.Progress) (bad []string, err error)
}

// testColumns changes a book at random. After each change, and again once columns are
// packed, these say what the records say.
func testColumns(t *testing.T, store book.Store, _ *Clock) {
	s := store.(Folder)
	ctx := context.Background()
	rng := rand.New(rand.NewPCG(11, 4))
	entry := func(number int64) *book.Entry {
		e := Entry(rng.IntN(30), []string{"seated", "levelled"}[rng.IntN(2)], rng.Uint64())
		e.Number, e.Added = number, time.Date(2025, 1, 1+rng.IntN(60), 0, 0, 0, 0, time.UTC)
		e.Tags["hand"] = []string{"Ines", "Bram"}[rng.IntN(2)]
		if rng.IntN(6) == 0 {
			e.Derived.Crowns = packed(nil)
		}
		return e
	}
	var entries []*book.Entry
	for range 40 {
		entries = append(entries, entry(1+rng.Int64N(20_000)))
	}
	receipts := must[[]book.Receipt](t)(s.Import(ctx, append(entries, entry(20_480))))
	folded := must[int](t)(s.Fold(ctx))
	for range 8 {
		switch i := rng.IntN(len(entries)); rng.IntN(3) {
		case 0:
			d := Entry(rng.IntN(50), "", rng.Uint64()).Derived
			if err := s.Rederive(ctx, book.Rederived{Number: receipts[i].Number, Derived: &d}); err != nil {
				t.Fatal(err)
			}
		case 1:
			must[[]book.Receipt](t)(s.Import(ctx, []*book.Entry{entry(1 + rng.Int64N(20_000))}))
		case 2:
			fix, id := entry(0), entries[i].Identity()
			fix.Serial, fix.Corrects, fix.Why = entries[i].Serial, &id, "another lot"
			add(t, s, fix)
		}
		compareColumns(t, s)
		folded += must[int](t)(s.Fold(ctx))
		compareColumns(t, s)
	}
	if folded < 4 {
		t.Errorf("columns were packed only %d times", folded)
	}
}

// compareColumns reads by columns, and by records.
func compareColumns(t *testing.T, s Folder) {
	t.Helper()
	ctx := context.Background()
	if bad, err := s.CheckColumns(ctx, nil); err != nil || len(bad) > 0 {
		t.Fatalf("columns: %v, %v", bad, err)
	}
	march := time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)
	for _, f := range []book.Filter{
		{}, {InForce: true}, {Stage: "seated", InForce: true}, {Model: "Heron 22", Tags: book.Tags{"hand": "Bram"}}, {Model: "none"},
		{Since: march, Until: march.AddDate(0, 9, 0), InForce: true}, {Serial: "000007"}, {Tags: book.Tags{"wire": "lot6", "hand": "Ines"}},
	} {
		const want = book.NameColumns | book.TagColumns | book.TagTextColumn | book.FigureColumns
		var kept book.KeptCrowns
		numbers := []int64{}
		rows := map[int64]string{}
		must[struct{}](t)(struct{}{}, s.Scan(ctx, f, want|book.CrownColumns, func(r *book.Row) error {
			_, err := kept.Keep(len(numbers), r.Crowns)
			numbers, rows[r.Number] = append(numbers, r.Number), lineOf(r)
			return err
		}))
		got := map[int64]string{}
		must[struct{}](t)(struct{}{}, s.Scan(ctx, f, want, func(r *book.Row) error { got[r.Number] = lineOf(r); return nil }))
		if !maps.Equal(got, rows) {
			t.Fatalf("%+v: by columns %d records\n%v\nby records %d\n%v", f, len(got), got, len(rows), rows)
		}
		byFret := []int64{}
		crowns := must[book.FretReader](t)(s.ScanFrets(ctx, f, book.NameColumns, func(r *book.Row) error { byFret = append(byFret, r.Number); return nil }))
		if a, b := crownsOf(t, crowns, byFret), crownsOf(t, &kept, numbers); !maps.Equal(a, b) {
			t.Fatalf("%+v: crowns differ: %d and %d of them", f, len(a), len(b))
		}
	}
}

// lineOf is all of a row but its crowns.
func lineOf(r *book.Row) string {
	return fmt.Sprint(r.Serial, r.Stage, r.At.UnixMicro(), r.Tags.Text(), r.TagText, r.Figures)
}

// crownsOf are the heights that a reader hands out, by record number, fret and lane.
func crownsOf(t *testing.T, crowns book.FretReader, numbers []int64) map[string]int {
	t.Helper()
	all := map[string]int{}
	for fret := range 30 {
		must[struct{}](t)(struct{}{}, crowns.Fret(context.Background(), fret, func(some book.Crowns) {
			some.Each(func(record int, c *book.CrownTable) {
				for l, lane := range c.Lanes {
					v, ok := c.Steps(l)
					if ok {
						all[fmt.Sprint(numbers[record], fret, lane, c.StepMM)] = v
					}
				}
			})
		}))
	}
	shapes := []int{}
	crowns.Shapes(func(record int, c *book.CrownTable) { shapes = append(shapes, record*1000+c.Frets) })
	for _, v := range shapes {
		all[fmt.Sprint("shape of ", numbers[v/1000])] = v % 1000
	}
	return all
}
