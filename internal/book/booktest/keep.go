package booktest

import (
	"bytes"
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/book"
)

func testRoundTrip(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(412, "seated", 1)
	e.Note = "first of the batch: \"0.58 mm\" slots, τ = ½"
	e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, "# tail \r\n\x00\xff no line end"...)
	got := add(t, s, e)
	if !got.New || got.Number != 1 {
		t.Errorf("receipt %+v; want new record 1", got)
	}
	f := must[book.Files](t)(s.Files(ctx, got.Number))
	if !reflect.DeepEqual(f, e.Files) {
		t.Error("the files came back changed")
	}
	r := must[book.Record](t)(s.Record(ctx, got.Number))
	if r.Serial != e.Serial || r.Stage != e.Stage || r.Note != e.Note || r.By != e.By || !reflect.DeepEqual(r.Tags, e.Tags) {
		t.Errorf("record %+v", r)
	}
	if !reflect.DeepEqual(r.Derived, e.Derived) {
		t.Errorf("derived %+v\nwant %+v", r.Derived, e.Derived)
	}
	if r.DerivedChecksum != r.Derived.Checksum() {
		t.Error("the derived values' checksum does not fit")
	}
	if err := book.Whole(&r, f); err != nil {
		t.Error(err)
	}
	list := must[[]book.Record](t)(s.Records(ctx, e.Serial))
	if len(list) != 1 || !reflect.DeepEqual(list[0], r) {
		t.Errorf("records %+v", list)
	}
	if _, err := s.Record(ctx, 99); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("record 99: %v", err)
	}
	if _, err := s.Files(ctx, 99); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("files of record 99: %v", err)
	}
}

func testTwice(t *testing.T, s book.Store, _ *Clock) {
	first := add(t, s, Entry(1, "seated", 1))
	again := add(t, s, Entry(1, "seated", 1))
	if again.New || again.Number != first.Number || !again.Added.Equal(first.Added) {
		t.Errorf("the second time: %+v; want record %d, not new", again, first.Number)
	}
	in := must[[]book.Receipt](t)(s.Import(context.Background(), []*book.Entry{Entry(1, "seated", 1), Entry(2, "seated", 1), Entry(2, "seated", 1)}))
	if in[0].New || !in[1].New || in[2].New || in[2].Number != in[1].Number {
		t.Errorf("import %+v", in)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 2 {
		t.Errorf("%d records; want 2", n)
	}
}

func testIdentity(t *testing.T, s book.Store, _ *Clock) {
	base := add(t, s, Entry(1, "seated", 1))
	for what, change := range map[string]func(*book.Entry){
		"stage":    func(e *book.Entry) { e.Stage = "levelled" },
		"serial":   func(e *book.Entry) { e.Serial += "b" },
		"readings": func(e *book.Entry) { e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, '\n') },
		"neck":     func(e *book.Entry) { e.Files.Neck.Bytes = append(e.Files.Neck.Bytes, '\n') },
	} {
		e := Entry(1, "seated", 1)
		change(e)
		if r := add(t, s, e); !r.New || r.Number == base.Number {
			t.Errorf("another %s: %+v; want a new record", what, r)
		}
	}
	e := Entry(1, "seated", 1)
	e.Note, e.Tags, e.By = "other words", book.Tags{"press": "other"}, "Tomas"
	if r := add(t, s, e); r.New {
		t.Error("note and tags alone made a new record; that takes a correction")
	}
}

func testUnfit(t *testing.T, s book.Store, _ *Clock) {
	for what, change := range map[string]func(*book.Entry){
		"no serial":          func(e *book.Entry) { e.Serial = "" },
		"no stage":           func(e *book.Entry) { e.Stage = "" },
		"a path as serial":   func(e *book.Entry) { e.Serial = "../0412" },
		"a hidden stage":     func(e *book.Entry) { e.Stage = ".." },
		"a line end":         func(e *book.Entry) { e.Stage = "sea\nted" },
		"a long serial":      func(e *book.Entry) { e.Serial = strings.Repeat("x", 100) },
		"a tag without name": func(e *book.Entry) { e.Tags = book.Tags{"": "x"} },
		"a zero byte":        func(e *book.Entry) { e.Note = "a\x00b" },
		"broken letters":     func(e *book.Entry) { e.Note = "a\xffb" },
	} {
		e := Entry(1, "seated", 1)
		change(e)
		if _, err := s.Add(context.Background(), e); !errors.Is(err, book.ErrEntry) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records", n)
	}
}

