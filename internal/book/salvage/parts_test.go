package salvage

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"os"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
)

// What is not the records' own may be gone altogether.
func TestSalvage_NothingButRecordsIsNeeded(t *testing.T) {
	path := workshop(t, 60)
	want := originals(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	where := layoutOf(t, path, file)
	pageOf := func(n int) []byte { return file[(n-1)*where.page : n*where.page] }
	for what, spoil := range map[string]func(b []byte){
		"header and schema": func(b []byte) { clear(b[:4096]) },
		"page count":        func(b []byte) { binary.BigEndian.PutUint32(b[28:], 7) },
		"page size":         func(b []byte) { b[16] = 0x20 },
		"all other pages": func(b []byte) {
			gone := 0
			for n := 1; n*where.page <= len(b); n++ {
				kind := pageOf(n)[0]
				if !where.pages[n] || kind == 5 && pageOf(n)[1] == 0 {
					clear(b[(n-1)*where.page : n*where.page])
					gone++
				}
			}
			if gone < 8 {
				t.Errorf("only %d pages are gone", gone)
			}
		},
		"cell pointers": func(b []byte) {
			for n := range where.pages {
				if pageOf(n)[0] == 13 {
					clear(b[(n-1)*where.page : (n-1)*where.page+8+2*int(binary.BigEndian.Uint16(pageOf(n)[3:]))])
				}
			}
		},
	} {
		b := bytes.Clone(file)
		spoil(b)
		got, a := salvaged(t, b, nil)
		if len(got) != len(want) || len(a.Lost) > 0 {
			t.Errorf("%s: %d of %d came back: %+v", what, len(got), len(want), a)
		}
		for n, w := range want {
			// Of results that were recalculated, either copy may be taken where no pointer tells them apart.
			if why := differs(got[n], w, what != "cell pointers" || n%13 != 3); why != "" {
				t.Errorf("%s: record %d %s", what, n, why)
			}
		}
	}
}

// A neck file that is gone takes its records with it, by name, unless the maker
// still has it; one with other bytes is not taken.
func TestSalvage_With(t *testing.T) {
	path := workshop(t, 30)
	want := originals(t, path)
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const gone = 12
	neck, readings := want[gone].files.Neck, want[gone].files.Readings
	row := neckRows(want, t, path)[gone]
	spoilt := bytes.ReplaceAll(file, neck.Bytes, bytes.ToUpper(neck.Bytes)) // in copies left behind, too
	spoilt = bytes.ReplaceAll(spoilt, readings.Bytes[:200], bytes.ToUpper(readings.Bytes[:200]))
	if bytes.Equal(spoilt, file) || len(spoilt) != len(file) {
		t.Fatal("nothing is gone")
	}
	needs := map[int64]bool{}
	for n, r := range neckRows(want, t, path) {
		needs[n] = r == row
	}
	other := book.File{Name: neck.Name, Bytes: append(bytes.Clone(neck.Bytes), ' ')}
	for _, c := range []struct {
		spare []book.File
		lost  func(n int64) string
	}{
		{[]book.File{other}, func(n int64) string {
			if needs[n] {
				return GoneNeck
			}
			return ""
		}},
		{[]book.File{neck}, func(n int64) string {
			if n == gone {
				return GoneReadings
			}
			return ""
		}},
		{[]book.File{neck, readings}, func(int64) string { return "" }},
	} {
		got, a := salvaged(t, spoilt, nil, c.spare...)
		lost := map[int64]string{}
		for _, l := range a.Lost {
			lost[l.Record] = l.Gone
			if l.Serial != want[l.Record].Serial || l.Stage != want[l.Record].Stage {
				t.Errorf("record %d is named %s %s", l.Record, l.Serial, l.Stage)
			}
		}
		for n, w := range want {
			if lost[n] != c.lost(n) || (lost[n] == "") != (got[n] != nil) {
				t.Errorf("with %d files: record %d: lost %q, want %q", len(c.spare), n, lost[n], c.lost(n))
			}
			if why := differs(got[n], w, true); got[n] != nil && why != "" && why != "it corrects another" {
				t.Errorf("record %d: %s", n, why)
			}
		}
	}
}

// Records that only the log has come back too, but for those whose frames are damaged.
func TestSalvage_Log(t *testing.T) {
	ctx := context.Background()
	path := workshop(t, 20)
	s, err := sqlite.Open(ctx, path, sqlite.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	for n := 100; n < 120; n++ {
		if _, err := s.Add(ctx, booktest.Entry(n, "seated", 1)); err != nil {
			t.Fatal(err)
		}
	}
	file, err1 := os.ReadFile(path)
	wal, err2 := os.ReadFile(path + "-wal")
	if err := errors.Join(err1, err2, s.Close()); err != nil || len(wal) < 20*4096 {
		t.Fatal(len(wal), err)
	}
	want := originals(t, path)
	for what, b := range map[string][]byte{"with its log": file, "without the file's beginning": append(make([]byte, 4096), file[4096:]...)} {
		got, a := salvaged(t, b, wal)
		if len(want) != 40 || len(got) != len(want) || len(a.Lost)+len(a.Hurt) > 0 {
			t.Errorf("%s: %d of %d came back: %+v", what, len(got), len(want), a)
		}
	}
	without, _ := salvaged(t, file, nil)
	if len(without) != 20 {
		t.Errorf("without the log: %d", len(without))
	}
	for at := 100; at < len(wal); at += len(wal) / 9 {
		b := bytes.Clone(wal)
		b[at] ^= 1
		got, a := salvaged(t, file, b)
		if len(got) < 38 {
			t.Errorf("byte %d of the log: only %d came back: %+v", at, len(got), a)
		}
		for n, e := range got {
			if why := differs(e, want[n], true); why != "" {
				t.Errorf("byte %d of the log: record %d %s", at, n, why)
			}
		}
	}
}
