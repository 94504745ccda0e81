package sqlite

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
)

// powerCuts is how many ways of losing power are tried at each call.
var powerCuts = flag.Int("power", 1, "ways in which power fails at each call to the disk")

// workload is something that is asked of a book on a disk.
type workload struct {
	name  string
	begin int   // records there beforehand; -1: no book
	steps fs.FS // the program's
	batch int   // records go in so many at a time, all of them or none
	most  int   // records there afterwards
	opens bool  // the disk fails while the book is opened, too
	later bool  // steps lead on from the book's version

	// do does it with the book open, and says how many records were promised.
	do func(s *Store, promise func(records int)) error
}

const backupName = "kept.db"

func workloads(t testing.TB) []workload {
	t.Helper()
	ctx := context.Background()
	adds := func(begin, many int) func(*Store, func(int)) error {
		return func(s *Store, promise func(int)) error {
			for n := range many {
				if _, err := s.Add(ctx, booktest.Entry(100+n, "seated", 1)); err != nil {
					return err
				}
				promise(begin + n + 1)
			}
			return nil
		}
	}
	return []workload{
		{name: "begin", opens: true, begin: -1, steps: later(t), batch: 1, most: 2, do: adds(0, 2)},
		{name: "add", opens: true, begin: 2, steps: later(t), batch: 1, most: 4, do: adds(2, 2)},
		{name: "import", begin: 2, steps: later(t), batch: 4, most: 10, do: func(s *Store, promise func(int)) error {
			for half := range 2 {
				var all []*book.Entry
				for n := range 4 {
					all = append(all, booktest.Entry(200+4*half+n, "seated", 1))
				}
				if _, err := s.Import(ctx, all); err != nil {
					return err
				}
				promise(6 + 4*half)
			}
			return nil
		}},
		{name: "backup", begin: 2, steps: later(t), batch: 1, most: 2, do: func(s *Store, promise func(int)) error {
			err := s.Backup(ctx, filepath.Join(filepath.Dir(s.path), backupName))
			if err == nil {
				promise(backedUp)
			}
			return err
		}},
		{name: "migrate", opens: true, later: true, begin: 2, steps: later(t, shopTable), batch: 1, most: 3, do: adds(2, 1)},
	}
}

// backedUp is promised where a backup is.
const backedUp = -1

// open opens a workload's book as its program does.
func (w *workload) open(path string, f files) (*Store, error) {
	clock := &booktest.Clock{At: time.Date(2026, 3, 2, 9, 30, 0, 0, time.UTC)}
	return open(context.Background(), path, Options{Create: w.begin < 0, Now: clock.Now, files: f}, w.steps)
}

// start lays the book of before into a disk's folder.
func (w *workload) start(t testing.TB, d *disk) {
	t.Helper()
	if w.begin >= 0 {
		fill(t, d.path("book.db"), w.begin)
	}
}

// run opens the book and does the work. Where that fails, the disk is mended and
// the same open book tries again: its second error is fatal.
func (w *workload) run(d *disk) (told promises, first, second error) {
	told.records = max(w.begin, 0)
	s, err := w.open(d.path("book.db"), d)
	if err != nil {
		return told, err, nil
	}
	defer s.Close()
	if !w.opens {
		d.skipped = d.count()
	}
	promise := func(n int) {
		if n == backedUp {
			told.backup = true
		} else {
			told.records = n
		}
		d.note(event{kind: promised, told: told})
	}
	if first = w.do(s, promise); first != nil {
		d.set(nil)
		if second = w.do(s, promise); errors.Is(second, fs.ErrExist) {
			second = nil
		}
	}
	return told, first, second
}

// promises are what a book has said is there.
type promises struct {
	records int
	backup  bool
}

// check opens the book of a folder and says what is wrong with it: something
// promised is gone, a batch is there in part, it is not sound, or the work cannot
// be done again to its end.
func (w *workload) check(dir string, told promises) error {
	if err := copyIsWhole(filepath.Join(dir, backupName), w.begin); err != nil && (told.backup || !errors.Is(err, book.ErrNoBook)) {
		return fmt.Errorf("the backup: %w", err)
	}
	s, err := w.open(filepath.Join(dir, "book.db"), nil)
	if err != nil {
		return err
	}
	defer s.Close()
	if w.later {
		if err := oldIsKept(dir, w.begin); err != nil {
			return err
		}
	}
	n, err := s.Count(context.Background())
	if err != nil {
		return err
	}
	if n < told.records || n > w.most || (n-max(w.begin, 0))%w.batch != 0 {
		return fmt.Errorf("it holds %d records; promised were %d, at most %d, %d at a time", n, told.records, w.most, w.batch)
	}
	if err := w.do(s, func(int) {}); err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("done again: %w", err)
	}
	return holds(s, w.most)
}

// oldIsKept says what is wrong with the copies of a book that was changed to a later
// version: one must be whole, and none a part.
func oldIsKept(dir string, records int) error {
	kept, err := filepath.Glob(filepath.Join(dir, "book.db.version-*.db"))
	whole := 0
	for _, path := range kept {
		switch e := copyIsWhole(path, records); {
		case e == nil:
			whole++
		case !errors.Is(e, book.ErrNoBook): // a name that is only taken
			return fmt.Errorf("the copy %s: %w", filepath.Base(path), e)
		}
	}
	if err == nil && whole == 0 {
		err = fmt.Errorf("changed to a later version without a copy: %v", kept)
	}
	return err
}

// copyIsWhole says what is wrong with a backup.
func copyIsWhole(path string, records int) error {
	s, err := Open(context.Background(), path, Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer s.Close()
	return holds(s, records)
}

// Power fails before and after every call that changes the disk: what was
// promised is there, and the book is sound.
func TestPower_EveryCall(t *testing.T) {
	casetest.OneByOne(t)
	t.Parallel()
	for _, w := range workloads(t) {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			d := newDisk(t)
			w.start(t, d)
			p := platterOf(t, d.dir)
			p.told.records = max(w.begin, 0)
			d.events = nil
			if _, err, _ := w.run(d); err != nil {
				t.Fatal(err)
			}
			tried := w.cutEverywhere(t, p, d.events)
			t.Logf("%d changes of the disk, %d different states after a loss of power", len(d.events), tried)
			if tried < 20 {
				t.Errorf("only %d states: the search is broken", tried)
			}
		})
	}
}

// cutEverywhere brings a platter on event by event, and checks what a loss of
// power leaves of it.
func (w *workload) cutEverywhere(t *testing.T, p *platter, events []event) (tried int) {
	t.Helper()
	rng := rand.New(rand.NewPCG(18, 6))
	var seen sync.Map
	for i, e := range events {
		p.apply(e)
		for cut := range 1 + *powerCuts {
			of := rng
			if cut == 0 {
				of = nil // nothing that is not safe stays
			}
			if err := w.checkOnce(t, p.left(of), p.told, &seen); err != nil {
				t.Errorf("power lost after change %d of %d (%s), way %d: %v", i+1, len(events), e, cut, err)
			}
		}
	}
	seen.Range(func(any, any) bool { tried++; return true })
	return tried
}
