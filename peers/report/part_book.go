package main

import (
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// books measures both stores of the book side by side.
func books(r *run) error {
	sizes := []int{1_000, 10_000, 100_000}
	if r.quick {
		sizes = []int{1_000}
	}
	var words []string
	for _, n := range sizes {
		words = append(words, strconv.Itoa(n))
	}
	turns := "3x"
	if r.quick {
		turns = "1x"
	}
	env := []string{"RINGTRUE_BENCH_NECKS=" + strings.Join(words, ",")}
	if !postgresThere() {
		r.leftOut("PostgreSQL's half of the book: its server (Debian package postgresql) is not there")
		env = append(env, "RINGTRUE_BENCH_STORES=sqlite")
	}
	b, err := r.goBench("./internal/book", "^BenchmarkBook$", cores(), 1, turns, env...)
	if err != nil {
		return err
	}
	big := sizes[len(sizes)-1]
	err = errors.Join(sums(r, b), adding(r, b, big), programs(r, b, big))
	for _, store := range stores(b) {
		bookGrowth(r, b, store, sizes)
	}
	return err
}

// postgresThere tells whether a server can be started; Debian keeps it out of
// the PATH.
func postgresThere() bool {
	if _, err := exec.LookPath("initdb"); err == nil {
		return true
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	return err == nil && len(found) > 0
}

// stores are those that were measured.
func stores(b map[string]metrics) []string {
	if b["Book/add/postgres"] == nil {
		return []string{"sqlite"}
	}
	return []string{"sqlite", "postgres"}
}

// spelled is a store's own name.
func spelled(store string) string {
	if store == "sqlite" {
		return "SQLite"
	}
	return "PostgreSQL"
}

// programs are cold starts of the program on the largest book.
func programs(r *run, b map[string]metrics, big int) error {
	var failed []error
	most := map[string]float64{}
	for _, p := range []struct {
		name, what string
		limitS     float64
	}{
		{"pattern", "`drift --of pattern`", 1},
		{"pattern-by", "`drift --of pattern --by hand`", 1},
		{"zone", "`drift --of zone`", 1},
		{"fret-all-charts", "`drift` of a fret, every chart", 1},
		{"share", "`drift --of share --by wire`", 1},
		{"list", "`book list`, first page", 0.1},
	} {
		for _, store := range stores(b) {
			name := fmt.Sprintf("Book/program-%s/%d/%s", p.name, big, store)
			ns, err1 := of(b, name, "ns/op")
			mb, err2 := of(b, name, "MB")
			if err := errors.Join(err1, err2); err != nil {
				failed = append(failed, err)
				continue
			}
			r.atMost(fmt.Sprintf("%s, %d necks, %s, cold start", p.what, big, spelled(store)), ns*1e-9, p.limitS, seconds)
			most[store] = max(most[store], mb)
		}
	}
	for _, store := range stores(b) {
		r.atMost("`drift` and `book list`, the most memory of them all, "+spelled(store), most[store], 300, megabytes)
	}
	return errors.Join(failed...)
}

// adding is bulk import, and one neck a transaction beside the disk's flushes.
func adding(r *run, b map[string]metrics, big int) error {
	rate, err := of(b, fmt.Sprintf("Book/import/%d/sqlite", big), "necks/s")
	if err != nil {
		return err
	}
	r.atLeast(fmt.Sprintf("bulk import, %d necks, SQLite", big), rate, 5000, perSecond("necks"))
	for _, store := range stores(b) {
		adds, err1 := of(b, "Book/add/"+store, "necks/s")
		flushes, err2 := of(b, "Book/add/"+store, "flushes/s")
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		met := adds/flushes >= 0.8
		r.add("one neck a transaction, "+spelled(store), perSecond("necks")(adds), "the disk's flushes "+digits(flushes)+"/s", times(adds/flushes), "at least 0.8 ×", &met)
	}
	return nil
}

// sums are means and scatters of every crown, packed and as rows.
func sums(r *run, b map[string]metrics) error {
	var failed []error
	for _, c := range []struct {
		what, ours, peer, theirs string
		wanted                   float64
	}{
		{"sum of every crown, a neck, packed in SQLite", "packed/sqlite", "a row a crown in SQLite", "rows/sqlite", 50},
		{"sum of every crown, a neck, packed in SQLite", "packed/sqlite", "a row a crown in PostgreSQL", "rows/postgres", 10},
		{"sum of every crown, a neck, packed in PostgreSQL", "packed/postgres", "a row a crown in PostgreSQL", "rows/postgres", 0},
	} {
		if len(stores(b)) == 1 && strings.Contains(c.ours+c.theirs, "postgres") {
			continue
		}
		ours, err1 := of(b, "Book/sum/"+c.ours, "ns/neck")
		theirs, err2 := of(b, "Book/sum/"+c.theirs, "ns/neck")
		if err := errors.Join(err1, err2); err != nil {
			failed = append(failed, err)
			continue
		}
		r.against(c.what, c.peer, ours*1e-9, theirs*1e-9, c.wanted)
	}
	ours, err1 := of(b, "Book/sum/packed/sqlite", "ns/neck")
	flat, err2 := of(b, "Book/sum/flat-file", "ns/neck")
	if err := errors.Join(err1, err2); err != nil {
		return errors.Join(append(failed, err)...)
	}
	met := ours/flat <= 8
	r.add("sum of every crown, a neck, packed in SQLite, beside the floor", seconds(ours*1e-9), "a flat file in a loop "+seconds(flat*1e-9), times(ours/flat)+" its time", "at most 8 ×", &met)
	return errors.Join(failed...)
}

// bookGrowth is a table of one store by number of necks.
func bookGrowth(r *run, b map[string]metrics, store string, sizes []int) {
	t := table{title: "necks in the book, " + spelled(store) + ", each a cold start of the program",
		head: []string{"necks", "import, necks/s", "`drift --of pattern`", "`drift --of zone`", "`drift` of a fret, every chart", "`book list`", "most memory", "sum of every crown"}}
	for _, n := range sizes {
		row := []string{strconv.Itoa(n), digits(b[fmt.Sprintf("Book/import/%d/%s", n, store)]["necks/s"])}
		most := 0.0
		for _, p := range []string{"pattern", "zone", "fret-all-charts", "list"} {
			m := b[fmt.Sprintf("Book/program-%s/%d/%s", p, n, store)]
			if m == nil {
				return
			}
			row, most = append(row, seconds(m["ns/op"]*1e-9)), max(most, m["MB"])
		}
		sum := b[fmt.Sprintf("Book/sum-packed/%d/%s", n, store)]["ns/op"]
		t.rows = append(t.rows, append(row, megabytes(most), seconds(sum*1e-9)))
	}
	r.growth = append(r.growth, t)
}
