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
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// crownSums are the sums of every crown, in steps.
type crownSums struct {
	n, sum, square [160]int64
}

// add sums up one neck's crowns. All benchmark necks are of one shape.
func (c *crownSums) add(s *book.CrownTable) {
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
		var sheet book.CrownTable
		err := st.Scan(context.Background(), book.Filter{}, book.CrownColumns, func(r *book.Row) error {
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
	var sheet book.CrownTable
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
