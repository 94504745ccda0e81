package sqlite

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// Columns that are damaged or lost change no answer: the records are read, and a
// check names them.
func TestColumns_Damaged(t *testing.T) {
	ctx := context.Background()
	s := newBook(t, filepath.Join(t.TempDir(), "book.db"), time.Now)
	var entries []*book.Entry
	for i, n := range []int64{3, 4000, 4100, 8192} {
		e := booktest.Entry(i, "seated", 1)
		e.Number, e.Added = n, e.Derived.Taken
		entries = append(entries, e)
	}
	if _, err := s.Import(ctx, entries); err != nil {
		t.Fatal(err)
	}
	count := func(query string) (n int) {
		if err := s.DB.QueryRow(query).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	if n := count("SELECT count(*) FROM block"); n != 2 {
		t.Fatalf("an import past two stretches packed %d", n)
	}
	for _, damage := range []string{
		"UPDATE block_part SET bytes = zeroblob(length(bytes)) WHERE part = 0",
		"DELETE FROM block_part WHERE part = 2", "UPDATE block_part SET bytes = x'' WHERE part = 1",
		"UPDATE block SET until = until - 1000000000000", "UPDATE block SET stretch = stretch + 7",
		"UPDATE block_part SET bytes = substr(bytes, 1, length(bytes) - 1) WHERE part = 3",
	} {
		if _, err := s.DB.Exec(damage); err != nil {
			t.Fatal(err)
		}
		seen := 0
		err := s.Scan(ctx, book.Filter{Since: time.Date(2024, 1, 8, 0, 0, 0, 0, time.UTC)}, book.NameColumns|book.FigureColumns, func(r *book.Row) error {
			seen++
			return nil
		})
		bad, checkErr := s.CheckColumns(ctx, nil)
		if err != nil || seen != 4 || len(bad) != 2 || checkErr != nil {
			t.Errorf("%s: %d records, %v; check %v, %v", damage, seen, err, bad, checkErr)
		}
		if _, err := s.DB.Exec("DELETE FROM block"); err != nil {
			t.Fatal(err)
		}
		if n := count("SELECT count(*) FROM block_part"); n != 0 {
			t.Errorf("%d columns of no block", n)
		}
		if n, err := s.Fold(ctx); n != 2 || err != nil {
			t.Fatalf("packed %d, %v", n, err)
		}
		if bad, err := s.CheckColumns(ctx, nil); len(bad) > 0 || err != nil {
			t.Errorf("packed again: %v, %v", bad, err)
		}
	}
}
