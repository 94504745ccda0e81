package reading

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
)

func heronBounds() Bounds { return Bounds{FirstFret: 1, LastFret: 22, Strings: 6} }

func example(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile("../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func parse(t testing.TB, text string) Set {
	t.Helper()
	s, err := Parse("x.csv", strings.NewReader(text), heronBounds())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestParse_HeronSeated(t *testing.T) {
	s := parse(t, example(t, "heron-seated.csv"))
	if len(s.Readings) != 132 || s.File != "x.csv" {
		t.Fatalf("%d readings of %s", len(s.Readings), s.File)
	}
	want := Reading{Line: 10, Method: Beam, Lane: 1, Frets: []int{7}, Value: 0.442, U: DefaultU}
	if got := s.Readings[6]; !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func TestParse_HeronShop(t *testing.T) {
	s := parse(t, example(t, "heron-shop.csv"))
	count := map[Method]int{}
	for _, r := range s.Readings {
		count[r.Method]++
	}
	if count[Bridge] != 120 || count[Edge] != 44 || count[Rocker] == 0 || count[Bridge]+count[Edge]+count[Rocker] != len(s.Readings) {
		t.Errorf("%v", count)
	}
	want := Reading{Line: 9, Method: Bridge, Lane: 1, Frets: []int{6, 7, 8}, Value: 0.068, U: 0.003, UGiven: true}
	if got := s.Readings[5]; !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func ptr(v float64) *float64 { return &v }

// One row of each method, with all that may go with it.
func TestParse_Methods(t *testing.T) {
	s := parse(t, `method,lane,fret,reading,unit,pass,u,no_go,span,x,y,z,turned,state,by,gauge,date,temperature,humidity
beam,3.5,7,-0.402,mm,a,0.002,,,,,,yes,slack,Ada,dial 3,2031-04-05,21 C,45
beam,3.5,8,0.4,mm,a,,,,,,,yes,,,,,,
beam,3.5,8,0.4,mm,a,,,,,,,no,strung,,,,70 F,45 %
bridge,1,8-7-6,0.068,mm,,,,,,,,,,,,,,
bridge,6,1 – 5 – 9,0.068,mm,,,,,,,,,,,,,,
rocker,6,6-7-8,0.05,mm,,,0.06,,,,,,,,,,,
rocker,6,6-7-8,Rocks,mm,,,,,,,,,,,,,,
rocker,6,6-7-8,still,mm,,,,,,,,,rod set,,,,,
edge,2,22,0,mm,,,0.05,,,,,yes,,,,,,
probe,,,,mm,p1,0.001,,,301.25,-12.5,4.125,,,,,,,
arch,,12,0.31,mm,,,,25,,,,,,,,,,
arch,3.5,12,0.31,mm,,,,25,,,,,,,,,,
sticks,,1-12,-0.2,mm,,,,40,,,,,,,,,,
height,1,7,1.18,mm,,,,,,,,,,,,,,
HEIGHT,1,7,0.046,IN,,0.001,,,,,,,,,,,,
`)
	a := Reading{Method: Beam, Lane: 3.5, Frets: []int{7}, Value: -0.402, U: 0.002, UGiven: true, Pass: "a", Turned: true,
		State: "slack", By: "Ada", Gauge: "dial 3", Date: "2031-04-05", Temperature: "21 C", Humidity: "45"}
	b := a
	b.Frets, b.Value, b.U, b.UGiven = []int{8}, 0.4, DefaultU, false // the pass says who, once
	want := []Reading{a, b,
		{Method: Beam, Lane: 3.5, Frets: []int{8}, Value: 0.4, Pass: "a", State: "strung", Temperature: "70 F", Humidity: "45 %"},
		{Method: Bridge, Lane: 1, Frets: []int{8, 7, 6}, Value: 0.068},
		{Method: Bridge, Lane: 6, Frets: []int{1, 5, 9}, Value: 0.068},
		{Method: Rocker, Lane: 6, Frets: []int{6, 7, 8}, Value: 0.05, NoGo: ptr(0.06), State: "rod set"},
		{Method: Rocker, Lane: 6, Frets: []int{6, 7, 8}, Answer: Rocks, State: "rod set"},
		{Method: Rocker, Lane: 6, Frets: []int{6, 7, 8}, Answer: Still, State: "rod set"},
		{Method: Edge, Lane: 2, Frets: []int{22}, NoGo: ptr(0.05), Turned: true},
		{Method: Probe, X: 301.25, Y: -12.5, Z: 4.125, Pass: "p1", U: 0.001, UGiven: true},
		{Method: Arch, Frets: []int{12}, Value: 0.31, Span: 25},
		{Method: Arch, Lane: 3.5, Frets: []int{12}, Value: 0.31, Span: 25},
		{Method: Sticks, Frets: []int{1, 12}, Value: -0.2, Span: 40},
		{Method: Height, Lane: 1, Frets: []int{7}, Value: 1.18},
		{Method: Height, Lane: 1, Frets: []int{7}, Value: 0.046 * 25.4, U: 0.0254, UGiven: true},
	}
	if len(s.Readings) != len(want) {
		t.Fatalf("%d readings, want %d", len(s.Readings), len(want))
	}
	for i, w := range want {
		w.Line = i + 2
		if w.U == 0 {
			w.U = DefaultU
		}
		got := s.Readings[i]
		got.U, w.U = math.Round(got.U*1e12)/1e12, math.Round(w.U*1e12)/1e12
		got.Value, w.Value = math.Round(got.Value*1e12)/1e12, math.Round(w.Value*1e12)/1e12
		if !reflect.DeepEqual(got, w) {
			t.Errorf("%+v, want %+v", got, w)
		}
	}
}

// Each case is a whole file with the faults it must give, one a line.
func TestParse_Faults(t *testing.T) {
	const head = "method,lane,fret,reading,unit\n"
	for name, c := range map[string]struct{ text, want string }{
		"empty":            {"", "x.csv: is empty; readings start with a header row such as method,lane,fret,reading,unit"},
		"only comments":    {"# a\n\n#b\n", "x.csv: is empty; readings start with a header row such as method,lane,fret,reading,unit"},
		"no rows":          {head + "# none yet\n", "x.csv: has no readings under its header"},
		"binary":           {"\x7fELF\x00\x00", "x.csv: is not text; a readings file is a CSV file in UTF-8"},
		"UTF-16":           {"\xff\xfem\x00e\x00", "x.csv: is UTF-16; save it as CSV in UTF-8"},
		"Latin-1":          {"# one\n# M\xfcller\n" + head, "x.csv:2: is not UTF-8; save the file as CSV in UTF-8"},
		"unknown column":   {"method,lane,frets,reading,unit\n", `x.csv:1: "frets": is an unknown column; did you mean fret?`},
		"far column":       {"method,lane,fret,reading,unit,colour\n", `x.csv:1: "colour": is an unknown column; known are method, lane, fret, reading, unit, pass, u, no_go, span, x, y, z, turned, state, by, gauge, date, temperature, humidity`},
		"column twice":     {"method,lane,fret,reading,unit,lane\n", "x.csv:1: lane: appears twice in the header; keep one"},
		"no method":        {"# c\nlane,fret,reading,unit\n", "x.csv:2: method: the column is missing; every row needs it"},
		"no unit":          {"method,lane,fret,reading\n", "x.csv:1: unit: the column is missing; every row needs it"},
		"no reading":       {"method,lane,fret,unit\nbeam,1,1,mm\nbeam,1,2,mm\n", "x.csv:1: reading: the column is missing; beam rows need it (line 2)"},
		"no z":             {"method,x,y,unit\nprobe,1,1,mm\n", "x.csv:1: z: the column is missing; probe rows need it (line 2)"},
		"short row":        {head + "beam,1,1,0.4,mm\nbeam,1,2\n", "x.csv:3: has 3 cells, the header 5; leave unused cells empty, but keep their separators"},
		"decimal comma":    {head + "beam,1,1,0,402,mm\n", "x.csv:2: has 6 cells, the header 5; a decimal comma needs ; between the cells"},
		"quoted comma":     {head + `beam,1,1,"0,402",mm` + "\n", `x.csv:2: reading: "0,402" has a decimal comma; write 0.402`},
		"commas and point": {strings.ReplaceAll(head, ",", ";") + "beam;1;1;0,402;mm\nbeam;1;2;0.402;mm\nbeam;1;3;0.402;mm\n", `x.csv:3: reading: "0.402" has a decimal point, line 2 a decimal comma; use one of them (rows 3 and 4)`},
		"points and comma": {strings.ReplaceAll(head, ",", "\t") + "beam\t1\t1\t1.402\tmm\nbeam\t1\t2\t0,402\tmm\n", `x.csv:3: reading: "0,402" has a decimal comma, line 2 a decimal point; use one of them`},
		"thousands":        {strings.ReplaceAll(head, ",", ";") + "beam;1;1;1,234.5;mm\n", `x.csv:2: reading: "1,234.5" has its thousands parted; write "1234.5"`},
		"unit":             {head + "beam,1,1,0.4,cm\nbeam,1,2,0.4,\n", "x.csv:2: unit: \"cm\" is not a unit of length here; use mm or in\nx.csv:3: unit: is empty; use mm or in"},
		"no header":        {"# a note\nBeam;1;1;0,4;mm\nbeam;1;2;0,4;mm\n", "x.csv:2: is a reading, but should be the header row; write one above it, such as method,lane,fret,reading,unit"},
		"neck file":        {"# a note\n\n[scale]\nlength = \"640 mm\"\n", "x.csv: is a neck file; give the readings (.csv) after it"},
		"neck file's name": {"name = \"Heron, 22\"\n", "x.csv: is a neck file; give the readings (.csv) after it"},
		"method":           {head + "bean,1,1,0.4,mm\n,1,1,0.4,mm\nlaser,1,1,0.4,mm\n", "x.csv:2: method: \"bean\" is unknown; did you mean beam?\nx.csv:3: method: is empty; use one of " + Join(Methods(), ", ") + "\nx.csv:4: method: \"laser\" is unknown; use one of " + Join(Methods(), ", ")},
		"lane":             {head + "beam,7,1,0.4,mm\nbeam,0.5,1,0.4,mm\nbeam,,1,0.4,mm\nbeam,x,1,0.4,mm\n", "x.csv:2: lane: this neck has no lane 7; use 1 to 6\nx.csv:3: lane: this neck has no lane 0.5; use 1 to 6\nx.csv:4: lane: is empty; beam rows need it\nx.csv:5: lane: \"x\" is not a number; write it like 0.58"},
		"fret":             {head + "beam,1,23,0.4,mm\nbeam,1,0,0.4,mm\nbeam,1,7.5,0.4,mm\nbeam,1,+7,0.4,mm\nbeam,1,,0.4,mm\n", "x.csv:2: fret: there is no fret 23 on this neck; write 1 to 22\nx.csv:3: fret: there is no fret 0 on this neck; write 1 to 22\nx.csv:4: fret: \"7.5\" is not one fret; write 7 (if a spreadsheet made a date of it, format the column as text)\nx.csv:5: fret: \"+7\" is not one fret; write 7\nx.csv:6: fret: is empty; beam rows need it"},
		"bridge":           {head + "bridge,1,7,0.4,mm\nbridge,1,6-8-7,0.4,mm\nbridge,1,6-6-7,0.4,mm\nbridge,1,06.07.2008,0.4,mm\nbridge,1,6-7-,0.4,mm\n", "x.csv:2: fret: \"7\" is not three frets; write 6-7-8\nx.csv:3: fret: \"6-8-7\": the second fret must lie between the other two, as in 6-7-8\nx.csv:4: fret: \"6-6-7\": the second fret must lie between the other two, as in 6-7-8\nx.csv:5: fret: \"06.07.2008\" is not three frets; write 6-7-8 (if a spreadsheet made a date of it, format the column as text)\nx.csv:6: fret: \"6-7-\" is not three frets; write 6-7-8"},
		"a date":           {head + "bridge,1,2008-07-06,0.4,mm\n", "x.csv:2: fret: there is no fret 2008 on this neck; write 1 to 22 (if a spreadsheet made a date of it, format the column as text)"},
		"values":           {head + "beam,1,1,NaN,mm\nbeam,1,1,inf,mm\nbeam,1,1,1e308,mm\nbeam,1,1,,mm\nbeam,1,1,101,mm\nbeam,1,1,4,in\nedge,1,1,-0.1,mm\nheight,1,1,0,mm\nheight,1,1,11,mm\nbeam,1,1,rocks,mm\nbeam,1,1,0x1,mm\n", "x.csv:2: reading: \"NaN\" is not a size; write it like 0.58\nx.csv:3: reading: \"inf\" is not a size; write it like 0.58\nx.csv:4: reading: 1e308 is absurdly large\nx.csv:5: reading: is empty; beam rows need it\nx.csv:6: reading: 101 mm is outside -100 to 100 mm\nx.csv:7: reading: 4 in is outside -100 to 100 mm\nx.csv:8: reading: -0.1 is negative; write 0 or more\nx.csv:9: reading: is 0; a crown's height is more than 0\nx.csv:10: reading: 11 mm is outside 0 to 10 mm\nx.csv:11: reading: rocks is an answer of a rocker; beam rows have a number\nx.csv:12: reading: \"0x1\" is not decimal; write it like 0.58"},
		"u":                {"method,lane,fret,reading,unit,u\nbeam,1,1,0,mm,0\nbeam,1,1,0,mm,-1\nbeam,1,1,0,mm,11\n", "x.csv:2: u: is 0; a standard uncertainty is more than 0\nx.csv:3: u: -1 is negative; a standard uncertainty is more than 0\nx.csv:4: u: 11 mm is outside 0 to 10 mm"},
		"rocker's answer":  {head + "rocker,1,1-2-3,rock,mm\nrocker,1,1-2-3,0.1x,mm\n", "x.csv:2: reading: \"rock\" is not an answer of a rocker; write rocks, still, or the gap, like 0.12\nx.csv:3: reading: \"0.1x\" is not a number; write it like 0.58"},
		"no_go":            {"method,lane,fret,reading,unit,no_go\nedge,1,1,0.05,mm,0.05\nbeam,1,1,0.05,mm,0.06\nrocker,1,1-2-3,rocks,mm,0.06\n", "x.csv:2: no_go: 0.05 must be thicker than the leaf that enters, 0.05\nx.csv:3: no_go: \"0.06\": beam rows have no no_go; leave the cell empty\nx.csv:4: no_go: can't go with rocks; a leaf needs a number for the gap"},
		"span":             {"method,lane,fret,reading,unit,span\narch,,1,0.3,mm,\narch,,1,0.3,mm,0\narch,,1,13,mm,25\nbeam,1,1,0.3,mm,25\nsticks,,1-1,0.1,mm,40\n", "x.csv:2: span: is empty; arch rows need it\nx.csv:3: span: is 0; write the distance, more than 0\nx.csv:4: reading: 13 mm is more than a half circle over a span of 25 mm\nx.csv:5: span: \"25\": beam rows have no span; leave the cell empty\nx.csv:6: fret: \"1-1\": the two sticks must lie on different frets"},
		"probe":            {"method,lane,fret,reading,unit,x,y,z\nprobe,1,1,0.3,mm,1,2,3\nbeam,1,1,0.3,mm,1,,\nprobe,,,,mm,6000,2,\n", "x.csv:2: lane: \"1\": probe rows have no lane; leave the cell empty\nx.csv:2: fret: \"1\": probe rows have no fret; leave the cell empty\nx.csv:2: reading: \"0.3\": probe rows have no reading; leave the cell empty\nx.csv:3: x: \"1\": beam rows have no x; leave the cell empty\nx.csv:4: x: 6000 mm is outside -5000 to 5000 mm\nx.csv:4: z: is empty; probe rows need it"},
		"turned":           {"method,lane,fret,reading,unit,turned\nbeam,1,1,0,mm,maybe\nbridge,1,1-2-3,0,mm,yes\n", "x.csv:2: turned: \"maybe\" is unknown; use yes or no\nx.csv:3: turned: bridge rows cannot lie end for end; leave the cell empty"},
		"state":            {"method,lane,fret,reading,unit,state\nbeam,1,1,0,mm,loose\nbeam,1,2,0,mm,slack\nbeam,1,3,0,mm,strung\n", "x.csv:2: state: \"loose\" is unknown; use slack, rod set or strung\nx.csv:4: state: \"strung\", but line 3 of the same pass says \"slack\"; use one value per pass, or two passes"},
		"air":              {"method,lane,fret,reading,unit,temperature,humidity\nbeam,1,1,0,mm,warm,wet\nbeam,1,2,0,mm,21 K,101\n", "x.csv:2: temperature: \"warm\" is not a number; write it like 0.58\nx.csv:2: humidity: \"wet\" is not a number; write it like 0.58\nx.csv:3: temperature: \"21 K\" has the unknown unit \"K\"; write C or F\nx.csv:3: humidity: 101 is outside 0 to 100 %"},
		"by":               {"method,lane,fret,reading,unit,by\nbeam,1,1,0,mm,\"a\nb\"\nbeam,1,2,0,mm," + strings.Repeat("é", 81) + "\n", "x.csv:2: by: \"a\\nb\" has a control character\nx.csv:4: by: is longer than 80 characters"},
		"open quote":       {head + "beam,1,1,0,mm\nbeam,1,\"2,0,mm\nbeam,1,3,0,mm\n", "x.csv:3: a quote is inside a cell or never closed; write quotes around the whole cell, or none"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("x.csv", strings.NewReader(c.text), heronBounds())
			if err == nil {
				t.Fatalf("accepted; want\n%s", c.want)
			}
			if err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
			if !fileerr.Is(err) {
				t.Errorf("%T is no fault of the file", err)
			}
		})
	}
}

func TestParse_TwentyFaultsAtMost(t *testing.T) {
	text := "method,lane,fret,reading,unit\n"
	for n := range 1000 {
		text += fmt.Sprintf("beam,9,99,x%d,mm\n", n)
	}
	_, err := Parse("x.csv", strings.NewReader(text), heronBounds())
	if err == nil {
		t.Fatal("accepted")
	}
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != fileerr.MaxFaults || !strings.HasSuffix(lines[len(lines)-1], "(and more)") {
		t.Errorf("%d lines, the last %q", len(lines), lines[len(lines)-1])
	}
}

func TestParse_TooMuch(t *testing.T) {
	rows := strings.Repeat("beam,1,1,0,mm\n", MaxReadings+1)
	_, err := Parse("x.csv", strings.NewReader("method,lane,fret,reading,unit\n"+rows), heronBounds())
	if err == nil || err.Error() != "x.csv:100002: has more than 100000 readings, too many for one neck" {
		t.Errorf("%v", err)
	}
	_, err = Parse("x.csv", io.LimitReader(zeros{}, 100<<20), heronBounds())
	if err == nil || err.Error() != "x.csv: is larger than 64 MB, too large for a readings file" {
		t.Errorf("%v", err)
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { return len(p), nil }

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

// A failing disk is no fault of the file.
func TestParse_ReaderFails(t *testing.T) {
	_, err := Parse("x.csv", broken{}, heronBounds())
	if !errors.Is(err, io.ErrUnexpectedEOF) || fileerr.Is(err) {
		t.Errorf("%v", err)
	}
}

func TestParse_ZeroFret(t *testing.T) {
	text := "method,lane,fret,reading,unit\nbeam,1,0,0.4,mm\nbridge,1,0-1-2,0.4,mm\n"
	if _, err := Parse("x", strings.NewReader(text), Bounds{FirstFret: 0, LastFret: 22, Strings: 6}); err != nil {
		t.Error(err)
	}
	if _, err := Parse("x", strings.NewReader(text), heronBounds()); err == nil {
		t.Error("fret 0 passed on a neck without a zero fret")
	}
}

func benchmarkParse(b *testing.B, rows int) {
	text := example(b, "heron-seated.csv")
	at := strings.Index(text, "\nbeam") + 1
	head, body := text[:at], text[at:]
	lines := strings.SplitAfter(strings.Repeat(body, 1+rows/132), "\n")
	data := []byte(head + strings.Join(lines[:rows], ""))
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		s, err := Parse("x.csv", bytes.NewReader(data), heronBounds())
		if err != nil || len(s.Readings) != rows {
			b.Fatal(len(s.Readings), err)
		}
	}
}

func BenchmarkParse132(b *testing.B) { benchmarkParse(b, 132) }
func BenchmarkParse288(b *testing.B) { benchmarkParse(b, 288) }
