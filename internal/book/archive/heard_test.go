package archive

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// heardOut is what an export writes of what a book has heard.
func heardOut(t testing.TB, s book.Store, want Heard) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	done, bad, refused, err := ExportHeard(context.Background(), s, func(f NoteFile) (bool, error) {
		out[f.Serial+"/"+f.Name] = &fstest.MapFile{Data: f.Data}
		return true, nil
	})
	if err != nil || len(bad)+len(refused) > 0 || done != want {
		t.Fatalf("%+v, %v, %v, %v", done, bad, refused, err)
	}
	return out
}

// TestHeard_RoundTrip: play-throughs and a sound come out of another book byte for byte,
// twice imported they are there once; where a number, a name or the sound was changed, or
// the sound is missing, the file is named.
func TestHeard_RoundTrip(t *testing.T) {
	ctx := context.Background()
	s := tempBook(t)
	booktest.KeepHeard(t, s)
	odd := booktest.Played("0413", 1.5, 3)
	odd.Note, odd.By = "a <new> set & Ørjan", "Ines"
	if err := odd.Write(book.Played{Neck: "Heron <22> & Co", Notes: []book.HeardNote{{String: 1, Fret: 7, Cents: -0.1}}}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddHeard(ctx, []book.Heard{odd}); err != nil {
		t.Fatal(err)
	}
	out, other := heardOut(t, s, Heard{2, 2, 1}), tempBook(t)
	if len(out) != 3 || string(out["0412/heard-1.wav"].Data) != "RIFF" || out["0413/heard-2.json"] == nil {
		t.Fatalf("%v", out)
	}
	for i, isNew := range []int{2, 0} {
		if in, err := importInto(t, other, out, false); err != nil || in.Heard != (Heard{2, isNew, 1}) {
			t.Fatalf("import %d: %+v, %v", i+1, in, err)
		}
	}
	for name, f := range heardOut(t, other, Heard{2, 2, 1}) {
		if !bytes.Equal(f.Data, out[name].Data) {
			t.Errorf("%s came out as %s", name, f.Data)
		}
	}
	if c, err := Check(ctx, other, answer.Judge("2.0"), Scope{}); err != nil || !c.OK || c.Heard.Heard != 2 || c.Heard.Sounds != 1 {
		t.Errorf("%+v, %v", c, err)
	}
	for what, change := range map[string]func(fstest.MapFS){
		"0413/heard-2.json: not as it was exported: its numbers":                         func(f fstest.MapFS) { swap(f, "0413/heard-2.json", `"cents": -0.1`, `"cents": 0.1`) },
		"0413/heard-2.json: not as it was exported: its format":                          func(f fstest.MapFS) { swap(f, "0413/heard-2.json", heardFormat, "ringtrue heard 9") },
		"0412/heard-1.json: not as it was exported: its sound, heard-1.wav, was changed": func(f fstest.MapFS) { swap(f, "0412/heard-1.wav", "RIFF", "RIFX") },
		"0412/heard-1.json: not as it was exported: its sound, heard-1.wav, is missing":  func(f fstest.MapFS) { delete(f, "0412/heard-1.wav") },
	} {
		spoilt := fstest.MapFS{}
		for name, f := range out {
			spoilt[name] = &fstest.MapFile{Data: f.Data}
		}
		change(spoilt)
		fresh := tempBook(t)
		if _, err := importInto(t, fresh, spoilt, false); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
		if in, err := importInto(t, fresh, spoilt, true); err == nil || in.Heard.New != 1 {
			t.Errorf("the rest: %+v, %v", in, err)
		}
	}
}

func swap(f fstest.MapFS, name, old, to string) {
	f[name] = &fstest.MapFile{Data: bytes.Replace(f[name].Data, []byte(old), []byte(to), 1)}
}

// What was heard and has changed in the book is named, and left out of an export; so is
// one whose sound has.
func TestHeard_DamageIsNamed(t *testing.T) {
	ctx := context.Background()
	damaged := damagedHeard{tempBook(t)}
	booktest.KeepHeard(t, damaged)
	if _, err := damaged.AddHeard(ctx, []book.Heard{booktest.Played("0413", 1, 2), booktest.Played("0414", 1, 2)}); err != nil {
		t.Fatal(err)
	}
	done, bad, _, err := ExportHeard(ctx, damaged, func(NoteFile) (bool, error) { return true, nil })
	if err != nil || done.Heard != 1 || len(bad) != 2 || !strings.Contains(bad[0].String(), "heard 1 of 0412: damaged") || !strings.Contains(bad[1].String(), "heard 3 of 0414: damaged") {
		t.Errorf("%+v, %v, %v", done, bad, err)
	}
	if c, err := Check(ctx, damaged, answer.Judge("2.0"), Scope{}); err != nil || c.OK || len(c.Bad) != 2 || c.Heard.Heard != 3 {
		t.Errorf("%+v, %v", c, err)
	}
}

// damagedHeard is a book whose sounds, and whose play-through of 0414, have changed.
type damagedHeard struct{ book.Store }

func (d damagedHeard) EachHeard(ctx context.Context, serial string, fn func(*book.Heard) error) error {
	return d.Store.EachHeard(ctx, serial, func(h *book.Heard) error {
		if h.Serial == "0414" {
			h.Body = bytes.Replace(h.Body, []byte("440"), []byte("441"), 1)
		}
		return fn(h)
	})
}

func (d damagedHeard) HeardSound(context.Context, int64) ([]byte, error) {
	return nil, book.ErrDamaged
}

// FuzzHeardOf: no file of numbers makes the program stumble, and one that passes is what
// it was written from.
func FuzzHeardOf(f *testing.F) {
	s := tempBook(f)
	if _, err := s.AddHeard(context.Background(), []book.Heard{booktest.Played("0412", 1, 2)}); err != nil {
		f.Fatal(err)
	}
	f.Add(heardOut(f, s, Heard{1, 1, 0})["0412/heard-1.json"].Data)
	f.Add([]byte(`{"format":"ringtrue heard 1","heard":1,"played_through":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		h, err := heardOf(data)
		if err == nil && (h.Intact() != nil || !h.Kept && h.Check() != nil || h.Number < 1) {
			t.Errorf("what is not as it was passed: %+v", h)
		}
	})
}
