package sqlite

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
)

// everyFault has each call fail in each way; else they take turns.
var everyFault = flag.Bool("faults", false, "let every call to the disk fail in every way")

// way is a way in which a disk fails from a call on.
type way struct {
	name string
	how  func(n, at int, what string) int
}

func ways() []way {
	return []way{
		{"once", func(n, at int, _ string) int { return when(n == at, failed) }},
		{"from then on", func(n, at int, _ string) int { return when(n >= at, failed) }},
		{"no room", func(n, at int, what string) int {
			takes := what == "write" || what == "map" || what == "sync" || what == "temp"
			return when(n >= at && takes, noRoom)
		}},
		{"half a write", func(n, at int, _ string) int { return when(n == at, torn) }},
	}
}

func when(so bool, how int) int {
	if so {
		return how
	}
	return noFault
}

// The disk fails at every call: it is said, the same open book goes on once the
// disk is mended, and a program that comes later finds all that was promised.
func TestFaults_EveryCall(t *testing.T) {
	casetest.OneByOne(t)
	t.Parallel()
	for _, w := range workloads(t) {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			first := newDisk(t)
			w.start(t, first)
			before := filesOf(t, first.dir)
			first.set(nil) // calls count from here, as in each run
			if _, err, _ := w.run(first); err != nil {
				t.Fatal(err)
			}
			// Several at a time, as the tables' library waits for a second where it
			// can't write.
			const together = 8
			var wg sync.WaitGroup
			room := make(chan struct{}, together)
			var tried, hit atomic.Int32
			var seen sync.Map
			for at := first.skipped + 1; at <= first.count(); at++ {
				for i, way := range ways() {
					if !*everyFault && at%len(ways()) != i {
						continue
					}
					room <- struct{}{}
					wg.Go(func() {
						defer func() { <-room }()
						tried.Add(1)
						if w.withFault(t, before, at, way, &seen) != nil {
							hit.Add(1)
						}
					})
				}
			}
			wg.Wait()
			t.Logf("%d calls, %d runs with a fault, %d told", first.count(), tried.Load(), hit.Load())
			if tried.Load() < 30 || hit.Load() < tried.Load()/4 {
				t.Errorf("only %d faults, %d of them told: the search is broken", tried.Load(), hit.Load())
			}
		})
	}
}

// withFault does the work on a disk that fails at a call, and gives what it says of it.
func (w *workload) withFault(t *testing.T, before map[string][]byte, at int, way way, seen *sync.Map) (first error) {
	t.Helper()
	d := newDisk(t)
	defer os.RemoveAll(d.dir)
	lay(t, d.dir, before)
	p := platterOf(t, d.dir)
	call := ""
	d.set(func(n int, what string) int {
		if n == at {
			call = what
		}
		return way.how(n, at, what)
	})
	told, first, second := w.run(d)
	d.set(nil)
	where := fmt.Sprintf("call %d (%s), %s: %v", at, call, way.name, first)
	var ofFile *fs.PathError
	switch {
	case book.IsCall(first):
		t.Errorf("%s: the user is blamed", where)
	case first != nil && !book.IsKnown(first) && !failing(first) && !errors.As(first, &ofFile):
		t.Errorf("%s: not in plain words", where)
	case second != nil:
		t.Errorf("%s; with the disk mended: %v", where, second)
	}
	for _, e := range d.events {
		p.apply(e)
	}
	if err := w.checkOnce(t, p.left(nil), told, seen); err != nil {
		t.Errorf("%s; after a loss of power: %v", where, err)
	}
	if err := w.checkOnce(t, filesOf(t, d.dir), told, seen); err != nil {
		t.Errorf("%s; opened again: %v", where, err)
	}
	return first
}

// checkOnce checks what is in a folder, where the same was not checked before.
func (w *workload) checkOnce(t *testing.T, files map[string][]byte, told promises, seen *sync.Map) error {
	t.Helper()
	if _, done := seen.LoadOrStore(sum(files, told), true); done {
		return nil
	}
	after := newDisk(t)
	defer os.RemoveAll(after.dir)
	lay(t, after.dir, files)
	return w.check(after.dir, told)
}
