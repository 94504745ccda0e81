package booktest

import (
	"bytes"
	"context"
	"fmt"
	"iter"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// fillBatch is how many records of a large book go into one transaction.
const fillBatch = 2000

// Fill writes the workshop's necks into an empty book, in the order of time, each
// added an hour after it was read: 100,000 take seconds. With a judge the files are
// such as it can read, and what is derived is what it makes of them; else that is
// made up with the files.
func Fill(tb testing.TB, s book.Store, w Workshop, judge *book.Judge) {
	tb.Helper()
	ctx := context.Background()
	entry := w.Entry
	if judge != nil {
		entry = w.judged(tb, *judge)
	}
	err := book.InOrder(ctx, func(context.Context) iter.Seq2[int, int] {
		return func(yield func(int, int) bool) {
			for n := 1; n <= w.Necks && yield(n, min(w.Necks, n+fillBatch-1)); n += fillBatch {
			}
		}
	}, func(_ context.Context, from, to int) (batch []*book.Entry, _ error) {
		for n := from; n <= to; n++ {
			e := entry(n)
			e.Added = w.taken(n).Add(time.Hour)
			batch = append(batch, e)
		}
		return batch, nil
	}, func(_ int, batch []*book.Entry, _ error) error {
		_, err := s.Import(ctx, batch)
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
}

// kinds is how many necks are judged for a book of any size: a judgement takes
// milliseconds, so readings return after that many, with another date.
const kinds = 50

// judged gives necks whose files a judge can read, with what it makes of them. Their
// readings carry the day.
func (w Workshop) judged(tb testing.TB, judge book.Judge) func(n int) *book.Entry {
	tb.Helper()
	first := make([]*book.Entry, min(kinds, w.Necks))
	err := book.InOrder(context.Background(), book.All(first), func(ctx context.Context, i int, _ *book.Entry) (e *book.Entry, err error) {
		e = w.Entry(i + 1)
		rows := bytes.ReplaceAll(e.Files.Readings.Bytes, []byte(",mm\n"), fmt.Appendf(nil, ",mm,%s\n", day(e)))
		e.Files.Readings.Bytes = bytes.Replace(rows, []byte(",unit\n"), []byte(",unit,date\n"), 1)
		e.Files.Neck.Bytes = []byte(heron24)
		e.Derived, err = judge.Derive(ctx, e.Files)
		return e, err
	}, func(i int, e *book.Entry, err error) error {
		first[i] = e
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return func(n int) *book.Entry {
		e, like := w.Entry(n), first[(n-1)%len(first)]
		on := e.Derived.Taken.Truncate(24 * time.Hour)
		e.Derived, e.Derived.Taken = like.Derived, on
		e.Files.Neck = like.Files.Neck
		e.Files.Readings.Bytes = bytes.ReplaceAll(like.Files.Readings.Bytes, []byte(day(like)), []byte(day(e)))
		return e
	}
}

// day is when an entry was read, as readings write it.
func day(e *book.Entry) string { return e.Derived.Taken.Format(time.DateOnly) }

// heron24 is a neck file for the workshop's readings.
const heron24 = `name = "Heron 24"

[scale]
length = "640 mm"
frets = 24
divisions = 12

[board]
radius = ["300 mm", "400 mm"]
width = ["43 mm", "57 mm"]
thickness = "6 mm"

[strings]
spread = ["35 mm", "51 mm"]
set = [
  { pitch = "E4", gauge = "0.010 in", kind = "plain" },
  { pitch = "B3", gauge = "0.013 in", kind = "plain" },
  { pitch = "G3", gauge = "0.017 in", kind = "plain" },
  { pitch = "D3", gauge = "0.026 in", kind = "wound" },
  { pitch = "A2", gauge = "0.036 in", kind = "wound" },
  { pitch = "E2", gauge = "0.046 in", kind = "wound" },
]

[wire]
alloy = "C75200"
hardness = 200
crown_width = "2.4 mm"
crown_height = "1.2 mm"
tang_depth = "1.5 mm"
tang_width = "0.52 mm"
barb_width = "0.78 mm"

[level]
zone = "0.03 mm"
least_crown = "0.90 mm"
`
