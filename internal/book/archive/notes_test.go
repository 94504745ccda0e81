package archive

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// notesOut is what an export writes of a book's notes.
func notesOut(t testing.TB, s book.Store) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	done, bad, refused, err := ExportNotes(context.Background(), s, func(f NoteFile) (bool, error) {
		out[f.Serial+"/"+f.Name] = &fstest.MapFile{Data: f.Data}
		return true, nil
	})
	if err != nil || len(bad)+len(refused) > 0 || done.Notes != len(out) || done.New != len(out) {
		t.Fatalf("%+v, %v, %v, %v", done, bad, refused, err)
	}
	return out
}

// TestNotes_RoundTrip: notes come out of another book byte for byte, twice imported
// they are there once, a changed one is named and nothing is imported.
func TestNotes_RoundTrip(t *testing.T) {
	ctx := context.Background()
	s := tempBook(t)
	now := time.Date(2026, 3, 2, 13, 50, 0, 0, time.UTC)
	said := []book.Said{{Serial: "0412", Text: "glued at 13:50 with <hide>", By: "Ines", At: now}, {Serial: "0413", Text: "handed to Ørjan", At: now}}
	if _, err := s.AddNotes(ctx, said); err != nil {
		t.Fatal(err)
	}
	out, other := notesOut(t, s), tempBook(t)
	if len(out) != 2 || out["0412/note-1.json"] == nil {
		t.Fatalf("%v", out)
	}
	for i, isNew := range []int{2, 0} {
		in, err := importInto(t, other, out, false)
		if err != nil || in.Records != 0 || in.Notes != (Notes{2, isNew}) {
			t.Fatalf("import %d: %+v, %v", i+1, in, err)
		}
	}
	for name, f := range notesOut(t, other) {
		if !bytes.Equal(f.Data, out[name].Data) {
			t.Errorf("%s came out as %s", name, f.Data)
		}
	}
	if c, err := Check(ctx, other, answer.Judge("2.0"), Scope{}); err != nil || !c.OK || c.Notes.Notes != 2 {
		t.Errorf("%+v, %v", c, err)
	}
	out["0413/note-2.json"].Data = bytes.Replace(out["0413/note-2.json"].Data, []byte("Ørjan"), []byte("Ole"), 1)
	fresh := tempBook(t)
	if _, err := importInto(t, fresh, out, false); err == nil || !strings.Contains(err.Error(), "0413/note-2.json") || !strings.Contains(err.Error(), "was changed") {
		t.Errorf("a changed note: %v", err)
	}
	if in, err := importInto(t, fresh, out, true); err == nil || in.Notes.New != 1 {
		t.Errorf("the rest: %+v, %v", in, err)
	}
}

// A note whose bytes have changed in the book is named, and left out of an export.
func TestNotes_DamageIsNamed(t *testing.T) {
	ctx := context.Background()
	damaged := damagedNotes{tempBook(t)}
	if _, err := damaged.AddNotes(ctx, []book.Said{{Serial: "0412", Text: "glued", At: time.Now()}, {Serial: "0412", Text: "sold", At: time.Now()}}); err != nil {
		t.Fatal(err)
	}
	done, bad, _, err := ExportNotes(ctx, damaged, func(NoteFile) (bool, error) { return true, nil })
	if err != nil || done.Notes != 1 || len(bad) != 1 || !strings.Contains(bad[0].String(), "note 2 of 0412: damaged") {
		t.Errorf("%+v, %v, %v", done, bad, err)
	}
	if c, err := Check(ctx, damaged, answer.Judge("2.0"), Scope{}); err != nil || c.OK || len(c.Bad) != 1 {
		t.Errorf("%+v, %v", c, err)
	}
}

// damagedNotes is a book whose last note is no longer what was said.
type damagedNotes struct{ book.Store }

func (d damagedNotes) Notes(ctx context.Context, serial string, since time.Time) ([]book.Said, error) {
	all, err := d.Store.Notes(ctx, serial, since)
	if len(all) > 0 {
		all[len(all)-1].Text = "told"
	}
	return all, err
}

// FuzzReadNote: no note's file makes the program stumble, and one that passes is the
// note that it was written from.
func FuzzReadNote(f *testing.F) {
	s := tempBook(f)
	if _, err := s.AddNotes(context.Background(), []book.Said{{Serial: "0412", Text: "glued", By: "Ines", At: time.Unix(1_770_000_000, 0)}}); err != nil {
		f.Fatal(err)
	}
	f.Add(notesOut(f, s)["0412/note-1.json"].Data)
	f.Add([]byte(`{"format":"ringtrue note 1","note":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		n, err := readNote(data)
		if err == nil && (n.Intact() != nil || n.Check() != nil || n.Number < 1) {
			t.Errorf("a note that is not as it was passed: %+v", n)
		}
	})
}
