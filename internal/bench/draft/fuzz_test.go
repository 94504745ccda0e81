package draft

import (
	"bytes"
	"reflect"
	"testing"
)

// Any bytes are a journal or none: what is read of them is written as the same
// lines, and reading never goes beyond what is sound.
func FuzzReadJournal(f *testing.F) {
	e := Event{Version: 1, Kind: Opened, Name: "heron.toml", Data: []byte("x")}
	line, err := e.line()
	if err != nil {
		f.Fatal(err)
	}
	two, err := Event{Version: 2, Kind: Set, Pass: 1, Site: "7@1", Reading: "0.4", Unit: "mm"}.line()
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range [][]byte{nil, line, append(bytes.Clone(line), two...), append(bytes.Clone(line), two[:9]...), []byte("00000000 {}\n")} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c := readJournal(data)
		if n := len(c.torn) + len(bytes.Join(c.damaged, nil)); n > len(data) || c.repaired == 0 && n+len(c.sound) != len(data) {
			t.Fatalf("%d bytes are %d sound and %d not", len(data), len(c.sound), n)
		}
		var again []byte
		for _, e := range c.events {
			l, err := e.line()
			if err != nil {
				t.Fatal(err)
			}
			again = append(again, l...)
		}
		back := readJournal(again)
		if len(back.damaged)+len(back.torn) > 0 || !reflect.DeepEqual(back.events, c.events) {
			t.Fatalf("%+v, want %+v", back.events, c.events)
		}
	})
}

// A site's name that is taken is the one that NewSite writes.
func FuzzParseSite(f *testing.F) {
	for _, s := range []string{"7@1", "6-7-8@3.5", "", "@", "7@", "-1@1", "7@1e9", "007@1", "../../etc/passwd"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSite(text)
		if err != nil {
			return
		}
		if NewSite(s.Lane(), s.Frets()...) != s || string(s) != text || s.Named() == "" {
			t.Errorf("%q is %q", text, s)
		}
	})
}
