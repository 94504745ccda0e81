package salvage

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/pages"
	"ringtrue/internal/book/sqlite"
)

var salvages = flag.Int("salvages", 20, "how many books of each kind of damage are salvaged")

// workshop makes a book of several necks: files short and long, corrections, results
// recalculated. It gives its path.
func workshop(t *testing.T, necks int) string {
	t.Helper()
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book.db")
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	s, err := sqlite.Open(ctx, path, sqlite.Options{Create: true, Now: func() time.Time { now = now.Add(time.Minute); return now }})
	if err != nil {
		t.Fatal(err)
	}
	var last book.Identity
	for n := range necks {
		e := booktest.Entry(n, "seated", 1)
		e.Note = strings.Repeat("pressed twice; ", n%9)
		e.Files.Neck.Bytes = fmt.Appendf(e.Files.Neck.Bytes, "# model %d\n%s", n%7, strings.Repeat("# rosewood\n", 600*(n%7/5)))
		if n%11 == 3 { // readings of a few words, and long ones
			e.Files.Readings.Bytes = e.Files.Readings.Bytes[:40]
		} else if n%11 == 7 {
			e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, bytes.Repeat([]byte("# read again\n"), 2000)...)
		}
		if n%5 == 4 {
			e.Serial, e.Stage, e.Corrects, e.Why = fmt.Sprintf("%06d", n-1), "seated", &last, "another lot"
		}
		if _, err := s.Add(ctx, e); err != nil {
			t.Fatal(err)
		}
		last = e.Identity()
	}
	if _, err := s.AddNotes(ctx, saidOf(necks+20)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddHeard(ctx, heardOn(necks*2/3)); err != nil {
		t.Fatal(err)
	}
	for number := int64(3); number < int64(necks); number += 13 {
		r, err := s.Record(ctx, number)
		if err != nil {
			t.Fatal(err)
		}
		r.Derived.Model = strings.Repeat("long ", 90) // its row moves
		if err := s.Rederive(ctx, book.Rederived{Number: number, Derived: &r.Derived}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// original is a record as an undamaged book has it.
type original struct {
	book.Record
	files book.Files
}

func originals(t *testing.T, path string) map[int64]original {
	t.Helper()
	ctx := context.Background()
	s, err := sqlite.Open(ctx, path, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all := map[int64]original{}
	for n, err := range book.Numbers(ctx, s) {
		if err != nil {
			t.Fatal(err)
		}
		r, err1 := s.Record(ctx, n)
		f, err2 := s.Files(ctx, n)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		all[n] = original{r, f}
	}
	return all
}

// shelf is a store that only takes: what a salvage puts into a book.
type shelf struct {
	book.Store
	entries map[int64]*book.Entry
	notes   map[int64]book.Said
	heard   map[int64]book.Heard
	next    int64
}

func (s *shelf) Import(_ context.Context, entries []*book.Entry) (receipts []book.Receipt, err error) {
	for _, e := range entries {
		n := e.Number
		if _, taken := s.entries[n]; n == 0 || taken {
			s.next++
			n = s.next
		}
		s.entries[n] = e
		receipts = append(receipts, book.Receipt{Number: n, New: true, Added: e.Added})
	}
	return receipts, nil
}

// salvaged is what comes back of a file and its log.
func salvaged(t *testing.T, file, wal []byte, spare ...book.File) (map[int64]*book.Entry, *Salvaged) {
	t.Helper()
	s, a := shelved(t, file, wal, spare...)
	return s.entries, a
}

func shelved(t *testing.T, file, wal []byte, spare ...book.File) (*shelf, *Salvaged) {
	t.Helper()
	ctx := context.Background()
	source := func(b []byte) pages.Source { return pages.Source{ReaderAt: bytes.NewReader(b), Size: int64(len(b))} }
	p, err := pages.Open(source(file), source(wal))
	if err != nil {
		t.Fatal(err)
	}
	found, err := Find(ctx, p, spare)
	if err != nil {
		t.Fatal(err)
	}
	to := &shelf{entries: map[int64]*book.Entry{}, notes: map[int64]book.Said{}, heard: map[int64]book.Heard{}, next: 1 << 40}
	judge := book.Judge{Program: "test", Files: func(context.Context, book.Files) (d book.Derived, err error) {
		d.Model = "recalculated"
		return d, nil
	}}
	a, err := found.Put(ctx, to, judge, func(int, int) {})
	if err != nil {
		t.Fatal(err)
	}
	if a.Records != len(to.entries) || a.Notes != len(to.notes) || a.Heard != len(to.heard) {
		t.Errorf("says %d records, %d notes and %d play-throughs; %d, %d and %d came", a.Records, a.Notes, a.Heard, len(to.entries), len(to.notes), len(to.heard))
	}
	return to, a
}

// An undamaged book comes back as it was, and nothing is said to be gone.
func TestSalvage_Undamaged(t *testing.T) {
	path := workshop(t, 60)
	want := originals(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got, a := salvaged(t, file, nil)
	if !a.Whole() || len(a.Free) > 0 || len(got) != len(want) {
		t.Errorf("%d of %d came back: %+v", len(got), len(want), a)
	}
	for n, w := range want {
		if why := differs(got[n], w, true); why != "" {
			t.Errorf("record %d: %s", n, why)
		}
	}
}

// differs says in what an entry is not the original; results: whether those count.
func differs(e *book.Entry, w original, results bool) string {
	switch {
	case e == nil:
		return "did not come back"
	case !reflect.DeepEqual(e.Files, w.files):
		return "its files are others"
	case e.Serial != w.Serial || e.Stage != w.Stage || e.Note != w.Note || e.By != w.By || e.Why != w.Why || !e.Added.Equal(w.Added) || !reflect.DeepEqual(e.Tags, w.Tags):
		return "its words are others"
	case (e.Corrects == nil) != (w.Corrects == nil) || e.Corrects != nil && *e.Corrects != *w.Corrects:
		return "it corrects another"
	case results && !reflect.DeepEqual(e.Derived, w.Derived):
		return "its results are others"
	}
	return ""
}

// damaged is a book's file after damage, and where that lies.
type damaged struct {
	file []byte
	at   stretch
}

func damages() map[string]func(*rand.Rand, []byte) damaged {
	return map[string]func(*rand.Rand, []byte) damaged{
		"one byte": func(r *rand.Rand, b []byte) damaged {
			at := r.IntN(len(b))
			b[at] ^= byte(1 + r.IntN(255))
			return damaged{b, stretch{at, at + 1}}
		},
		"a run of 4096": func(r *rand.Rand, b []byte) damaged {
			at := r.IntN(len(b) - 4096)
			noise := r.IntN(2) == 0
			for i := range 4096 {
				b[at+i] = 0
				if noise {
					b[at+i] = byte(r.IntN(256))
				}
			}
			return damaged{b, stretch{at, at + 4096}}
		},
		"the end cut off": func(r *rand.Rand, b []byte) damaged {
			left := len(b) - len(b)/50 - r.IntN(len(b)*8/100)
			return damaged{b[:left], stretch{left, len(b)}}
		},
	}
}

// TestSalvage_Damage spoils a book and holds what comes back against where the damage
// lies: every record none of whose bytes were touched must be back as it was, every
// other one be named, and nothing may come back changed.
func TestSalvage_Damage(t *testing.T) {
	path := workshop(t, 60)
	want := originals(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	neckOf := neckRows(want, t, path)
	for kind, damage := range damages() {
		t.Run(kind, func(t *testing.T) {
			whole, part, back, named := 0, 0, 0, 0
			for seed := range *salvages {
				d := damage(rand.New(rand.NewPCG(uint64(seed), 18)), bytes.Clone(file))
				got, a := salvaged(t, d.file, nil)
				lost := map[int64]bool{}
				for _, l := range append(a.Lost, a.Hurt...) {
					lost[l.Record] = true
				}
				for n, w := range want {
					files := append(append([]stretch{}, where.readings[n]...), where.neck[neckOf[n]]...)
					if w.CorrectsNo != 0 {
						files = append(files, where.record[w.CorrectsNo]...)
						files = append(files, where.readings[w.CorrectsNo]...)
						files = append(files, where.neck[neckOf[w.CorrectsNo]]...)
					}
					switch e := got[n]; {
					case !touches(d.at, append(files, where.record[n]...)):
						whole++
						if why := differs(e, w, true); why != "" {
							t.Errorf("seed %d: record %d is whole, and %s", seed, n, why)
						}
					case !touches(d.at, append(files, where.sealed[n]...)):
						part++
						if why := differs(e, w, false); why != "" || !lost[n] && differs(e, w, true) != "" {
							t.Errorf("seed %d: record %d has lost its results alone, and %s (named: %v)", seed, n, why, lost[n])
						}
					case e == nil && !lost[n] && !a.Cut:
						t.Errorf("seed %d: record %d is lost and not named: %+v", seed, n, a)
					}
					if lost[n] {
						named++
					}
				}
				back += checkBack(t, seed, got, want, lost)
			}
			t.Logf("%d damaged books: %d records whole and %d but for their results; %d came back, %d were named", *salvages, whole, part, back, named)
			if whole == 0 || back < whole {
				t.Error("nothing was tested")
			}
		})
	}
}

// checkBack fails where something came back that never was, and counts the rest.
func checkBack(t *testing.T, seed int, got map[int64]*book.Entry, want map[int64]original, named map[int64]bool) int {
	t.Helper()
	for n, e := range got {
		w, known := want[n]
		if !known {
			t.Errorf("seed %d: record %d never was", seed, n)
			continue
		}
		if why := differs(e, w, !named[n]); why != "" && !(named[n] && why == "it corrects another") {
			t.Errorf("seed %d: record %d came back, but %s", seed, n, why)
		}
	}
	return len(got)
}

// neckRows gives the row of each record's neck file.
func neckRows(want map[int64]original, t *testing.T, path string) map[int64]int64 {
	t.Helper()
	db := openRaw(t, path)
	rows := map[int64]int64{}
	for n := range want {
		var neck int64
		if err := db.QueryRow("SELECT neck FROM record WHERE number = ?", n).Scan(&neck); err != nil {
			t.Fatal(err)
		}
		rows[n] = neck
	}
	return rows
}
