package cli

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// Where a book's database gives up or leaves records out, export, check and rebuild go
// on to what is there, name what is not, and never end as if nothing were wrong.
func TestBookDamaged_GoesOn(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	whole := smallBook(t, at("book.db"), 12)
	if len(whole)/4096*4096 != len(whole) || whole[4096] == 0 {
		t.Fatal("pages are not where the test takes them to be")
	}
	cases := map[string]struct {
		spoil func(b []byte) []byte
		back  int // of 12; -1: fewer
	}{
		"beginning":  {func(b []byte) []byte { clear(b[:4096]); return b }, 12},
		"schema":     {func(b []byte) []byte { clear(b[100:4096]); return b }, 12},
		"page count": {func(b []byte) []byte { binary.BigEndian.PutUint32(b[28:], 1<<20); return b }, 12},
		"end":        {func(b []byte) []byte { return b[:len(b)-len(b)/8] }, -1},
		"fewer rows said": {func(b []byte) []byte {
			for p := 4096; p < len(b); p += 4096 {
				if n := binary.BigEndian.Uint16(b[p+3:]); b[p] == 13 && n > 4 {
					binary.BigEndian.PutUint16(b[p+3:], n-1)
				}
			}
			return b
		}, 12},
	}
	for name, c := range cases {
		path := at("damaged.db")
		if err := os.WriteFile(path, c.spoil(bytes.Clone(whole)), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"export", at("out " + name)}, {"check"}, {"rebuild"}} {
			status, out, errOut := bookCall(append(append([]string{"book"}, args...), "--book", path, "--json")...)
			want := exitFailure
			if args[0] == "check" {
				want = exitNot
			}
			if status != want {
				t.Errorf("%s: %s: %d, %s%s; want %d", name, args[0], status, out, errOut, want)
			}
			var a struct {
				Records int
				Notes   struct{ Notes int }
				Heard   struct{ Heard int }
				Bad     []struct{ Record int64 }
			}
			if args[0] == "rebuild" && out == "" {
				continue
			}
			if err := json.Unmarshal([]byte(out), &a); err != nil || len(a.Bad) == 0 {
				t.Errorf("%s: %s: %v, %s%s", name, args[0], err, out, errOut)
			}
			if c.back >= 0 && (a.Notes.Notes != 1 || a.Heard.Heard != 1) && args[0] != "rebuild" {
				t.Errorf("%s: %s: %d notes, %d play-throughs: %s%s", name, args[0], a.Notes.Notes, a.Heard.Heard, out, errOut)
			}
			if args[0] == "export" && (c.back >= 0 && a.Records != c.back || c.back < 0 && (a.Records < 1 || a.Records >= 12)) {
				t.Errorf("%s: %d of 12 exported, want %d: %s%s", name, a.Records, c.back, out, errOut)
			}
			if err := os.WriteFile(path, c.spoil(bytes.Clone(whole)), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if stray, err := filepath.Glob(path + "?*"); err != nil || len(stray) > 0 {
			t.Errorf("%s: left behind: %v, %v", name, stray, err)
			for _, s := range stray {
				os.Remove(s)
			}
		}
	}
}
