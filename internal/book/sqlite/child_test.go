package sqlite

import (
	"bufio"
	"context"
	"errors"
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
	"ringtrue/internal/casetest"
)

// childVariable makes the test's own program be another program at the book.
const childVariable = "RINGTRUE_TEST_CHILD"

func TestMain(m *testing.M) {
	if what := os.Getenv(childVariable); what != "" {
		if err := child(what, os.Args[1:]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		os.Exit(0)
	}
	casetest.Main(m)
}

// childCommand is a command that does a child's work at a book: from the first
// neck, so many.
func childCommand(what, path string, first, many int) *exec.Cmd {
	c := exec.Command(os.Args[0], path, strconv.Itoa(first), strconv.Itoa(many))
	c.Env = append(os.Environ(), childVariable+"="+what)
	return c
}

func child(what string, args []string) error {
	path := args[0]
	first, err1 := strconv.Atoi(args[1])
	many, err2 := strconv.Atoi(args[2])
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	switch what {
	case "add":
		return childPut(path, first, many, 1)
	case "import":
		return childPut(path, first, many, importBatch)
	case "read":
		return childRead(path)
	}
	return childOfThisSystem(what, path)
}

// importBatch is how many records a child imports at once.
const importBatch = 25

// childPut puts necks into the book, a batch at a time, and prints each record
// once its batch is said to be safe: number, serial, new or not.
func childPut(path string, first, many, batch int) error {
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Create: true, Now: time.Now})
	if err != nil {
		return err
	}
	out := bufio.NewWriter(os.Stdout)
	for n := first; n < first+many; n += batch {
		var entries []*book.Entry
		for i := range batch {
			entries = append(entries, booktest.Entry(n+i, "seated", 1))
		}
		var receipts []book.Receipt
		if batch == 1 {
			r, err := s.Add(ctx, entries[0])
			if err != nil {
				return err
			}
			receipts = []book.Receipt{r}
		} else if receipts, err = s.Import(ctx, entries); err != nil {
			return err
		}
		for i, r := range receipts {
			fmt.Fprintf(out, "%d %s %t\n", r.Number, entries[i].Serial, r.New)
		}
		if err := out.Flush(); err != nil {
			return err
		}
	}
	return s.Close()
}

// printed is a line of childPut.
type printed struct {
	number int64
	serial string
	fresh  bool
}

// readPrinted reads whole lines; a last one cut short was never said.
func readPrinted(t *testing.T, text string) []printed {
	t.Helper()
	var all []printed
	for line := range strings.Lines(text) {
		if !strings.HasSuffix(line, "\n") {
			break
		}
		var p printed
		if _, err := fmt.Sscanf(line, "%d %s %t", &p.number, &p.serial, &p.fresh); err != nil {
			t.Fatalf("a line of the child reads %q: %v", line, err)
		}
		all = append(all, p)
	}
	return all
}

// childRead reads a book through, tries to add to it, and says how that went.
func childRead(path string) error {
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Now: time.Now})
	if err != nil {
		return err
	}
	bad, err := s.Verify(ctx)
	if err != nil {
		return err
	}
	whole := 0
	for n, err := range book.Numbers(ctx, s) {
		if err != nil {
			return err
		}
		r, err := s.Record(ctx, n)
		if err != nil {
			return err
		}
		f, err := s.Files(ctx, n)
		if err != nil {
			return err
		}
		if err := book.Whole(&r, f); err != nil {
			return err
		}
		whole++
	}
	_, err = s.Add(ctx, booktest.Entry(9999, "seated", 1))
	fmt.Printf("whole %d, unsound %d, refused %t: %v\n", whole, len(bad), errors.Is(err, book.ErrReadOnly), err)
	return s.Close()
}

// names lists a folder's files.
func names(t testing.TB, dir string) string {
	t.Helper()
	found, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, f := range found {
		all = append(all, filepath.Base(f.Name()))
	}
	return strings.Join(all, " ")
}

// fill makes a closed book of necks 0 to n-1.
func fill(t testing.TB, path string, n int) {
	t.Helper()
	s, err := Open(context.Background(), path, Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	var entries []*book.Entry
	for i := range n {
		entries = append(entries, booktest.Entry(i, "seated", 1))
	}
	if _, err := s.Import(context.Background(), entries); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}
