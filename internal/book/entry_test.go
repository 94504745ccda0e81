package book

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func fitEntry() Entry {
	return Entry{
		Serial: "0412", Stage: "seated", Note: "after the press", Tags: Tags{"wire": "lot7"},
		Files: Files{Neck: File{Name: "heron.toml"}, Readings: File{Name: "heron-seated.csv"}},
	}
}

// TestEntry_Check: what cannot be a folder's name, a line of a note or a tag is
// refused with the field's name; the longest that fits is not.
func TestEntry_Check(t *testing.T) {
	many := Tags{}
	for i := range maxTags {
		many[fmt.Sprint("tag", i)] = "x"
	}
	for name, change := range map[string]func(*Entry){
		"as it is":             func(*Entry) {},
		"the longest serial":   func(e *Entry) { e.Serial = strings.Repeat("ü", maxWord) },
		"the longest note":     func(e *Entry) { e.Note = strings.Repeat("x", maxNote) },
		"as many tags as may":  func(e *Entry) { e.Tags = many },
		"the longest strokes":  func(e *Entry) { e.Tags = Tags{StrokesTag: strings.Repeat("x", maxDone)} },
		"the longest tag":      func(e *Entry) { e.Tags = Tags{"wire": strings.Repeat("ü", maxWord)} },
		"a signed correction":  func(e *Entry) { e.Corrects, e.By, e.Why = &Identity{1}, "Ada", "wrong neck" },
		"a point inside words": func(e *Entry) { e.Serial = "04.12" },
	} {
		e := fitEntry()
		change(&e)
		if err := e.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for says, change := range map[string]func(*Entry){
		"serial: not fit for the book: it is empty":    func(e *Entry) { e.Serial = "" },
		"stage: not fit for the book: longer than 64":  func(e *Entry) { e.Stage = strings.Repeat("x", maxWord+1) },
		`serial " 1": not fit for the book: it begins`: func(e *Entry) { e.Serial = " 1" },
		`stage "s ": not fit for the book: it begins`:  func(e *Entry) { e.Stage = "s " },
		"begins with a point":                          func(e *Entry) { e.Serial = ".." },
		"it has '/'":                                   func(e *Entry) { e.Serial = "a/b" },
		`it has '\\'`:                                  func(e *Entry) { e.Serial = `a\b` },
		`it has '\n'`:                                  func(e *Entry) { e.Stage = "a\nb" },
		"it has '�'":                                   func(e *Entry) { e.Stage = "a\xffb" },
		"note: not fit for the book: at most 4000":     func(e *Entry) { e.Note = strings.Repeat("x", maxNote+1) },
		"by: not fit for the book: at most 4000":       func(e *Entry) { e.By = "\xff" },
		"why: not fit for the book: at most 4000":      func(e *Entry) { e.Why = "a\x00" },
		"tags: not fit for the book: at most 50":       func(e *Entry) { e.Tags = with(many, "one more", "x") },
		"tag: not fit for the book: it is empty":       func(e *Entry) { e.Tags = Tags{"": "x"} },
		"its name must not contain =":                  func(e *Entry) { e.Tags = Tags{"a=b": "x"} },
		"tag a: not fit for the book: its value is 1":  func(e *Entry) { e.Tags = Tags{"a": ""} },
		"tag strokes: not fit for the book: its value": func(e *Entry) { e.Tags = Tags{StrokesTag: strings.Repeat("x", maxDone+1)} },
		"tag b: not fit for the book: its value is 1":  func(e *Entry) { e.Tags = Tags{"b": strings.Repeat("x", maxWord+1)} },
		"tag c: not fit for the book: its value is 1":  func(e *Entry) { e.Tags = Tags{"c": "x\ty"} },
		"tag d: not fit for the book: its value is 1":  func(e *Entry) { e.Tags = Tags{"d": "\xff"} },
		"correction: not fit for the book: say who":    func(e *Entry) { e.Corrects, e.Why = &Identity{1}, "wrong neck" },
		"and why (--why)":                              func(e *Entry) { e.Corrects, e.By = &Identity{1}, "Ada" },
		"heron.toml: not fit for the book: more than":  func(e *Entry) { e.Files.Neck.Bytes = make([]byte, maxBytes+1) },
		"a file's name must be plain text":             func(e *Entry) { e.Files.Readings.Name = "a\xff.csv" },
		`"a\x00.csv": not fit for the book`:            func(e *Entry) { e.Files.Neck.Name = "a\x00.csv" },
	} {
		e := fitEntry()
		change(&e)
		if err := e.Check(); !errors.Is(err, ErrEntry) || !strings.Contains(fmt.Sprint(err), says) {
			t.Errorf("%v, want %q", err, says)
		}
	}
}

func with(t Tags, key, value string) Tags {
	out := Tags{key: value}
	for k, v := range t {
		out[k] = v
	}
	return out
}

// The identity of an entry is that of the record it becomes, and nothing but
// note, tags, time and names may differ under it.
func TestEntry_Identity(t *testing.T) {
	e := fitEntry()
	if r := RecordOf(&e, e.Added); r.Identity != e.Identity() {
		t.Error("the record has another identity than its entry")
	}
	same := fitEntry()
	same.Note, same.Tags, same.Files.Neck.Name = "", nil, "other.toml"
	if same.Identity() != e.Identity() {
		t.Error("note, tags and names are part of the identity")
	}
	for name, change := range map[string]func(*Entry){
		"serial":     func(e *Entry) { e.Serial = "0413" },
		"stage":      func(e *Entry) { e.Stage = "crowned" },
		"neck":       func(e *Entry) { e.Files.Neck.Bytes = []byte("x") },
		"readings":   func(e *Entry) { e.Files.Readings.Bytes = []byte("x") },
		"correction": func(e *Entry) { e.Corrects = &Identity{1} },
	} {
		other := fitEntry()
		change(&other)
		if other.Identity() == e.Identity() {
			t.Errorf("another %s, the same identity", name)
		}
	}
}

// Which faults a maker mends and which the store must: both groups, wrapped.
func TestIsCall(t *testing.T) {
	for _, e := range []error{ErrNotFound, ErrNoBook, ErrNotABook, ErrNewer, ErrRefused, ErrNoTLS, ErrEntry, ErrUnlike} {
		if !IsCall(fmt.Errorf("book: %w", e)) {
			t.Errorf("%v is the caller's", e)
		}
	}
	for _, e := range []error{ErrDamaged, ErrReadOnly, ErrNoRights, ErrFull, ErrBusy, ErrCrowded, ErrLost, errors.New("other"), nil} {
		if IsCall(e) {
			t.Errorf("%v is the store's", e)
		}
	}
}

func TestNotFound_Near(t *testing.T) {
	few := []string{"0412", "0413", "0512", "0419", "9999"}
	var many []string
	for i := range 9 {
		many = append(many, strings.Repeat(string(rune('a'+i)), 8))
	}
	for _, c := range []struct {
		word  string
		known []string
		want  string
	}{
		{"0411", few, `serial "0411" is not in the book; near it: 0412, 0413, 0419`},
		{"zzzzzzzz", many[:8], `serial "zzzzzzzz" is not in the book; there are: ` + strings.Join(many[:8], ", ")},
		{"zzzzzzzz", many, `serial "zzzzzzzz" is not in the book`},
		{"0411", nil, `serial "0411" is not in the book`},
	} {
		known := append([]string(nil), c.known...)
		if err := NotFound("serial", c.word, c.known); !errors.Is(err, ErrNotFound) || err.Error() != c.want {
			t.Errorf("%v, want %s", err, c.want)
		}
		if fmt.Sprint(known) != fmt.Sprint(c.known) {
			t.Errorf("the names given were changed: %q", c.known)
		}
	}
}

// What is typed must look like what it is; a record that is in a book already, or
// comes with an import, is not asked.
func TestEntry_Typed(t *testing.T) {
	for says, change := range map[string]func(*Entry){
		"serial: not fit for the book: it has a letter that can't be seen (U+202E); type it by hand": func(e *Entry) { e.Serial = "04\u202e21" },
		"stage: not fit for the book: it has a letter that can't be seen (U+200F)":                   func(e *Entry) { e.Stage = "\u200fseated" },
		"by: not fit for the book: it has a letter that can't be seen (U+000A)":                      func(e *Entry) { e.By = "Ada\nBo" },
		`tag "wire": not fit for the book: it has a letter`:                                          func(e *Entry) { e.Tags = Tags{"wire": "lot\u20667"} },
	} {
		e := fitEntry()
		change(&e)
		if err := e.checkTyped(); !errors.Is(err, ErrEntry) || !strings.Contains(fmt.Sprint(err), says) {
			t.Errorf("%v, want %q", err, says)
		}
		if strings.Contains(says, "U+20") {
			if err := e.Check(); err != nil {
				t.Errorf("a book would not take it back: %v", err)
			}
		}
	}
	e := fitEntry()
	e.Serial = "a/b"
	if err := e.checkTyped(); !strings.Contains(fmt.Sprint(err), "it has '/'; use letters, digits, dashes and points") {
		t.Error(err)
	}
	if e = fitEntry(); e.checkTyped() != nil {
		t.Error(e.checkTyped())
	}
}
