package sqlite

import (
	"bytes"
	"flag"
	"io"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
)

// kills is how many programs are killed at work. All 500:
//
//	go test ./internal/book/sqlite -run Kill -kills 500 -timeout 20m
var kills = flag.Int("kills", 18, "how many programs TestKill kills while they add to a book")

// killsABook is how many programs die over one book before a new one is begun.
const killsABook = 6

// TestKill kills programs that add or import, at seeded moments from the
// book's beginning on: after so many printed lines and a little more. What was
// printed must be there, whole, and nothing by half.
func TestKill(t *testing.T) {
	const seed = 20260302
	rng := rand.New(rand.NewPCG(seed, 0))
	rounds := *kills
	if testing.Short() {
		rounds = min(rounds, 6)
	}
	var path string
	printedOf, next := map[int64]string{}, 0
	lines, unsaid := 0, 0
	for round := range rounds {
		if round%killsABook == 0 {
			path = filepath.Join(t.TempDir(), "book.db")
			printedOf, next = map[int64]string{}, 0
		}
		what, batch := "add", 1
		if rng.IntN(2) == 0 {
			what, batch = "import", importBatch
		}
		moment := killMoment{lines: rng.IntN(40 + 2*batch), wait: time.Duration(rng.IntN(3000)) * time.Microsecond}
		if round%killsABook == 0 && rng.IntN(2) == 0 { // while the book is begun
			moment = killMoment{wait: time.Duration(rng.IntN(40)) * time.Millisecond}
		}
		said := readPrinted(t, killed(t, childCommand(what, path, next, 1_000_000), moment))
		for _, p := range said {
			if was, twice := printedOf[p.number]; twice || !p.fresh {
				t.Errorf("round %d: record %d is printed for %s, before for %q", round, p.number, p.serial, was)
			}
			printedOf[p.number] = p.serial
		}
		lines += len(said)
		s := newBook(t, path, time.Now)
		there := booktest.Whole(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for n, serial := range printedOf {
			if there[n] != serial {
				t.Errorf("round %d: record %d was printed for %s; the book has %q", round, n, serial, there[n])
			}
		}
		if more := len(there) - len(printedOf); more != 0 && more != batch {
			t.Errorf("round %d: %s left %d records that were not printed; want none or one batch of %d", round, what, more, batch)
		}
		for n, serial := range there { // safe, but killed before it could say so
			if _, ok := printedOf[n]; !ok {
				printedOf[n] = serial
				unsaid++
			}
		}
		next = len(there)
		if t.Failed() {
			t.Fatalf("seed %d, round %d: %s killed %+v", seed, round, what, moment)
		}
	}
	if lines == 0 {
		t.Error("no child printed a record: nothing was tested")
	}
	t.Logf("%d programs killed (seed %d): %d records printed and there, %d more safe but not yet printed", rounds, seed, lines, unsaid)
}

// killMoment is after so many lines, and a wait.
type killMoment struct {
	lines int
	wait  time.Duration
}

// killed starts a command, kills it at a moment, and gives what it printed.
func killed(t *testing.T, c *exec.Cmd, m killMoment) string {
	t.Helper()
	var talk bytes.Buffer
	c.Stderr = &talk
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	buf := make([]byte, 1)
	for seen := 0; seen < m.lines; {
		if _, err := out.Read(buf); err != nil {
			break
		}
		text.WriteByte(buf[0])
		if buf[0] == '\n' {
			seen++
		}
	}
	time.Sleep(m.wait)
	killErr := c.Process.Kill()
	rest, err := io.ReadAll(out)
	if err != nil {
		t.Fatal(err)
	}
	if c.Wait() == nil || killErr != nil || talk.Len() > 0 {
		t.Fatalf("the child ended by itself: %v, %s", killErr, strconv.Quote(talk.String()))
	}
	return text.String() + string(rest)
}
