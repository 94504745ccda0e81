package archive

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/num"
)

// newBook is an empty book in a file.
func newBook(t testing.TB, path string) book.Store {
	t.Helper()
	s, err := sqlite.Open(context.Background(), path, sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func tempBook(t testing.TB) book.Store { return newBook(t, filepath.Join(t.TempDir(), "book.db")) }

// exampleFiles are the Heron's neck file and some of its readings.
func exampleFiles(t testing.TB, readings string) book.Files {
	t.Helper()
	read := func(name string) book.File {
		b, err := os.ReadFile("../../../examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return book.File{Name: name, Bytes: b}
	}
	return book.Files{Neck: read("heron.toml"), Readings: read(readings)}
}

// shortFiles are files that are quick to judge; n tells them apart.
func shortFiles(t testing.TB, n int) book.Files {
	f := exampleFiles(t, "heron-seated.csv")
	f.Readings.Bytes = fmt.Appendf(nil, "method,lane,fret,reading,unit\nbeam,1,1,0.4,mm\nbeam,1,2,0.%03d,mm\nbeam,1,3,0.4,mm\n", 400+n)
	return f
}

func addTo(t testing.TB, s book.Store, e book.Entry) book.Added {
	t.Helper()
	return correctIn(t, s, e, 0)
}

func correctIn(t testing.TB, s book.Store, e book.Entry, corrects int64) book.Added {
	t.Helper()
	if err := answer.Judge("1.0").Prepare(context.Background(), &e, corrects); err != nil {
		t.Fatal(err)
	}
	a, err := book.Put(context.Background(), s, &e, corrects)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// exportOf is what an export writes.
func exportOf(t testing.TB, s book.Store) (fstest.MapFS, *Exported) {
	t.Helper()
	out := fstest.MapFS{}
	var mu sync.Mutex
	a, err := Export(context.Background(), s, nil, func(x Folder) (bool, error) {
		mu.Lock()
		defer mu.Unlock()
		for name, data := range x.Files {
			if x.Damaged {
				name = "../damaged/" + name
			}
			out[x.Serial+"/"+x.Name+"/"+name] = &fstest.MapFile{Data: data}
		}
		return true, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out, a
}

func importInto(t testing.TB, s book.Store, dir fs.FS, keepGood bool) (*Imported, error) {
	t.Helper()
	ctx := context.Background()
	x, err := Read(ctx, Source{Dir: dir, Name: "out", KeepGood: keepGood, Judge: answer.Judge("2.0")}, nil)
	if err != nil {
		return nil, err
	}
	return x.Put(ctx, s, nil, func(book.Added) error { return nil })
}

// TestExportImport_SameRecords: whatever is in a book comes out of another one
// the same, corrections and files that no longer parse among it.
func TestExportImport_SameRecords(t *testing.T) {
	ctx := context.Background()
	s := tempBook(t)
	first := addTo(t, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(t, 1), Tags: book.Tags{"wire": "lot7"}})
	second := correctIn(t, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(t, 2), By: "Ines", Why: "misread <&> \"fret\": 1\n{\n"}, first.Record)
	correctIn(t, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(t, 3), By: "Ines", Why: "again"}, second.Record)
	addTo(t, s, book.Entry{Serial: "0413", Stage: "back after 2 years", Files: exampleFiles(t, "heron-seated.csv"), Note: "τ = ½"})
	old := &book.Entry{Serial: "0414", Stage: "seated", Files: book.Files{Neck: book.File{Name: "old.toml", Bytes: []byte("no neck")}, Readings: book.File{Name: "r.csv", Bytes: []byte("\xff\r\n")}}}
	if _, err := s.Add(ctx, old); err != nil {
		t.Fatal(err)
	}
	out, a := exportOf(t, s)
	if a.Records != 5 || a.New != 5 || len(a.Bad)+len(a.Refused) != 0 || len(out) != 15 {
		t.Fatalf("%+v, %d files", a, len(out))
	}
	for i, name := range []string{"0412/1-seated/readings.csv", "0414/5-seated/readings.csv"} {
		if want := [][]byte{shortFiles(t, 1).Readings.Bytes, old.Files.Readings.Bytes}[i]; !bytes.Equal(out[name].Data, want) {
			t.Errorf("%s is not as given", name)
		}
	}
	other := tempBook(t)
	in, err := importInto(t, other, out, false)
	if err != nil || in.Records != 5 || in.New != 5 {
		t.Fatalf("%+v, %v", in, err)
	}
	if len(in.Unread) != 1 || in.Unread[0].Record != 5 || !strings.Contains(in.Unread[0].Fault, "old.toml") {
		t.Errorf("unread %+v", in.Unread)
	}
	for n := int64(1); n <= 5; n++ {
		x, err1 := s.Record(ctx, n)
		y, err2 := other.Record(ctx, n)
		if err := errors.Join(err1, err2); err != nil || !reflect.DeepEqual(x, y) {
			t.Errorf("record %d: %+v\ncame out as %+v, %v", n, x, y, err)
		}
	}
	if in, err = importInto(t, other, out, false); err != nil || in.Records != 5 || in.New != 0 {
		t.Errorf("again: %+v, %v", in, err)
	}
	if c, err := Check(ctx, other, answer.Judge("2.0"), Scope{}); err != nil || !c.OK || c.Records != 5 || len(c.Unread) != 1 || c.Unread[0].Record != 5 {
		t.Errorf("check: %+v, %v", c, err)
	}
}

// TestImport_AnyOrder: corrections find what they correct whatever the numbers.
func TestImport_AnyOrder(t *testing.T) {
	s := tempBook(t)
	a := addTo(t, s, book.Entry{Serial: "1", Stage: "seated", Files: shortFiles(t, 1)})
	b := correctIn(t, s, book.Entry{Serial: "1", Stage: "seated", Files: shortFiles(t, 2), By: "I", Why: "w"}, a.Record)
	correctIn(t, s, book.Entry{Serial: "1", Stage: "seated", Files: shortFiles(t, 3), By: "I", Why: "w"}, b.Record)
	out, _ := exportOf(t, s)
	for old, number := range map[string]int64{"1/1-seated": 30, "1/2-seated": 20, "1/3-seated": 10} { // as after an import into a full book
		var c Card
		if err := json.Unmarshal(out[old+"/record.json"].Data, &c); err != nil {
			t.Fatal(err)
		}
		c.Number = number
		data, err := c.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		out[old+"/record.json"] = &fstest.MapFile{Data: data}
	}
	other := tempBook(t)
	if in, err := importInto(t, other, out, false); err != nil || in.New != 3 {
		t.Fatalf("%+v, %v", in, err)
	}
	r, err := other.Record(context.Background(), 10)
	if err != nil || r.CorrectsNo != 20 {
		t.Errorf("record 10 corrects %d, %v; want 20", r.CorrectsNo, err)
	}

	// Without the first, the second corrects nothing that is known, and the third follows it.
	for _, f := range recordFiles() {
		delete(out, "1/1-seated/"+f)
	}
	in, err := importInto(t, tempBook(t), out, false)
	if !fileerr.Is(err) || in.New != 0 || !strings.Contains(err.Error(), "out/1/2-seated: corrects a record that is neither here nor in the book") {
		t.Errorf("%+v, %v", in, err)
	}
	in, err = importInto(t, tempBook(t), out, true)
	if !fileerr.Is(err) || in.New != 0 || !strings.Contains(err.Error(), "out/1/3-seated: corrects") {
		t.Errorf("keep good: %+v, %v", in, err)
	}
}

// TestImport_EveryChangeIsSeen: no part of an exported record can be changed
// unseen, but for its number and what was worked out, which is worked out anew.
func TestImport_EveryChangeIsSeen(t *testing.T) {
	s := tempBook(t)
	a := addTo(t, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(t, 1)})
	correctIn(t, s, book.Entry{Serial: "0412", Stage: "seated", Files: shortFiles(t, 2), Note: "note", Tags: book.Tags{"wire": "lot7"}, By: "Ines", Why: "why"}, a.Record)
	out, _ := exportOf(t, s)
	card := func() (c Card) {
		if err := json.Unmarshal(out["0412/2-seated/record.json"].Data, &c); err != nil {
			t.Fatal(err)
		}
		return c
	}
	zone := num.Some(9.9)
	for name, change := range map[string]func(c *Card){
		"serial": func(c *Card) { c.Serial = "0413" }, "stage": func(c *Card) { c.Stage = "x" }, "note": func(c *Card) { c.Note = "x" },
		"by": func(c *Card) { c.By = "x" }, "why": func(c *Card) { c.Why = "x" }, "tags": func(c *Card) { c.Tags["wire"] = "lot6" },
		"added": func(c *Card) { c.Added = c.Added.Add(time.Second) }, "no time": func(c *Card) { c.Added = time.Time{} },
		"neck name": func(c *Card) { c.NeckName = "x" }, "readings name": func(c *Card) { c.ReadingsName = "x" },
		"neck sum": func(c *Card) { c.NeckDigest = c.ReadDigest }, "readings sum": func(c *Card) { c.ReadDigest = book.Sum{} },
		"corrects": func(c *Card) { c.Corrects = &c.Identity }, "no correction": func(c *Card) { c.Corrects = nil }, "odd correction": func(c *Card) { c.Corrects = &book.Identity{} },
		"identity": func(c *Card) { c.Identity = book.Identity{} }, "seal": func(c *Card) { c.Checksum = book.Sum{} }, "format": func(c *Card) { c.Format = "ringtrue record 9" },
		"number": func(c *Card) { c.Number = 0 }, "empty serial": func(c *Card) { c.Serial = "" },
	} {
		c := card()
		change(&c)
		data, err := c.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		changed := fstest.MapFS{}
		for k, v := range out {
			changed[k] = v
		}
		changed["0412/2-seated/record.json"] = &fstest.MapFile{Data: data}
		if in, err := importInto(t, tempBook(t), changed, false); !fileerr.Is(err) || !strings.HasPrefix(err.Error(), "out/0412/2-seated: record.json: ") && !strings.Contains(err.Error(), "SHA-256") {
			t.Errorf("%s: %+v, %v", name, in, err)
		}
	}
	c := card()
	c.Derived.ZoneMM = zone
	data, err := c.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	out["0412/2-seated/record.json"] = &fstest.MapFile{Data: data}
	other := tempBook(t)
	if _, err := importInto(t, other, out, false); err != nil {
		t.Fatal(err)
	}
	if r, err := other.Record(context.Background(), 2); err != nil || r.Derived.ZoneMM == zone || r.Derived.Program != "2.0" {
		t.Errorf("a changed zone: %+v, %v", r.Derived, err)
	}
}

// TestDamage_RestIsExported: flipped bytes are found by check and show; export
// leaves out what they hit and brings the rest.
func TestDamage_RestIsExported(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book.db")
	s := newBook(t, path)
	for n := range 6 {
		addTo(t, s, book.Entry{Serial: fmt.Sprintf("%04d", n+1), Stage: "seated", Files: shortFiles(t, n)})
	}
	raw, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer raw.Close()
	for _, q := range []string{
		"DROP TRIGGER readings_stay", "DROP TRIGGER record_stays", "DROP TRIGGER readings_remain",
		"UPDATE readings SET bytes = CAST(replace(CAST(bytes AS TEXT), 'beam', 'beAm') AS BLOB) WHERE record = 2",
		"UPDATE record SET note = 'x' WHERE number = 3",
		"UPDATE record SET zone = zone * 2 WHERE number = 4",
		"UPDATE record SET tags = 'x' WHERE number = 5",
		"DELETE FROM readings WHERE record = 6",
	} {
		if _, err := raw.Exec(q); err != nil {
			t.Fatal(q, err)
		}
	}
	c, err := Check(ctx, s, answer.Judge("2.0"), Scope{})
	if err != nil || c.OK || c.Records != 6 || len(c.Bad) != 5 {
		t.Fatalf("%+v, %v", c, err)
	}
	for i, b := range c.Bad {
		if b.Record != int64(i+2) {
			t.Errorf("%d: %+v", i, b)
		}
	}
	out, a := exportOf(t, s)
	if a.Records != 2 || len(a.Bad) != 5 { // record 4 is there but for its results
		t.Errorf("%+v", a)
	}
	// What is whole of a damaged record comes out too, apart from the rest.
	if got := out["0003/3-seated/../damaged/readings.csv"]; got == nil || !bytes.Equal(got.Data, shortFiles(t, 2).Readings.Bytes) {
		t.Errorf("record 3's readings: %v", got)
	}
	if out["0006/6-seated/../damaged/readings.csv"] != nil || len(out) != 2*3+3*3+1 {
		t.Errorf("%d files", len(out))
	}
	var card Card
	if err := json.Unmarshal(out["0004/4-seated/record.json"].Data, &card); err != nil || card.Derived != nil {
		t.Errorf("damaged values were exported: %+v, %v", card.Derived, err)
	}
	if shown, err := answer.BookShow(ctx, s, "0002"); err != nil || !shown.Records[0].Damaged {
		t.Errorf("%+v, %v", shown, err)
	}
	if shown, err := answer.BookShow(ctx, s, "0004"); err != nil || !shown.Records[0].Damaged || shown.Records[0].ZoneMM.Known() {
		t.Errorf("%+v, %v", shown, err)
	}
	if r, err := Rebuild(ctx, s, answer.Judge("2.0"), Scope{}); err != nil || r.Changed != 1 || len(r.Bad) != 4 {
		t.Errorf("%+v, %v", r, err)
	}
}
