package book_test

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/postgres"
	"ringtrue/internal/book/sqlite"
)

// BenchmarkBook measures both stores side by side, on invented workshops
// (booktest.Workshop: real files, derived values made up) of 1000, 10,000 and
// 100,000 necks of 144 crowns; RINGTRUE_BENCH_NECKS=1000,10000 picks others:
//
//	go test ./internal/book -run '^$' -bench Book -benchtime 3x -timeout 1h
//
// import: necks a second, a thousand a transaction. program: a cold start of
// the program itself to its end, with its largest memory. sum: mean and scatter
// of every crown, from packed crowns, a row a crown, and a flat file. add: one
// neck a transaction, beside flushes of the same disk taken in turns.
func BenchmarkBook(b *testing.B) {
	program := buildProgram(b)
	stores := []benchStore{{name: "sqlite"}, {name: "postgres", server: booktest.StartServer(b)}}
	for _, size := range benchSizes(b) {
		w := booktest.Workshop{Necks: size, Seed: 1}
		for _, s := range stores {
			address, took := s.filled(b, w)
			name := func(what string) string { return fmt.Sprintf("%s/%d/%s", what, size, s.name) }
			b.Run(name("import"), func(b *testing.B) {
				b.ReportMetric(float64(size)/took.Seconds(), "necks/s")
				b.ReportMetric(0, "ns/op")
			})
			for _, c := range []struct {
				what string
				args []string
			}{
				{"pattern", []string{"drift", "--of", "pattern"}},
				{"pattern-by", []string{"drift", "--of", "pattern", "--by", "hand", "--json"}},
				{"zone", []string{"drift", "--of", "zone"}},
				{"fret-all-charts", []string{"drift", "--of", "fret 14", "--by", "hand", "--ewma", "0.2", "--cusum", "0.5,5", "--rules", "nelson", "--json"}},
				{"share", []string{"drift", "--of", "share", "--by", "wire"}},
				{"list", []string{"book", "list"}},
			} {
				b.Run(name("program-"+c.what), func(b *testing.B) { runProgram(b, program, append(c.args, "--book", address)) })
			}
			b.Run(name("sum-packed"), func(b *testing.B) { s.sumPacked(b, address, size) })
		}
	}
	for _, s := range stores {
		b.Run("add/"+s.name, s.add)
	}
	sumRows(b, stores)
}

// benchSizes are how many necks the books hold.
func benchSizes(b *testing.B) []int {
	text := os.Getenv("RINGTRUE_BENCH_NECKS")
	if text == "" {
		text = "1000,10000,100000"
	}
	var sizes []int
	for _, part := range strings.Split(text, ",") {
		n, err := strconv.Atoi(part)
		if err != nil || n < 10 {
			b.Fatalf("RINGTRUE_BENCH_NECKS: %q", part)
		}
		sizes = append(sizes, n)
	}
	return sizes
}

// benchStore is one kind of store.
type benchStore struct {
	name   string
	server *booktest.Server
}

func (s benchStore) open(b *testing.B, address string) book.Store {
	b.Helper()
	var st book.Store
	var err error
	if s.server != nil {
		st, err = postgres.Open(context.Background(), address, postgres.Options{Create: true, Now: time.Now, Patience: 10 * time.Second})
	} else {
		st, err = sqlite.Open(context.Background(), address, sqlite.Options{Create: true, Now: time.Now})
	}
	if err != nil {
		b.Fatal(err)
	}
	return st
}

func (s benchStore) fresh(b *testing.B) string {
	if s.server != nil {
		return s.server.Database(b)
	}
	return filepath.Join(b.TempDir(), "book.db")
}

// filled makes a book of a workshop; took is the time in the store alone.
func (s benchStore) filled(b *testing.B, w booktest.Workshop) (address string, took time.Duration) {
	address = s.fresh(b)
	st := s.open(b, address)
	const batch = 1000
	for n := 1; n <= w.Necks; n += batch {
		var entries []*book.Entry
		for k := n; k < n+batch && k <= w.Necks; k++ {
			entries = append(entries, w.Entry(k))
		}
		start := time.Now()
		if _, err := st.Import(context.Background(), entries); err != nil {
			b.Fatal(err)
		}
		took += time.Since(start)
	}
	if err := st.Close(); err != nil {
		b.Fatal(err)
	}
	if s.server != nil { // as it does by itself after a while
		ask(b, "pgx", address, "VACUUM ANALYZE ringtrue.record")
	}
	return address, took
}

