package main

import (
	"bytes"
	"context"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

const folder = ".."

// The files in the repository are what this program writes.
func TestReadings_AreTheFiles(t *testing.T) {
	for _, e := range examples() {
		want, err := os.ReadFile(filepath.Join(folder, e.file+"-seated.csv"))
		if err != nil {
			t.Fatal(err)
		}
		got, err := e.readings(folder)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s: run go run ./examples/gen examples", e.file)
		}
	}
}

// So are the later readings of neck 0412, and its story ends well.
func TestStages_AreTheFiles(t *testing.T) {
	files, err := stages(folder)
	if err != nil {
		t.Fatal(err)
	}
	for name, got := range files {
		want, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s: run go run ./examples/gen examples", name)
		}
	}
	s, err := begin(folder)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"heron-refitted.csv": "not level", "heron-levelled.csv": "level"} {
		if a, err := s.judge(files[name]); err != nil || a.Verdict != want {
			t.Errorf("%s: %v, want %s (%v)", name, a.Verdict, want, err)
		}
	}
}

// What was put in is found, and nothing else.
func TestReadings_FaultsAreFound(t *testing.T) {
	type misread struct {
		method string
		fret   int
		lane   float64
	}
	for _, c := range []struct {
		file    string
		frets   map[int]string
		recheck misread
	}{
		{"heron-bass", map[int]string{3: "pit under string 2", 5: "whole fret high", 11: "bass end not seated",
			18: "whole fret high", 19: "whole fret high", 20: "whole fret high", 21: "whole fret high"}, misread{"bridge", 14, 3}},
		{"heron-seven", map[int]string{9: "whole fret high", 12: "pit under string 4", 17: "treble end not seated"}, misread{"probe", 20, 6}},
		{"heron-slant", map[int]string{2: "pit under string 5", 4: "treble end not seated", 16: "whole fret high"}, misread{"beam", 13, 2}},
		{"heron-twelve", map[int]string{3: "middle proud", 7: "whole fret high", 15: "bass end not seated", 18: "whole fret low"}, misread{"beam", 5, 5}},
	} {
		t.Run(c.file, func(t *testing.T) {
			a := judge(t, c.file)
			got := map[int]string{}
			for _, f := range a.Frets {
				got[f.Fret] = f.Finding
			}
			if !maps.EqualFunc(got, c.frets, strings.HasPrefix) { // a pit's depth follows
				t.Errorf("found %v, put in %v", got, c.frets)
			}
			if len(a.Recheck) != 1 {
				t.Fatalf("%d readings set aside, one was misread: %+v", len(a.Recheck), a.Recheck)
			}
			if r := a.Recheck[0]; (misread{r.Method, r.Fret, r.Lane}) != c.recheck {
				t.Errorf("%+v set aside, want %+v", r, c.recheck)
			}
			if len(a.Undetermined) > 0 {
				t.Errorf("undetermined: %+v", a.Undetermined)
			}
		})
	}
}

// A bench without a dial finds what stands high, and nothing else. The leaves leave
// open how low fret 19 is and how much of fret 7 is tilt: all of them may err alike.
func TestFeelersOnly_FaultsAreFound(t *testing.T) {
	s, err := begin(folder)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := feelersOnly(folder)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.judge(rows)
	if err != nil {
		t.Fatal(err)
	}
	got := map[int]string{}
	for _, f := range a.Frets {
		got[f.Fret] = f.Finding
	}
	want := map[int]string{7: "whole fret high", 14: "whole fret high"}
	if !maps.Equal(got, want) || len(a.Recheck)+len(a.Undetermined) > 0 {
		t.Errorf("found %v, put in %v; set aside %v, undetermined %v", got, want, a.Recheck, a.Undetermined)
	}
}

// judge reads an example and asks for its verdict.
func judge(t *testing.T, file string) *answer.FretsAnswer {
	t.Helper()
	m, l, readings := load(t, file)
	a, err := answer.Frets(context.Background(), answer.FretsRequest{Model: m, Layout: l, Readings: readings})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func load(t *testing.T, file string) (neck.Model, *geometry.Layout, []reading.Reading) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, file+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse(file, data)
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := os.ReadFile(filepath.Join(folder, file+"-seated.csv"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := reading.Parse(file, bytes.NewReader(rows), reading.Bounds{FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings()})
	if err != nil {
		t.Fatal(err)
	}
	return m, l, s.Readings
}

// An edge on simulated crowns lies on two of them and under none.
func TestEdge_LiesOnTheCrowns(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(folder, "heron-bass.toml"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := newBench("heron-bass.toml", data, 1, []fault{high(5, 0.1)})
	if err != nil {
		t.Fatal(err)
	}
	for _, lane := range b.lanes() {
		gap, touching := b.edge(lane), 0
		for _, f := range b.frets() {
			switch g := gap(f); {
			case g < -1e-12:
				t.Errorf("lane %v: fret %d stands %v mm above the edge", lane, f, -g)
			case g < 1e-12:
				touching++
			}
		}
		if touching != 2 {
			t.Errorf("lane %v: the edge lies on %d crowns", lane, touching)
		}
	}
}

// So are the tutorial's, and its story is one: what is found is what was put in, what is
// pressed comes down, what is filed ends level, the saddle that moved stays.
func TestFirst_AreTheFiles(t *testing.T) {
	files, err := firstFiles(folder)
	if err != nil {
		t.Fatal(err)
	}
	for name, got := range files {
		want, err := os.ReadFile(filepath.Join(folder, firstFolder, name))
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s: run go run ./examples/gen examples", name)
		}
	}
	n, err := beginFirst(filepath.Join(folder, firstFolder, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	off := map[string]map[int]float64{} // of lane 1, by fret
	for name, want := range map[string]string{"seated.csv": "not level", "pressed.csv": "not level", "levelled.csv": "level", "serviced.csv": "not level"} {
		a, err := n.judge(files[name])
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict != want {
			t.Errorf("%s: %s, want %s", name, a.Verdict, want)
		}
		off[name] = map[int]float64{}
		for _, c := range a.Crowns {
			if c.Lane == 1 {
				off[name][c.Fret] = c.OffMM
			}
		}
		if aside := len(a.Recheck); (name == "seated.csv") != (aside == 1) || aside > 1 {
			t.Errorf("%s: %d readings set aside", name, aside)
		}
	}
	for _, f := range []int{7, 14} {
		if before, after := off["seated.csv"][f], off["pressed.csv"][f]; before < 0.04 || after > 0.015 {
			t.Errorf("fret %d: %.3f mm high, pressed %.3f", f, before, after)
		}
	}
	if before, after := off["pressed.csv"][19], off["levelled.csv"][19]; before < 0.02 || after > 0.015 {
		t.Errorf("fret 19: %.3f mm high, filed %.3f", before, after)
	}
}
