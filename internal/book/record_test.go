package book

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// FuzzParseTags: no panic, and what is read is written back byte for byte, so
// that a changed byte never passes for the same tags.
func FuzzParseTags(f *testing.F) {
	for _, s := range []string{"{}", `{"wire":"lot7"}`, `{"a":"\u003cb\u003e","b":"\\"}`, "null", `{"a":1}`, `{"b":"","a":""}`, "{", `{"a":"x","a":"y"}`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tags, err := ParseTags(s)
		if err == nil && tags.Text() != s {
			t.Errorf("%q is read as %q", s, tags.Text())
		}
	})
}

// FuzzSum: what is read as a checksum is written back byte for byte; any other
// text is none.
func FuzzSum(f *testing.F) {
	f.Add(Identity{1, 2, 254}.String())
	f.Add("")
	f.Add("zz")
	f.Fuzz(func(t *testing.T, s string) {
		var id Identity
		if err := id.UnmarshalText([]byte(s)); err != nil || id != (Identity{}) && id.String() != s {
			t.Errorf("%q is read as %s, %v", s, id, err)
		}
	})
}

// FuzzParseTag: a tag that is taken prints and reads back the same.
func FuzzParseTag(f *testing.F) {
	f.Add("wire=lot7")
	f.Add("a=b=c")
	f.Add("=")
	f.Fuzz(func(t *testing.T, s string) {
		k, v, err := ParseTag(s)
		if err != nil {
			return
		}
		if k+"="+v != s {
			t.Errorf("%q is read as %q, %q", s, k, v)
		}
		back, err := ParseTags(Tags{k: v}.Text())
		if err != nil || len(back) != 1 || back[k] != v {
			t.Errorf("%q is kept as %v, %v", s, back, err)
		}
	})
}

// A neck's records keep their order however the clock jumps, and each time is
// the clock's where it can be.
func TestAddedAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		last := int64(0)
		for range rapid.IntRange(1, 20).Draw(t, "records") {
			now := time.UnixMicro(rapid.Int64Range(0, 1<<40).Draw(t, "clock"))
			at := AddedAt(&Entry{}, now, last).UnixMicro()
			if at <= last && last > 0 {
				t.Fatalf("recorded at %d after %d", at, last)
			}
			if now.UnixMicro() > last && at != now.UnixMicro() {
				t.Fatalf("the clock says %d, after %d; recorded at %d", now.UnixMicro(), last, at)
			}
			last = at
		}
	})
}

// Every byte that is kept is under a seal: changing any one thing is found.
func TestWhole_FindsAnyChange(t *testing.T) {
	entry := func() *Entry {
		return &Entry{
			Serial: "0412", Stage: "seated", Note: "n", By: "Ines", Tags: Tags{"wire": "lot7"},
			Files: Files{Neck: File{"heron.toml", []byte("a")}, Readings: File{"r.csv", []byte("b")}},
		}
	}
	for what, change := range map[string]func(*Record, *Files){
		"neck file":     func(_ *Record, f *Files) { f.Neck.Bytes = []byte("A") },
		"readings":      func(_ *Record, f *Files) { f.Readings.Bytes = nil },
		"neck's name":   func(r *Record, _ *Files) { r.NeckName += "x" },
		"serial":        func(r *Record, _ *Files) { r.Serial = "0413" },
		"stage":         func(r *Record, _ *Files) { r.Stage = "levelled" },
		"note":          func(r *Record, _ *Files) { r.Note = "" },
		"who":           func(r *Record, _ *Files) { r.By = "Tomas" },
		"why":           func(r *Record, _ *Files) { r.Why = "x" },
		"tags":          func(r *Record, _ *Files) { r.Tags = Tags{"wire": "lot8"} },
		"time":          func(r *Record, _ *Files) { r.Added = r.Added.Add(time.Microsecond) },
		"identity":      func(r *Record, _ *Files) { r.Identity[3] ^= 1 },
		"corrects":      func(r *Record, _ *Files) { r.Corrects = &Identity{1} },
		"seal":          func(r *Record, _ *Files) { r.Checksum[31] ^= 1 },
		"name and note": func(r *Record, _ *Files) { r.Note, r.By = "", "nInes" },
	} {
		e := entry()
		r := RecordOf(e, time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC))
		f := e.Files
		if err := Whole(&r, f); err != nil {
			t.Fatal(err)
		}
		change(&r, &f)
		if Whole(&r, f) == nil {
			t.Errorf("a changed %s passes for whole", what)
		}
	}
}
