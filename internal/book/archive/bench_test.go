package archive

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// BenchmarkBookImport puts an export of 1000 necks on disk into a new book.
func BenchmarkBookImport(b *testing.B) {
	ctx := context.Background()
	s := tempBook(b)
	const necks = 1000
	var in []*book.Entry
	for n := range necks {
		in = append(in, booktest.Entry(n, "seated", 1))
	}
	if _, err := s.Import(ctx, in); err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	_, err := Export(ctx, s, nil, func(x Folder) (bool, error) {
		at := filepath.Join(dir, x.Serial, x.Name)
		if err := os.MkdirAll(at, 0o700); err != nil {
			return false, err
		}
		for name, data := range x.Files {
			if err := os.WriteFile(filepath.Join(at, name), data, 0o600); err != nil {
				return false, err
			}
		}
		return true, nil
	})
	if err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		to := newBook(b, filepath.Join(b.TempDir(), fmt.Sprint(i)))
		x, err := Read(ctx, Source{Dir: os.DirFS(dir), Name: "out"}, nil)
		if err != nil {
			b.Fatal(err)
		}
		if a, err := x.Put(ctx, to, nil, func(book.Added) error { return nil }); err != nil || a.New != necks {
			b.Fatal(a, err)
		}
	}
	b.ReportMetric(necks*float64(b.N)/b.Elapsed().Seconds(), "necks/s")
}

// BenchmarkBookCheck checks a book: bytes alone of 20,000 records with the database's
// own check, and results alone of 200. -cpu 1,2 says what a second core brings.
func BenchmarkBookCheck(b *testing.B) {
	ctx := context.Background()
	judge := answer.Judge("1.0")
	for _, c := range []struct {
		what    string
		necks   int
		results bool
	}{{"bytes", 20_000, false}, {"results", 200, true}} {
		s := tempBook(b)
		booktest.Fill(b, s, booktest.Workshop{Necks: c.necks, Seed: 1, Years: 20}, &judge)
		var done book.NumberSet
		for n := range int64(c.necks) {
			done.Add(n + 1)
		}
		if err := s.Remember(ctx, judge.Maker(), &done); err != nil {
			b.Fatal(err)
		}
		b.Run(c.what, func(b *testing.B) {
			for b.Loop() {
				a, err := Check(ctx, s, judge, Scope{All: c.results})
				if err != nil || !a.OK || a.Records != c.necks || (a.Recalculated > 0) != c.results {
					b.Fatalf("%+v, %v", a, err)
				}
			}
			b.ReportMetric(float64(c.necks*b.N)/b.Elapsed().Seconds(), "records/s")
		})
	}
}
