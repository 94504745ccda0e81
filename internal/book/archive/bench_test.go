package archive

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

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
