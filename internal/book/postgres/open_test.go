package postgres

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// testRefused asks for what there is not, and greps every word for passwords.
func testRefused(t *testing.T, server *booktest.Server) {
	const wrong = "not-the-secret"
	newBook(t, server.Database(t), time.Now)
	good := server.Database(t)
	name := good[strings.LastIndex(good, "@/")+2 : strings.Index(good, "?")]
	for what, c := range map[string]struct {
		address string
		want    error
		word    string
	}{
		"a wrong password":        {server.Address(booktest.Locked, wrong, name), book.ErrRefused, "password authentication failed"},
		"no password":             {server.Address(booktest.Locked, "", name), book.ErrRefused, ""},
		"an unknown name":         {server.Address("nobody_here", wrong, name), book.ErrRefused, "nobody_here"},
		"no such database":        {server.Address("bench", wrong, "shed"), book.ErrNoBook, `database "shed" does not exist`},
		"a database without book": {good, book.ErrNoBook, "`ringtrue book add` begins one"},
		"an address with a slip":  {"postgres://bench:" + wrong + "@/x?host=/tmp&connect_timeout=soon", book.ErrNotABook, "use postgres://NAME@HOST/DATABASE"},
		"a password with a hash":  {"postgres://bench:" + wrong + "#1@localhost:x/y", book.ErrNotABook, "write %40 for @, %2F for /, %3F for ?, %23 for #"},
		"a password with an at":   {"postgres://bench:a@" + wrong + "@localhost/y", book.ErrNotABook, "in a password write %40"},
		"a port where no one is":  {"postgres://bench:" + wrong + "@127.0.0.1:1/book", book.ErrLost, "postgres://bench@127.0.0.1:1/book"},
	} {
		_, err := Open(context.Background(), c.address, Options{Now: time.Now, Patience: 50 * time.Millisecond})
		if !errors.Is(err, c.want) || !strings.Contains(fmt.Sprint(err), c.word) {
			t.Errorf("%s: %v; want %v, %q", what, err, c.want, c.word)
		}
		if said := fmt.Sprintf("%v %+v %q", err, err, err); strings.Contains(said, wrong) {
			t.Errorf("%s: the password is printed: %s", what, said)
		}
		if (c.want == book.ErrLost) == book.IsCall(err) {
			t.Errorf("%s: %v; whose fault is it?", what, err)
		}
	}
	server.Exec(t, "GRANT CREATE ON DATABASE "+name+" TO "+booktest.Locked)
	s := newBook(t, server.Address(booktest.Locked, booktest.LockedPassword, name), time.Now)
	if strings.Contains(s.Where(), booktest.LockedPassword) || !strings.Contains(s.Where(), booktest.Locked) {
		t.Errorf("the book is named %s", s.Where())
	}
}

