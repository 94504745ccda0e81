package gauge

import (
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// published reads a table of the shared folder of published cases: its columns
// by name. A file without a row fails the test.
func published(t *testing.T, name string) map[string][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	head, err := r.Read()
	if err != nil {
		t.Fatal(err)
	}
	columns := map[string][]string{}
	rows := 0
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		for i, h := range head {
			columns[h] = append(columns[h], row[i])
		}
		rows++
	}
	if rows == 0 {
		t.Fatalf("%s holds no case", name)
	}
	return columns
}

// numbers turns cells into numbers.
func numbers(t *testing.T, cells []string) []float64 {
	t.Helper()
	if len(cells) == 0 {
		t.Fatal("no such column")
	}
	v := make([]float64, len(cells))
	for i, c := range cells {
		var err error
		if v[i], err = strconv.ParseFloat(strings.TrimSpace(c), 64); err != nil {
			t.Fatal(err)
		}
	}
	return v
}

// near fails where got is farther than tol from want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(got >= want-tol && got <= want+tol) {
		t.Errorf("%s = %.10g, want %.10g within %g", what, got, want, tol)
	}
}
