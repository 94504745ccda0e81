package book_test

import (
	"context"
	"fmt"
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
// 100,000 necks of 144 crowns; RINGTRUE_BENCH_NECKS=1000,10000 picks others, and
// RINGTRUE_BENCH_STORES=sqlite leaves PostgreSQL out:
//
//	go test ./internal/book -run '^$' -bench Book -benchtime 3x -timeout 1h
//
// import: necks a second, a thousand a transaction. program: a cold start of
// the program itself to its end, with its largest memory. sum: mean and scatter
// of every crown, from packed crowns, a row a crown, and a flat file. add: one
// neck a transaction, beside flushes of the same disk taken in turns.
func BenchmarkBook(b *testing.B) {
	program := buildProgram(b)
	stores := []benchStore{{name: "sqlite"}}
	if os.Getenv("RINGTRUE_BENCH_STORES") != "sqlite" {
		stores = append(stores, benchStore{name: "postgres", server: booktest.StartServer(b)})
	}
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
