package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// Two programs begin one book and add to it at once: half of the necks are
// both's. Nothing is lost, nothing twice.
func TestAdd_TwoProgramsAtOnce(t *testing.T) {
	const each = 60
	path := filepath.Join(t.TempDir(), "book.db")
	var wg sync.WaitGroup
	var said [2][]printed
	for i := range said {
		wg.Go(func() {
			c := childCommand("add", path, i*each/2, each)
			var talk bytes.Buffer
			c.Stderr = &talk
			out, err := c.Output()
			if err != nil {
				t.Errorf("%v\n%s", err, &talk)
				return
			}
			said[i] = readPrinted(t, string(out))
		})
	}
	wg.Wait()
	there := booktest.Whole(t, newBook(t, path, time.Now))
	if len(there) != each*3/2 {
		t.Errorf("%d records; want %d", len(there), each*3/2)
	}
	fresh := map[int64]bool{}
	for _, p := range append(said[0], said[1]...) {
		if there[p.number] != p.serial || p.fresh && fresh[p.number] {
			t.Errorf("printed %+v; the book has %q under that number", p, there[p.number])
		}
		fresh[p.number] = fresh[p.number] || p.fresh
	}
	if len(said[0]) != each || len(said[1]) != each || len(fresh) != len(there) {
		t.Errorf("%d and %d lines of %d records", len(said[0]), len(said[1]), len(fresh))
	}
}

func TestOpen_ManyBeginOneBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	var wg sync.WaitGroup
	for i := range 6 {
		wg.Go(func() {
			if out, err := childCommand("add", path, i, 1).CombinedOutput(); err != nil {
				t.Errorf("%v\n%s", err, out)
			}
		})
	}
	wg.Wait()
	if there := booktest.Whole(t, newBook(t, path, time.Now)); len(there) != 6 {
		t.Errorf("the book holds %v; want 6 records", there)
	}
}

// One program opens the book twice while another comes and goes.
func TestOpen_TwiceInOneProgram(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	s := newBook(t, path, time.Now)
	for n := range 3 {
		if _, err := s.Add(context.Background(), booktest.Entry(n, "seated", 1)); err != nil {
			t.Fatal(err)
		}
		second, err := Open(context.Background(), path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := second.Close(); err != nil {
			t.Fatal(err)
		}
		if out, err := childCommand("add", path, 100+n, 1).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if there := booktest.Whole(t, newBook(t, path, time.Now)); len(there) != 6 {
		t.Errorf("the book holds %v; want 6 records", there)
	}
}

// A book that is closed is one file: whoever copies it copies every record.
func TestClose_LeavesOneFile(t *testing.T) {
	dir := t.TempDir()
	fill(t, filepath.Join(dir, "book.db"), 3)
	if got := names(t, dir); got != "book.db" {
		t.Errorf("the folder holds %s; want book.db alone", got)
	}
}

// What SQLite keeps per connection is set on every one of the pool.
func TestOpen_EveryConnectionIsSafe(t *testing.T) {
	ctx := context.Background()
	s := newBook(t, filepath.Join(t.TempDir(), "Ines' book #1 50%?.db"), time.Now)
	for i := range 4 {
		conn, err := s.DB.Conn(ctx) // held, so that each is another
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": fmt.Sprint(busyWait.Milliseconds())} {
			var got string
			if err := conn.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("connection %d: %s is %q, %v; want %s", i, pragma, got, err, want)
			}
		}
	}
}

// A wait for another program's record ends when it is cancelled, and leaves the
// book ready for the next.
func TestAdd_CancelledWhileItWaits(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book.db")
	s, other := newBook(t, path, time.Now), newBook(t, path, time.Now)
	conn, err := other.DB.Conn(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	soon, cancel := context.WithTimeout(ctx, 50*time.Millisecond)
	defer cancel()
	start := time.Now()
	if _, err := s.Add(soon, booktest.Entry(1, "seated", 1)); !errors.Is(err, context.DeadlineExceeded) && !errors.Is(err, book.ErrBusy) {
		t.Errorf("add: %v", err)
	}
	if waited := time.Since(start); waited > busyWait/2 {
		t.Errorf("the cancel took %v", waited)
	}
	if _, err := conn.ExecContext(ctx, "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	if r, err := s.Add(ctx, booktest.Entry(2, "seated", 1)); err != nil || !r.New || r.Number != 1 {
		t.Errorf("afterwards: %+v, %v", r, err)
	}
}