func buildProgram(b *testing.B) string {
	program := filepath.Join(b.TempDir(), "ringtrue")
	if out, err := exec.Command("go", "build", "-o", program, "ringtrue/cmd/ringtrue").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return program
}

// runProgram starts the program and waits for its end.
func runProgram(b *testing.B, program string, args []string) {
	var most float64
	for b.Loop() {
		c := exec.Command(program, args...)
		var talk strings.Builder
		c.Stderr = &talk
		if err := c.Start(); err != nil {
			b.Fatal(err)
		}
		ended, peak := make(chan struct{}), make(chan float64)
		go func() { peak <- peakMB(c.Process.Pid, ended) }()
		err := c.Wait()
		close(ended)
		if most = max(most, <-peak); err != nil {
			b.Fatalf("%v\n%s", err, talk.String())
		}
	}
	b.ReportMetric(most, "MB")
}

// peakMB watches the most memory a process has held. What the kernel reports at
// a process's end would count its parent's too (Linux keeps the mark over exec).
func peakMB(pid int, ended <-chan struct{}) (most float64) {
	for {
		if status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid)); err == nil {
			if _, after, ok := strings.Cut(string(status), "VmHWM:"); ok {
				if kB, err := strconv.ParseFloat(strings.Fields(after)[0], 64); err == nil {
					most = max(most, kB/1024)
				}
			}
		}
		select {
		case <-ended:
			return most
		case <-time.After(2 * time.Millisecond):
		}
	}
}

// crownSums are the sums of every crown, in steps.
type crownSums struct {
	n, sum, square [160]int64
}

// add sums up one neck's crowns. All benchmark necks are of one shape.
func (c *crownSums) add(s *book.Sheet) {
	for i := range s.Frets * len(s.Lanes) {
		if v, ok := s.Steps(i); ok {
			c.n[i]++
			c.sum[i] += int64(v)
			c.square[i] += int64(v) * int64(v)
		}
	}
}

