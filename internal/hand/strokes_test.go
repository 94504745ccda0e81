package hand

import (
	"reflect"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	got, err := Parse(" File 7: 40, flat 0.45 mm;beam frets 10-22 lanes 1-3: 120 strokes, paper P400 new, by Ines \n press 3;")
	want := Strokes{
		{Tool: File, FromFret: 7, ToFret: 7, Strokes: 40, FlatMM: 0.45, FlatToMM: 0.45},
		{Tool: Beam, FromFret: 10, ToFret: 22, FirstLane: 1, LastLane: 3, Strokes: 120, Paper: "P400 new", By: "Ines"},
		{Tool: Press, FromFret: 3, ToFret: 3},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Fatalf("read %+v, %v", got, err)
	}
	if text := got.Text(); text != "file 7: 40, flat 0.45 mm; beam 10-22 lanes 1-3: 120, paper P400 new, by Ines; press 3" {
		t.Errorf("written %q", text)
	}
}

func TestParse_Faults(t *testing.T) {
	for text, want := range map[string]string{
		"7: 40":                        `"7: 40": which tool? use file, beam, block, press or replace`,
		": 40":                         "which tool?",
		"saw 7: 40":                    `no such tool "saw"; use file, beam, block, press or replace`,
		"file: 40":                     "over which frets? write file 7 or file 10-22",
		"file seven: 40":               `"seven" is not a fret or a range`,
		"beam 22-10: 40":               `"22-10" is not a fret or a range`,
		"file 7":                       "how many strokes? write 1 to 20000 after the colon",
		"file 7: 0":                    "how many strokes?",
		"file 7: many":                 `"many" is not a number of strokes`,
		"file 7: 40, flat 0.45":        "flat: 0.45 has no unit",
		"file 7: 40, flat 0.6-0.2":     `flat: "0.6-0.2" has no unit; write 0.6-0.2 mm`,
		"file 7: 40, flat 0.6-9 mm":    "a flat of 9 mm is outside",
		"file 7: 40, flat 9 mm":        "a flat of 9 mm is outside 0.01 to 3 mm",
		"file 7: 40, grit P400":        `"grit" is unknown; known are flat, paper, by, ink`,
		"file 7: 40, by":               "by is empty",
		"beam 1-22: 40, ink x":         `ink: "x" is not a fret`,
		"beam 1-22: 40, ink 23":        "ink: name some of frets 1-22, not all",
		"beam 7-8: 40, ink 7 8":        "not all",
		"press 7: 40":                  "press takes no strokes",
		"beam 10-22 lanes 0-3: 4":      `"0-3" is not a lane`,
		"beam 10-22 on lanes 1: 4":     "write it like beam 10-22 lanes 1-3: 60",
		" ; ":                          `write it like "file 7: 40; beam 10-22: 120"`,
		strings.Repeat("press 1;", 41): "more than 40 entries",
	} {
		if got, err := Parse(text); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %+v, %v, want %s", text, got, err, want)
		}
	}
}

func TestCheck(t *testing.T) {
	for text, want := range map[string]string{
		"file 23: 40":             "this neck has no fret 23; use 1 to 22",
		"file 0: 40":              "this neck has no fret 0; use 1 to 22",
		"beam 1-30: 40":           "this neck has no fret 30; use 1 to 22",
		"beam 1-22 lanes 1-7: 40": "this neck has no lane 7; use 1 to 6",
	} {
		s, err := Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Check(1, 22, 6); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	s, _ := Parse("beam 1-22 lanes 1-6: 40")
	if err := s.Check(1, 22, 6); err != nil {
		t.Error(err)
	}
}

func TestRead(t *testing.T) {
	got, err := Read("s.csv", strings.NewReader("tool,from_fret,to_fret,lanes,strokes,paper,by,flat,unit\nfile,7,7,,40,,Ines,0.45,mm\nBeam,10,22,1-3,120,P400,,,\npress,3,3,,,,,,\n"))
	if err != nil || got.Text() != "file 7: 40, flat 0.45 mm, by Ines; beam 10-22 lanes 1-3: 120, paper P400; press 3" {
		t.Errorf("read %q, %v", got.Text(), err)
	}
}

func TestRead_Faults(t *testing.T) {
	for text, want := range map[string]string{
		"from_fret,to_fret,strokes\n7,7,40\n":                      "s.csv:1: tool: the column is missing",
		"tool,from_fret,to_fret,strokes\n,7,7,40\n":                "s.csv:2: tool: which tool? use file, beam",
		"tool,from_fret,to_fret,strokes\nsaw,7,7,40\n":             `s.csv:2: tool: no such tool "saw"`,
		"tool,from_fret,to_fret,strokes\nfile,7,7,\n":              "s.csv:2: strokes: is empty",
		"tool,from_fret,to_fret,strokes\nfile,9,7,4\n":             "s.csv:2: tool: 9-7 is not a range of frets",
		"tool,from_fret,to_fret,strokes,flat\nfile,7,7,4,0.4\n":    "s.csv:2: unit: flat: 0.4 has no unit",
		"tool,from_fret,to_fret,strokes,lanes\nbeam,7,9,4,all\n":   `s.csv:2: lanes: "all" is not a lane`,
		"tool,from_fret,to_fret,strokes,papers\nbeam,7,9,4,P400\n": "did you mean paper?",
		"tool,from_fret,to_fret,strokes\npress,7,7,12\n":           "press takes no strokes",
		"tool,from_fret,to_fret,strokes\n":                         "has no rows",
	} {
		if _, err := Read("s.csv", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// What parses prints, and parses back to the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"file 7: 40; beam 10-22: 120", "beam 10-22 lanes 1-3: 60, flat 0.45 mm, paper P400, by Ines", "press 3", "7: 40", "press 3:, by A", "beam 1-22: 90, ink 19 5 5", "file 7: 40, flat 0.65-0.25 mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(text)
		if err != nil {
			return
		}
		back, err := Parse(s.Text())
		if err != nil || !reflect.DeepEqual(back, s) {
			t.Errorf("%q comes back as %+v, %v", s.Text(), back, err)
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("tool,from_fret,to_fret,strokes\nfile,7,7,40\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Read("s.csv", strings.NewReader(string(data)))
		if err != nil {
			return
		}
		if back, err := Parse(s.Text()); err != nil || !reflect.DeepEqual(back, s) {
			t.Errorf("%q comes back as %+v, %v", s.Text(), back, err)
		}
	})
}
