package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// What is no book is refused, whether one is to be begun or not, and left as it
// is to the last byte.
func TestOpen_WhatIsNoBook(t *testing.T) {
	database := func(commands ...string) func(*testing.T, string) {
		return func(t *testing.T, path string) { runSQL(t, path, commands...) }
	}
	text := func(s string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			if err := os.WriteFile(path, []byte(s), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	const stamps = "CREATE TABLE stamps (id INTEGER PRIMARY KEY, face TEXT); INSERT INTO stamps (face) VALUES ('heron')"
	for _, c := range []struct {
		what  string
		make  func(*testing.T, string)
		word  string
		begin error // with Create; nil: a book is begun there
		look  error // without
	}{
		{"a text", text("name = \"Heron 22\"\n"), "another program's file", book.ErrNotABook, book.ErrNotABook},
		{"a longer text", text(strings.Repeat("beam,1,1,0.400,mm\n", 1000)), "another program's file", book.ErrNotABook, book.ErrNotABook},
		{"a database's first line alone", text("SQLite format 3\x00"), "another program's file", book.ErrNotABook, book.ErrNotABook},
		{"another's database", database(stamps), "another program's database", book.ErrNotABook, book.ErrNotABook},
		{"another's with a log", database("PRAGMA journal_mode = WAL", stamps), "another program's database", book.ErrNotABook, book.ErrNotABook},
		{"another's with its mark", database("PRAGMA application_id = 7", stamps), "another program's file", book.ErrNotABook, book.ErrNotABook},
		{"another's with versions like a book's", database(stamps, "CREATE TABLE goose_db_version (id INTEGER PRIMARY KEY, version_id INTEGER, is_applied INTEGER, tstamp TEXT)",
			"INSERT INTO goose_db_version (version_id, is_applied) VALUES (0, 1), (1, 1)"), "another program's database", book.ErrNotABook, book.ErrNotABook},
		{"another's versions alone", database("CREATE TABLE goose_db_version (id INTEGER PRIMARY KEY, version_id INTEGER NOT NULL, is_applied INTEGER NOT NULL, tstamp TEXT)",
			"INSERT INTO goose_db_version (version_id, is_applied) VALUES (0, 1), (1, 1)"), "another program's database", book.ErrNotABook, book.ErrNotABook},
		{"an empty database", database("VACUUM"), "it is empty", nil, book.ErrNoBook},
		{"an empty file", text(""), "it is empty", nil, book.ErrNoBook},
	} {
		t.Run(c.what, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "shelf.db")
			c.make(t, path)
			before := readAll(t, path)
			files := names(t, dir)
			for _, create := range []bool{false, true} {
				want := c.look
				if create {
					want = c.begin
				}
				s, err := Open(context.Background(), path, Options{Create: create, Now: time.Now})
				if want == nil {
					if err != nil {
						t.Fatalf("beginning a book: %v", err)
					}
					if err := s.Close(); err != nil {
						t.Fatal(err)
					}
					continue
				}
				if !errors.Is(err, want) || !book.IsCall(err) || !strings.Contains(err.Error(), c.word) || !strings.HasPrefix(err.Error(), path) {
					t.Errorf("create %t: %v; want %v, %q", create, err, want, c.word)
				}
				if !bytes.Equal(readAll(t, path), before) || names(t, dir) != files {
					t.Errorf("create %t: it was changed; the folder holds %s, before %s", create, names(t, dir), files)
				}
			}
		})
	}
	if _, err := Open(context.Background(), t.TempDir(), Options{Create: true}); !errors.Is(err, book.ErrNotABook) {
		t.Errorf("a folder: %v", err)
	}
	missing := filepath.Join(t.TempDir(), "no", "book.db")
	if _, err := Open(context.Background(), missing, Options{Create: true}); !errors.Is(err, book.ErrNoBook) || !strings.Contains(err.Error(), "folder is missing") {
		t.Errorf("a missing folder: %v", err)
	}
}

// runSQL runs commands on a database as another program would.
func runSQL(t testing.TB, path string, commands ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, c := range commands {
		if _, err := db.Exec(c); err != nil {
			t.Fatalf("%s: %v", c, err)
		}
	}
}

func readAll(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
