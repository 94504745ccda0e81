package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/salvage"
	"ringtrue/internal/book/sqlite"
)

// bookCall runs one command and gives what it says.
func bookCall(args ...string) (status int, out, errOut string) {
	var o, e bytes.Buffer
	status = Run(context.Background(), args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

// smallBook makes a book of a few records of the examples' readings, a note and a play-through, and gives its bytes.
func smallBook(t *testing.T, path string, records int) []byte {
	t.Helper()
	neck, readings := "../../examples/heron.toml", "../../examples/heron-seated.csv"
	for n := range records {
		if status, _, errOut := bookCall("book", "add", fmt.Sprintf("%04d", 412+n), neck, readings, "--stage", "seated", "--book", path); status != exitDone {
			t.Fatalf("%d, %s", status, errOut)
		}
	}
	if status, _, errOut := bookCall("book", "note", "0412", "handed to Ines", "--book", path); status != exitDone {
		t.Fatalf("%d, %s", status, errOut)
	}
	s, err := sqlite.Open(t.Context(), path, sqlite.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	booktest.KeepHeard(t, s)
	err = s.Close()
	data, err2 := os.ReadFile(path)
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	return data
}

// Only what the call needs is told apart here; what comes back of which damage is
// package salvage's test.
func TestBookSalvage(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	write := func(name string, data []byte) string {
		if err := os.WriteFile(at(name), data, 0o600); err != nil {
			t.Fatal(err)
		}
		return at(name)
	}
	whole := smallBook(t, at("book.db"), 3)
	headless := bytes.Clone(whole)
	clear(headless[:4096])
	flipped := bytes.Clone(whole)
	flipped[bytes.Index(whole, []byte("0413seated"))] ^= 1
	noNeck := bytes.ReplaceAll(whole, []byte("Heron 22"), []byte("HERON 22"))
	for _, c := range []struct {
		damaged, fresh string
		more           []string
		status, back   int
		notes          int
		say            string
	}{
		{write("headless.db", headless), "a.db", nil, exitDone, 3, 1, ""},
		{at("book.db"), "b.db", nil, exitDone, 3, 1, ""},
		{write("flipped.db", flipped), "c.db", nil, exitFailure, 2, 1, "flipped.db: 1 record lost"},
		{at("flipped.db"), "c.db", nil, exitInput, 0, 0, "c.db: already exists"},
		{write("neck.db", noNeck), "d0.db", nil, exitFailure, 0, 1, "3 records lost"},
		{at("neck.db"), "d.db", []string{"--with", "../../examples/heron.toml", "--with", "../../examples/heron-seated.csv"}, exitFailure, 3, 1, "3 records lost in part"}, // the model's name is among the results
		{write("text.db", []byte("no book at all, but a text")), "e.db", nil, exitFailure, 0, 0, "no record could be recovered"},
		{at("none.db"), "f.db", nil, exitInput, 0, 0, "no such file"},
		{at("book.db"), "none/g.db", nil, exitInput, 0, 0, "no such folder"},
		{at("book.db"), "h.db", []string{"--with", at("none.toml")}, exitInput, 0, 0, "--with: " + at("none.toml")},
		{"postgres://ines@bench/book", "i.db", nil, exitInput, 0, 0, "works on book files"},
	} {
		args := append([]string{"book", "salvage", c.damaged, at(c.fresh), "--json"}, c.more...)
		before, _ := os.ReadFile(c.damaged)
		status, out, errOut := bookCall(args...)
		if status != c.status || !strings.Contains(errOut, c.say) || (c.say == "") != (errOut == "") {
			t.Errorf("%v: %d, %q; want %d, %q", args, status, errOut, c.status, c.say)
		}
		if after, _ := os.ReadFile(c.damaged); !bytes.Equal(before, after) {
			t.Errorf("%s was written to", c.damaged)
		}
		var a salvage.Salvaged
		if out != "" {
			if err := json.Unmarshal([]byte(out), &a); err != nil {
				t.Error(err)
			}
		}
		if a.Records != c.back || a.Notes != c.notes || a.Heard != c.notes || len(a.LostNotes)+len(a.LostHeard)+len(a.HurtHeard) > 0 {
			t.Errorf("%v: %d came back, want %d, %d of %d notes and play-throughs: %s", args, a.Records, c.back, a.Notes+a.Heard, 2*c.notes, out)
		}
		if c.back == 0 {
			continue
		}
		if status, out, errOut := bookCall("book", "check", "--book", at(c.fresh)); status != exitDone || !strings.HasPrefix(out, "OK: ") {
			t.Errorf("%s: %d, %s%s", c.fresh, status, out, errOut)
		}
		if status, out, _ := bookCall("book", "salvage", c.damaged, at("text-"+c.fresh)); status != c.status && len(c.more) == 0 || !strings.Contains(out, " recovered into ") && len(c.more) == 0 {
			t.Errorf("in words: %d, %s", status, out)
		}
	}
	files, err := filepath.Glob(at("*.db?*"))
	hidden, _ := filepath.Glob(at(".*"))
	if err != nil || len(files)+len(hidden) > 0 {
		t.Errorf("left behind: %v %v, %v", files, hidden, err)
	}
}
