package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
)

// askDuckDB asks DuckDB of the npm registry, or skips where it is not installed:
// never in continuous integration.
func askDuckDB(t *testing.T, into any, sql string) {
	t.Helper()
	const home = "testdata/parquetreader"
	skip := t.Skipf
	if os.Getenv("CI") != "" {
		skip = t.Fatalf
	}
	node, err := exec.LookPath("node")
	if err != nil {
		skip("node is not installed, so no independent engine reads the Parquet")
	}
	if _, err := os.Stat(filepath.Join(home, "node_modules", "@duckdb")); err != nil {
		skip("DuckDB is not installed; run npm ci in internal/cli/%s", home)
	}
	c := exec.Command(node, "ask.js")
	c.Dir, c.Stdin = home, strings.NewReader(sql)
	var out, errOut bytes.Buffer
	c.Stdout, c.Stderr = &out, &errOut
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errOut.Bytes())
	}
	if err := json.Unmarshal(out.Bytes(), into); err != nil {
		t.Fatal(err)
	}
}

// tree is a folder's files with their bytes.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			b, err := os.ReadFile(filepath.Join(dir, path))
			files[path] = string(b)
			return err
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// TestBookParquet: an export gives the same bytes twice, a file a month, and DuckDB
// finds in it the pattern that drift finds in the book: also where a record is
// corrected and a neck was read twice.
func TestBookParquet(t *testing.T) {
	path := workshopBook(t, booktest.Workshop{Necks: 120, Seed: 2})
	correctAndReread(t, path)
	dirs := []string{filepath.Join(t.TempDir(), "tables"), filepath.Join(t.TempDir(), "again")}
	for _, dir := range dirs {
		if status, out, talk := ran("book", "export", "--parquet", dir, "--book", path); status != 0 || talk != "" || !strings.HasPrefix(out, "122 records and 17568 crowns in "+dir+", 25 months") {
			t.Fatalf("exit %d: %s%s", status, out, talk)
		}
	}
	first, second := tree(t, dirs[0]), tree(t, dirs[1])
	if len(first) != 50 || len(first["records/month=2024-01/records.parquet"]) == 0 || len(first["crowns/month=2025-12/crowns.parquet"]) == 0 {
		t.Errorf("%d files", len(first))
	}
	for name, b := range first {
		if second[name] != b {
			t.Errorf("%s has other bytes the second time", name)
		}
	}
	status, out, _ := ran("drift", "--book", path, "--of", "pattern", "--json")
	var want struct {
		Crowns []crownMean
	}
	if err := json.Unmarshal([]byte(out), &want); err != nil || status != 0 || len(want.Crowns) != 144 {
		t.Fatalf("exit %d, %d crowns, %v", status, len(want.Crowns), err)
	}
	var got []crownMean
	askDuckDB(t, &got, fmt.Sprintf(`
WITH latest AS (
  SELECT record FROM read_parquet('%s/records/*/*.parquet', hive_partitioning = true)
  WHERE stage = 'seated' AND corrected_by IS NULL
  QUALIFY row_number() OVER (PARTITION BY serial ORDER BY read_at DESC, record DESC) = 1)
SELECT fret, lane, CAST(count(*) AS DOUBLE) AS necks, avg(off_mm) AS mean_mm, stddev_samp(off_mm) AS scatter_mm
FROM read_parquet('%[1]s/crowns/*/*.parquet', hive_partitioning = true) JOIN latest USING (record)
GROUP BY fret, lane ORDER BY lane, fret`, filepath.ToSlash(dirs[0])))
	if len(got) != len(want.Crowns) {
		t.Fatalf("%d crowns; want %d", len(got), len(want.Crowns))
	}
	for i, w := range want.Crowns {
		g := got[i]
		if g.Fret != w.Fret || g.Lane != w.Lane || g.Necks != w.Necks || math.Abs(g.Mean-w.Mean) > 1e-12 || math.Abs(g.SD-w.SD) > 1e-12 {
			t.Errorf("DuckDB finds %+v; drift finds %+v", g, w)
		}
	}
}

type crownMean struct {
	Fret  int
	Lane  float64
	Necks float64
	Mean  float64 `json:"mean_mm"`
	SD    float64 `json:"scatter_mm"`
}

// correctAndReread corrects the first neck's record and reads the second once more.
func correctAndReread(t *testing.T, path string) {
	t.Helper()
	ctx := context.Background()
	b, err := sqlite.Open(ctx, path, sqlite.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	w := booktest.Workshop{Necks: 120, Seed: 2}
	other := booktest.Workshop{Necks: 120, Seed: 9}
	fix, again := other.Entry(1), other.Entry(2)
	id := w.Entry(1).Identity()
	fix.Corrects, fix.By, fix.Why = &id, "Ines", "wrong neck"
	again.Derived.Taken = again.Derived.Taken.AddDate(0, 0, 1)
	for _, e := range []*book.Entry{fix, again} {
		if r, err := b.Add(ctx, e); err != nil || !r.New {
			t.Fatal(r, err)
		}
	}
}
