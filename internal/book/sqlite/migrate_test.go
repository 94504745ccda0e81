package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// later are a program's migrations some versions on: the book's own first, then
// invented ones.
func later(t testing.TB, added ...string) fs.FS {
	t.Helper()
	steps, version := booktest.Steps(t, migrations)
	for i, text := range added {
		steps[fmt.Sprintf("%05d_later.sql", version+1+i)] = &fstest.MapFile{Data: []byte("-- +goose Up\n" + text + "\n")}
	}
	return steps
}

// keptName is the name under which a book of this program's version is kept.
func keptName(t testing.TB) string {
	_, version := booktest.Steps(t, migrations)
	return fmt.Sprintf("book.db.version-%d-20260302-093000", version)
}

// shopTable is a later version's table.
const shopTable = "CREATE TABLE shop (id INTEGER PRIMARY KEY, count INTEGER NOT NULL) STRICT; INSERT INTO shop VALUES (1, 0);"

func openAs(path string, steps fs.FS) (*Store, error) {
	return open(context.Background(), path, Options{Create: true, Now: func() time.Time { return time.Date(2026, 3, 2, 9, 30, 0, 0, time.UTC) }}, steps)
}

func TestMigrate_NewerBookIsRefused(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	newer, err := openAs(path, later(t, shopTable))
	if err != nil {
		t.Fatal(err)
	}
	if err := newer.Close(); err != nil {
		t.Fatal(err)
	}
	before := readAll(t, path)
	_, version := booktest.Steps(t, migrations)
	for _, create := range []bool{true, false} {
		_, err = Open(context.Background(), path, Options{Create: create, Now: time.Now})
		if !errors.Is(err, book.ErrNewer) || !book.IsCall(err) || !strings.Contains(err.Error(), fmt.Sprintf("made by a newer version of this program: its tables are of version %d, this program knows %d", version+1, version)) {
			t.Errorf("%v; want %v with both versions", err, book.ErrNewer)
		}
	}
	if !bytes.Equal(before, readAll(t, path)) || names(t, dir) != "book.db" {
		t.Errorf("the newer book was changed; the folder holds %s", names(t, dir))
	}
}

func TestMigrate_OlderBookIsKeptFirst(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	fill(t, path, 5)
	s, err := openAs(path, later(t, shopTable))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if there := booktest.Whole(t, s); len(there) != 5 {
		t.Errorf("the changed book holds %v", there)
	}
	if _, err := s.DB.Exec("UPDATE shop SET count = 1"); err != nil {
		t.Errorf("the later version's table: %v", err)
	}
	kept := filepath.Join(dir, keptName(t)+".db")
	old, err := Open(context.Background(), kept, Options{Now: time.Now}) // by the older program
	if err != nil {
		t.Fatalf("the backup: %v; the folder holds %s", err, names(t, dir))
	}
	defer old.Close()
	if there := booktest.Whole(t, old); len(there) != 5 {
		t.Errorf("the backup holds %v", there)
	}
	if _, err := old.Add(context.Background(), booktest.Entry(9, "seated", 1)); err != nil {
		t.Errorf("the backup is no book to go on with: %v", err)
	}
}

func TestMigrate_FailureLeavesTheOldBook(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	fill(t, path, 5)
	_, err := openAs(path, later(t, shopTable+"\nINSERT INTO shop VALUES (1, 7);")) // breaks off in the middle
	kept := keptName(t) + ".db"
	if err == nil || book.IsCall(err) || !strings.Contains(err.Error(), "as it was, the book lies in") || !strings.Contains(err.Error(), kept) {
		t.Errorf("%v; want the backup named", err)
	}
	if got := names(t, dir); got != "book.db "+kept {
		t.Errorf("the folder holds %s", got)
	}
	for _, name := range []string{"book.db", kept} {
		s, err := Open(context.Background(), filepath.Join(dir, name), Options{Now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		if there := booktest.Whole(t, s); len(there) != 5 {
			t.Errorf("%s holds %v", name, there)
		}
		if _, err := s.DB.Exec("SELECT * FROM shop"); err == nil {
			t.Errorf("%s has half of the later tables", name)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

func TestMigrate_NoBackupNoChange(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	fill(t, path, 2)
	for n := range maxTries { // every name is taken
		name := filepath.Join(dir, keptName(t))
		if n > 0 {
			name += "-" + strconv.Itoa(n+1)
		}
		if err := os.WriteFile(name+".db", []byte("kept"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	_, version := booktest.Steps(t, migrations)
	if _, err := openAs(path, later(t, shopTable)); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("the backup before the change from version %d to %d", version, version+1)) {
		t.Errorf("%v; want the backup's failure", err)
	}
	s := newBook(t, path, time.Now)
	if there := booktest.Whole(t, s); len(there) != 2 {
		t.Errorf("the book holds %v", there)
	}
}

// Several programs change an older book at once: each step is made once.
func TestMigrate_OnceForAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	fill(t, path, 5)
	steps := later(t, shopTable, "UPDATE shop SET count = count + 1;")
	var wg sync.WaitGroup
	for range 6 {
		wg.Go(func() {
			s, err := openAs(path, steps)
			if err != nil {
				t.Error(err)
				return
			}
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	s, err := openAs(path, steps)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var count int
	if err := s.DB.QueryRow("SELECT count FROM shop").Scan(&count); err != nil || count != 1 {
		t.Errorf("the step was made %d times, %v", count, err)
	}
}

// What was recorded stays, whatever a program asks of the database; what is
// derived may be replaced.
func TestBook_NothingIsOverwritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	fill(t, path, 2)
	s := newBook(t, path, time.Now)
	if _, err := s.AddNotes(context.Background(), []book.Said{{Serial: "0412", Text: "glued", At: time.Now()}}); err != nil {
		t.Fatal(err)
	}
	booktest.KeepHeard(t, s)
	for _, c := range []string{
		"UPDATE note SET said = 'x'", "DELETE FROM note", "REPLACE INTO note SELECT * FROM note",
		"UPDATE heard SET note = 'x'", "DELETE FROM heard", "REPLACE INTO heard SELECT * FROM heard",
		"UPDATE heard_sound SET bytes = x'00'", "DELETE FROM heard_sound", "REPLACE INTO heard_sound (heard, bytes) VALUES (1, x'00')",
		"UPDATE record SET note = 'x'", "UPDATE record SET serial = 'x' WHERE number = 1", "UPDATE record SET number = 9 WHERE number = 1",
		"UPDATE record SET tags = '{}'", "UPDATE record SET added = 0", "UPDATE record SET seal = x'00'",
		"DELETE FROM record", "UPDATE readings SET bytes = x'00'", "DELETE FROM readings", "UPDATE neck_file SET bytes = x'00'", "DELETE FROM neck_file",
		"REPLACE INTO record SELECT * FROM record WHERE number = 2", "UPDATE OR REPLACE record SET number = 1 WHERE number = 2",
		"INSERT OR REPLACE INTO readings (record, bytes) VALUES (1, x'00')", "REPLACE INTO neck_file (id, digest, bytes) VALUES (1, x'00', x'00')",
	} {
		if _, err := s.DB.Exec(c); err == nil || !strings.Contains(err.Error(), "nothing in the book is") {
			t.Errorf("%s: %v", c, err)
		}
	}
	if there := booktest.Whole(t, s); len(there) != 2 {
		t.Errorf("the book holds %v", there)
	}
	d := booktest.Entry(7, "seated", 3).Derived
	if err := s.Rederive(context.Background(), book.Rederived{Number: 1, Derived: &d}); err != nil {
		t.Errorf("deriving again: %v", err)
	}
}