// testReader opens a book as one who may only read it.
func testReader(t *testing.T, server *booktest.Server) {
	ctx := context.Background()
	address := server.Database(t)
	s := newBook(t, address, time.Now)
	if _, err := s.Add(ctx, booktest.Entry(1, "seated", 1)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []string{"CREATE ROLE guest LOGIN", "GRANT USAGE ON SCHEMA ringtrue TO guest", "GRANT SELECT ON ALL TABLES IN SCHEMA ringtrue TO guest"} {
		if _, err := s.DB.Exec(c); err != nil {
			t.Fatal(err)
		}
	}
	guest := newBook(t, strings.Replace(address, "bench@", "guest@", 1), time.Now)
	if there := booktest.Whole(t, guest); len(there) != 1 {
		t.Errorf("the guest reads %v", there)
	}
	for what, err := range map[string]error{
		"add":      second(guest.Add(ctx, booktest.Entry(2, "seated", 1))),
		"import":   second(guest.Import(ctx, []*book.Entry{booktest.Entry(2, "seated", 1)})),
		"rederive": guest.Rederive(ctx, book.Rederived{Number: 1, Derived: &book.Derived{}}),
	} {
		if !errors.Is(err, book.ErrReadOnly) || book.IsCall(err) || !strings.Contains(fmt.Sprint(err), "permission denied") {
			t.Errorf("%s: %v; want %v", what, err, book.ErrReadOnly)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func testNothingOverwritten(t *testing.T, server *booktest.Server) {
	s := newBook(t, server.Database(t), time.Now)
	for n := range 2 {
		if _, err := s.Add(context.Background(), booktest.Entry(n, "seated", 1)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.AddNotes(context.Background(), []book.Said{{Serial: "0412", Text: "glued", At: time.Now()}}); err != nil {
		t.Fatal(err)
	}
	booktest.KeepHeard(t, s)
	for _, c := range []string{
		"UPDATE note SET said = 'x'", "DELETE FROM note", "TRUNCATE note",
		"UPDATE heard SET note = 'x'", "DELETE FROM heard", "TRUNCATE heard CASCADE", "UPDATE heard_sound SET bytes = '\\x00'", "DELETE FROM heard_sound", "TRUNCATE heard_sound",
		"UPDATE record SET note = 'x'", "UPDATE record SET serial = 'x' WHERE number = 1", "UPDATE record SET added = 0", "UPDATE record SET seal = '\\x00'",
		"DELETE FROM record", "UPDATE readings SET bytes = '\\x00'", "DELETE FROM readings", "UPDATE neck_file SET bytes = '\\x00'", "DELETE FROM neck_file",
		"TRUNCATE readings", "TRUNCATE record CASCADE", "TRUNCATE neck_file CASCADE",
		"INSERT INTO readings (record, bytes) VALUES (1, '\\x00') ON CONFLICT (record) DO UPDATE SET bytes = '\\x00'",
	} {
		if _, err := s.DB.Exec(c); err == nil || !strings.Contains(err.Error(), "nothing in the book is overwritten") {
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

// later are a later program's migrations: the book's own, and an invented one.
func later(t *testing.T, added string) fs.FS {
	t.Helper()
	steps, version := booktest.Steps(t, migrations)
	steps[fmt.Sprintf("%05d_later.sql", version+1)] = &fstest.MapFile{Data: []byte("-- +goose Up\n" + added + "\n")}
	return steps
}

const shopTable = "CREATE TABLE shop (id int PRIMARY KEY, count int NOT NULL); INSERT INTO shop VALUES (1, 0);"

// keptSchema is where the copy of an older book lies, by the clock of openAs.
func keptSchema(t testing.TB) string {
	_, version := booktest.Steps(t, migrations)
	return fmt.Sprintf("ringtrue_version_%d_20260302_093000", version)
}

func openAs(t *testing.T, address string, steps fs.FS) (*Store, error) {
	t.Helper()
	s, err := open(context.Background(), address, Options{Create: true, Now: func() time.Time { return time.Date(2026, 3, 2, 9, 30, 0, 0, time.UTC) }}, steps)
	if err == nil {
		t.Cleanup(func() { s.Close() })
	}
	return s, err
}

func testNewer(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	s, err := openAs(t, address, later(t, shopTable))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(context.Background(), address, Options{Create: true, Now: time.Now})
	_, version := booktest.Steps(t, migrations)
	if !errors.Is(err, book.ErrNewer) || !book.IsCall(err) || !strings.Contains(err.Error(), fmt.Sprintf("made by a newer version of this program: its tables are of version %d, this program knows %d", version+1, version)) {
		t.Errorf("%v; want %v with both versions", err, book.ErrNewer)
	}
	if got := schemas(t, s); got != "ringtrue" {
		t.Errorf("the database now holds %s", got)
	}
}

func testOlder(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	l := newLedger()
	l.addMany(t, newBook(t, address, time.Now), span(0, 5))
	s, err := openAs(t, address, later(t, shopTable))
	if err != nil {
		t.Fatal(err)
	}
	l.compare(t, s, 5)
	var kept, shops int
	if err := s.DB.QueryRow("SELECT (SELECT count(*) FROM "+keptSchema(t)+".record r JOIN "+keptSchema(t)+".readings s ON s.record = r.number), (SELECT count(*) FROM shop)").Scan(&kept, &shops); err != nil || kept != 5 || shops != 1 {
		t.Errorf("the copy holds %d records, the later table %d rows, %v; schemas %s", kept, shops, err, schemas(t, s))
	}
}

func testFailedChange(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	l := newLedger()
	l.addMany(t, newBook(t, address, time.Now), span(0, 5))
	_, err := openAs(t, address, later(t, shopTable+"\nINSERT INTO shop VALUES (1, 7);"))
	if err == nil || book.IsCall(err) || !strings.Contains(err.Error(), "as it was, the book lies in the schema "+keptSchema(t)) {
		t.Errorf("%v; want the copy named", err)
	}
	s := newBook(t, address, time.Now)
	l.compare(t, s, 5)
	if _, err := s.DB.Exec("SELECT * FROM shop"); err == nil {
		t.Error("half of the later tables stayed")
	}
	if got := schemas(t, s); got != "ringtrue "+keptSchema(t) {
		t.Errorf("the database now holds %s", got)
	}
}

func schemas(t *testing.T, s *Store) string {
	t.Helper()
	var all string
	if err := s.DB.QueryRow("SELECT string_agg(schema_name, ' ' ORDER BY schema_name) FROM information_schema.schemata WHERE schema_name LIKE 'ringtrue%'").Scan(&all); err != nil {
		t.Fatal(err)
	}
	return all
}
