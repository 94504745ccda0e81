package main

import (
	"errors"
	"fmt"
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
	b, err := r.goBench("./internal/book", "^BenchmarkBook$", cores(), 1, turns, "RINGTRUE_BENCH_NECKS="+strings.Join(words, ","))
	if err != nil {
		return err
	}
	if _, err := of(b, "Book/add/postgres", "of-flush"); err != nil {
		r.leftOut("PostgreSQL's half of the book: %v", err)
	}
	big := sizes[len(sizes)-1]
	err = errors.Join(programs(r, b, big), adding(r, b, big), sums(r, b))
	for _, store := range []string{"sqlite", "postgres"} {
		bookGrowth(r, b, store, sizes)
	}
	return err
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
		for _, store := range []string{"sqlite", "postgres"} {
			name := fmt.Sprintf("Book/program-%s/%d/%s", p.name, big, store)
			ns, err1 := of(b, name, "ns/op")
			mb, err2 := of(b, name, "MB")
			if err := errors.Join(err1, err2); err != nil {
				failed = append(failed, err)
				continue
			}
			what := fmt.Sprintf("%s, %d necks, %s, cold start", p.what, big, spelled(store))
			r.atMost(what, ns*1e-9, p.limitS, seconds)
			r.atMost(what+", memory", mb, 300, megabytes)
		}
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
	for _, store := range []string{"sqlite", "postgres"} {
		adds, err1 := of(b, "Book/add/"+store, "necks/s")
		flushes, err2 := of(b, "Book/add/"+store, "flushes/s")
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		f := figure{"one neck a transaction, " + spelled(store), perSecond("necks")(adds), "the disk's flushes " + digits(flushes) + "/s",
			times(adds / flushes), "at least 0.8 ×", new(bool)}
		*f.met = adds/flushes >= 0.8
		r.figures = append(r.figures, f)
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
		{"sum of every crown, packed in SQLite", "packed/sqlite", "a row a crown in SQLite", "rows/sqlite", 50},
		{"sum of every crown, packed in SQLite", "packed/sqlite", "a row a crown in PostgreSQL", "rows/postgres", 10},
		{"sum of every crown, packed in PostgreSQL", "packed/postgres", "a row a crown in PostgreSQL", "rows/postgres", 0},
		{"sum of every crown, packed in SQLite, within 8 times of", "packed/sqlite", "a flat file in a loop", "flat-file", 1.0 / 8},
	} {
		ours, err1 := of(b, "Book/sum/"+c.ours, "ns/neck")
		theirs, err2 := of(b, "Book/sum/"+c.theirs, "ns/neck")
		if err := errors.Join(err1, err2); err != nil {
			failed = append(failed, err)
			continue
		}
		r.against(c.what, c.peer, ours*1e-9, theirs*1e-9, c.wanted)
	}
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