// A letter counts once, however many bytes it takes.
func testLengths(t *testing.T, s book.Store, _ *Clock) {
	for what, c := range map[string]struct {
		most int
		set  func(e *book.Entry, text string)
	}{
		"serial": {64, func(e *book.Entry, text string) { e.Serial = text }},
		"stage":  {64, func(e *book.Entry, text string) { e.Stage = text }},
		"tag":    {64, func(e *book.Entry, text string) { e.Tags = book.Tags{text: "lot7"} }},
		"value":  {64, func(e *book.Entry, text string) { e.Tags = book.Tags{"wire": text} }},
		"note":   {4000, func(e *book.Entry, text string) { e.Note = text }},
		"by":     {4000, func(e *book.Entry, text string) { e.By = text }},
	} {
		for _, letter := range []string{"x", "Ü", "木"} {
			e := Entry(1, "seated", 1)
			e.Files.Readings.Bytes = append(e.Files.Readings.Bytes, what+letter...) // a record of its own
			c.set(e, strings.Repeat(letter, c.most))
			r := must[book.Record](t)(s.Record(context.Background(), add(t, s, e).Number))
			if r.Serial != e.Serial || r.Stage != e.Stage || r.Note != e.Note || r.By != e.By || !reflect.DeepEqual(r.Tags, e.Tags) {
				t.Errorf("%s of %d times %s came back changed", what, c.most, letter)
			}
			c.set(e, strings.Repeat(letter, c.most+1))
			if _, err := s.Add(context.Background(), e); !errors.Is(err, book.ErrEntry) {
				t.Errorf("%s of %d times %s: %v", what, c.most+1, letter, err)
			}
		}
	}
}

func testOddWords(t *testing.T, s book.Store, _ *Clock) {
	e := Entry(1, "rod set", 1)
	e.Serial = "№ 0412 'b' \"x\"; -- ½"
	e.Tags = book.Tags{"wood batch": `eb"ony\3`, "bend": "131.5", "wire": "<lot&7>"}
	e.Files.Readings = book.File{}
	n := add(t, s, e).Number
	r := must[book.Record](t)(s.Record(context.Background(), n))
	if r.Serial != e.Serial || !reflect.DeepEqual(r.Tags, e.Tags) {
		t.Errorf("%q %v", r.Serial, r.Tags)
	}
	for k, v := range e.Tags {
		if c := count(t, s, book.Filter{Tags: book.Tags{k: v}}); c != 1 {
			t.Errorf("tag %s=%s picks %d", k, v, c)
		}
	}
	f := must[book.Files](t)(s.Files(context.Background(), n))
	if len(f.Readings.Bytes) != 0 || !bytes.Equal(f.Neck.Bytes, e.Files.Neck.Bytes) {
		t.Error("files changed")
	}
}

func testSound(t *testing.T, s book.Store, _ *Clock) {
	for n := range 30 {
		add(t, s, Entry(n, "seated", 1))
	}
	if bad := must[[]string](t)(s.Verify(context.Background())); len(bad) != 0 {
		t.Errorf("not sound: %v", bad)
	}
	want := map[string]book.Packed{}
	for n := range 30 {
		e := Entry(n, "seated", 1)
		want[e.Serial] = e.Derived.Crowns
	}
	err := s.Scan(context.Background(), book.Filter{}, book.NameColumns|book.CrownColumns, func(r *book.Row) error {
		if r.Stage == "" || r.At.IsZero() || r.Tags != nil || r.Verdict != "" {
			t.Errorf("record %d: %+v is not what was wanted", r.Number, r)
		}
		if !bytes.Equal(r.Crowns, want[r.Serial]) {
			t.Errorf("crowns of %s changed", r.Serial)
		}
		delete(want, r.Serial)
		return nil
	})
	if err != nil || len(want) != 0 {
		t.Errorf("scan left out %d, %v", len(want), err)
	}
}