func (s benchStore) sumPacked(b *testing.B, address string, size int) {
	st := s.open(b, address)
	defer st.Close()
	for b.Loop() {
		var sums crownSums
		var sheet book.Sheet
		err := st.Scan(context.Background(), book.Filter{}, true, func(r *book.Row) error {
			if err := r.Crowns.Open(&sheet); err != nil {
				return err
			}
			sums.add(&sheet)
			return nil
		})
		if err != nil || sums.n[0] != int64(size) {
			b.Fatalf("%d necks, %v", sums.n[0], err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(size), "ns/neck")
}

// rowNecks is how many necks are kept a row a crown: 1.44 million rows.
const rowNecks = 10_000

// sumRows sums up the same necks from packed crowns in the book, from a row a
// crown in the same databases, and from a flat file in a loop.
func sumRows(b *testing.B, stores []benchStore) {
	w := booktest.Workshop{Necks: rowNecks, Seed: 1}
	packed := make([]book.Packed, w.Necks)
	for i := range packed {
		packed[i] = w.Entry(i + 1).Derived.Crowns
	}
	for _, s := range stores {
		address, _ := s.filled(b, w)
		b.Run("sum/packed/"+s.name, func(b *testing.B) { s.sumPacked(b, address, w.Necks) })
		driver, rows := "sqlite", s.fresh(b)
		if s.server != nil {
			driver = "pgx"
		}
		fillRows(b, driver, rows, packed)
		b.Run("sum/rows/"+s.name, func(b *testing.B) {
			for b.Loop() {
				if n := ask(b, driver, rows, "SELECT fret, lane, count(*), avg(off), avg(off * off) FROM crown GROUP BY fret, lane"); n != 144 {
					b.Fatalf("%d crowns", n)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(w.Necks), "ns/neck")
		})
	}
	b.Run("sum/flat-file", func(b *testing.B) { sumFlat(b, packed) })
}

// ask asks a database and counts the rows of its answer.
func ask(b *testing.B, driver, address, query string) int {
	b.Helper()
	db, err := sql.Open(driver, address)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(query)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	n := 0
	for rows.Next() {
		n++
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
	return n
}

// fillRows keeps a row a crown.
func fillRows(b *testing.B, driver, address string, packed []book.Packed) {
	b.Helper()
	db, err := sql.Open(driver, address)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	real := "real"
	if driver == "pgx" {
		real = "double precision"
	}
	if _, err := db.Exec("CREATE TABLE crown (record integer, fret integer, lane " + real + ", off " + real + ", u " + real + ")"); err != nil {
		b.Fatal(err)
	}
	tx, err := db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	const together = 144
	var marks []string
	for i := range together {
		marks = append(marks, fmt.Sprintf("($%d,$%d,$%d,$%d,$%d)", 5*i+1, 5*i+2, 5*i+3, 5*i+4, 5*i+5))
	}
	insert, err := tx.Prepare("INSERT INTO crown VALUES " + strings.Join(marks, ","))
	if err != nil {
		b.Fatal(err)
	}
	for n, p := range packed {
		crowns, err := p.Unpack()
		if err != nil {
			b.Fatal(err)
		}
		var values []any
		for _, c := range crowns {
			values = append(values, n+1, c.Fret, c.Lane, c.OffMM, c.UMM)
		}
		if _, err := insert.Exec(values...); err != nil {
			b.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
}

func sumFlat(b *testing.B, packed []book.Packed) {
	path := filepath.Join(b.TempDir(), "crowns")
	var all []byte
	for _, p := range packed {
		all = binary.LittleEndian.AppendUint32(all, uint32(len(p)))
		all = append(all, p...)
	}
	if err := os.WriteFile(path, all, 0o600); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if n := readFlat(b, path); n != int64(len(packed)) {
			b.Fatalf("%d necks", n)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(packed)), "ns/neck")
}

func readFlat(b *testing.B, path string) int64 {
	f, err := os.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	r := bufio.NewReaderSize(f, 1<<20)
	var sums crownSums
	var sheet book.Sheet
	var head [4]byte
	var p []byte
	for {
		if _, err := io.ReadFull(r, head[:]); errors.Is(err, io.EOF) {
			return sums.n[0]
		} else if err != nil {
			b.Fatal(err)
		}
		n := int(binary.LittleEndian.Uint32(head[:]))
		if cap(p) < n {
			p = make([]byte, n)
		}
		if _, err := io.ReadFull(r, p[:n]); err != nil {
			b.Fatal(err)
		}
		if err := book.Packed(p[:n]).Open(&sheet); err != nil {
			b.Fatal(err)
		}
		sums.add(&sheet)
	}
}

// add adds one neck a transaction, in turns with flushes of the neck's own
// bytes appended to a file of the same disk.
func (s benchStore) add(b *testing.B) {
	const turns, each = 20, 50
	address := s.fresh(b)
	st := s.open(b, address)
	defer st.Close()
	f, err := os.Create(filepath.Join(b.TempDir(), "flushed"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	w := booktest.Workshop{Necks: 1_000_000, Seed: 1}
	var adds, flushes time.Duration
	n := 0
	for b.Loop() {
		for range turns {
			var entries []*book.Entry
			for range each {
				n++
				entries = append(entries, w.Entry(n))
			}
			start := time.Now()
			for _, e := range entries {
				if r, err := st.Add(context.Background(), e); err != nil || !r.New {
					b.Fatalf("%+v, %v", r, err)
				}
			}
			adds += time.Since(start)
			start = time.Now()
			for _, e := range entries {
				if _, err := f.Write(append(e.Files.Readings.Bytes[:len(e.Files.Readings.Bytes):len(e.Files.Readings.Bytes)], e.Derived.Crowns...)); err != nil {
					b.Fatal(err)
				}
				if err := f.Sync(); err != nil {
					b.Fatal(err)
				}
			}
			flushes += time.Since(start)
		}
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(n)/adds.Seconds(), "necks/s")
	b.ReportMetric(float64(n)/flushes.Seconds(), "flushes/s")
	b.ReportMetric(flushes.Seconds()/adds.Seconds(), "of-flush")
}
