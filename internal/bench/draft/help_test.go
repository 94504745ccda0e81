package draft

import (
	"bytes"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/reading"
)

func clock() time.Time { return time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC) }

func example(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func openAt(t testing.TB, dir string) *Folder {
	t.Helper()
	f, notes, err := Open(dir, clock)
	if err != nil || len(notes) > 0 {
		t.Fatal(err, notes)
	}
	t.Cleanup(func() { _ = f.Close() }) // a test may have closed it
	return f
}

func begun(t testing.TB, f *Folder) *Neck {
	t.Helper()
	k, err := f.Begin("heron.toml", example(t, "heron.toml"), "0412", "a")
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func beam() Pass {
	return Pass{Method: "beam", Unit: "mm", Lanes: []float64{1, 2, 3, 4, 5, 6}, From: 1, To: 22, Every: 1, State: "slack", By: "Ines", Temperature: "21 C"}
}

func begin(t testing.TB, k *Neck, p Pass) int {
	t.Helper()
	n, err := k.Begin(p, "a")
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func version(k *Neck) (v int) {
	k.Read(func(s *State) { v = s.Version })
	return v
}

// csvOf is a stage's file and its readings; the file says what they say.
func csvOf(k *Neck, stage int) (data []byte, places []Place) {
	k.Read(func(s *State) {
		data = s.CSV(stage)
		var readings []reading.Reading
		readings, places = s.Taken(stage)
		var parsed reading.Set
		var err error
		if data != nil {
			parsed, err = reading.Parse("x.csv", bytes.NewReader(data), s.Bounds())
		}
		for i, at := range places {
			if readings[i].Stands != at.Stands {
				panic(fmt.Sprintf("%+v, taken at %+v", readings[i], at))
			}
			readings[i].Stands = false // no file says so
		}
		if err != nil || !reflect.DeepEqual(parsed.Readings, readings) {
			panic(fmt.Sprintf("%v: the file has %+v, the stage %+v", err, parsed.Readings, readings))
		}
	})
	return data, places
}

func set(t testing.TB, k *Neck, pass int, at Site, text string) {
	t.Helper()
	over := 0
	k.Read(func(s *State) {
		if e := s.Entry(pass, at); e != nil {
			over = e.Version
		}
	})
	if _, err := k.Set(Put{Pass: pass, Site: at, Reading: text, Unit: "mm", Seen: version(k), Over: over}); err != nil {
		t.Fatalf("%s: %v", at, err)
	}
}

func parsed(t testing.TB, data []byte) reading.Set {
	t.Helper()
	s, err := reading.Parse("x.csv", strings.NewReader(string(data)), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil {
		t.Fatal(err)
	}
	return s
}
