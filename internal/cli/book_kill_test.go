package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
)

// program is this test's own program run as ringtrue.
func program(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return &exec.Cmd{Path: exe, Args: append([]string{"ringtrue"}, args...), Env: append(os.Environ(), "RINGTRUE_BOOK=")}
}

// run runs the program to its end.
func run(t *testing.T, args ...string) string {
	t.Helper()
	out, err := program(t, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %v\n%s", args, err, out)
	}
	return string(out)
}

// killedAfter kills the program once it has printed so many lines and a little
// time has gone by, and gives all it printed.
func killedAfter(t *testing.T, lines int, wait time.Duration, args ...string) string {
	t.Helper()
	c := program(t, args...)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	one := make([]byte, 1)
	for n := 0; n < lines; {
		if _, err := out.Read(one); err != nil {
			break // it was quicker
		}
		text.Write(one)
		n += bytes.Count(one, []byte("\n"))
	}
	time.Sleep(wait)
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	rest, err := io.ReadAll(out)
	if err != nil {
		t.Fatal(err)
	}
	_ = c.Wait() // killed, or quicker: both will do
	return text.String() + string(rest)
}

// TestBook_Killed kills `book add --folder` and `book import` at seeded moments.
// Every record that a line names is in the book under its number, `book check`
// is content, and the same call again brings in the rest.
func TestBook_Killed(t *testing.T) {
	const seed, necks = 412, 24
	dir := t.TempDir()
	folder, neck := filepath.Join(dir, "readings"), "../../examples/heron.toml"
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	for n := range necks {
		text := fmt.Sprintf("method,lane,fret,reading,unit\nbeam,1,1,0.4,mm\nbeam,1,2,0.4%02d,mm\nbeam,1,3,0.4,mm\n", n)
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%04d.csv", n)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	whole, export := filepath.Join(dir, "whole.db"), filepath.Join(dir, "export")
	add := []string{"book", "add", "--folder", folder, neck, "--stage", "seated", "--book"}
	run(t, append(add, whole)...)
	run(t, "book", "export", export, "--book", whole)
	imp := []string{"book", "import", export, "--book"}

	rounds := 6
	if testing.Short() {
		rounds = 4
	}
	rng := rand.New(rand.NewPCG(seed, 0))
	named := 0
	for round := range rounds {
		path := filepath.Join(dir, fmt.Sprintf("book%d.db", round))
		call, lines := append(add[:len(add):len(add)], path), rng.IntN(necks/2)
		if round%2 == 1 {
			call, lines = append(imp[:len(imp):len(imp)], path), rng.IntN(2)
		}
		wait := time.Duration(rng.IntN(5000)) * time.Microsecond
		if lines == 0 { // while it starts, or begins the book
			wait = time.Duration(rng.IntN(80)) * time.Millisecond
		}
		said := printedRecords(t, killedAfter(t, lines, wait, call...))
		named += len(said)
		if _, err := os.Stat(path); err != nil {
			if len(said) > 0 {
				t.Errorf("round %d: %d records are printed and there is no book", round, len(said))
			}
			continue
		}
		holdAgainst(t, path, said)
		run(t, call...) // the rest
		if there := holdAgainst(t, path, said); there != necks {
			t.Errorf("round %d: run again, the book holds %d records; want %d", round, there, necks)
		}
		var checked struct {
			OK      bool
			Records int
		}
		if out := run(t, "book", "check", "--json", "--book", path); json.Unmarshal([]byte(out), &checked) != nil || !checked.OK || checked.Records != necks {
			t.Errorf("round %d: book check says %s", round, out)
		}
		if t.Failed() {
			t.Fatalf("seed %d, round %d: %v killed after %d lines and %v", seed, round, call, lines, wait)
		}
	}
	if named == 0 {
		t.Error("no program printed a record: nothing was tested")
	}
}

// printedRecords reads lines such as "record 3: 0002 seated, kept: …": number to
// serial. A last line cut short was not said.
func printedRecords(t *testing.T, text string) map[int64]string {
	t.Helper()
	said := map[int64]string{}
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "record ") || !strings.HasSuffix(line, "\n") {
			continue
		}
		var number int64
		var serial string
		if _, err := fmt.Sscanf(strings.Replace(line, ":", " ", 1), "record %d %s", &number, &serial); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		said[number] = serial
	}
	return said
}

// holdAgainst fails unless the book is whole and holds what was printed; it
// gives how many records there are.
func holdAgainst(t *testing.T, path string, said map[int64]string) int {
	t.Helper()
	s, err := sqlite.Open(context.Background(), path, sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	there := booktest.Whole(t, s)
	for n, serial := range said {
		if there[n] != serial {
			t.Errorf("record %d was printed for %s; the book has %q", n, serial, there[n])
		}
	}
	return len(there)
}
