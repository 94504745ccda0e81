package reading

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/fileerr"
)

// draw makes a set of readings of every method.
func draw(t *rapid.T) []Reading {
	n := rapid.IntRange(1, 30).Draw(t, "rows")
	rows := make([]Reading, n)
	for i := range rows {
		r := Reading{Method: rapid.SampledFrom(Methods()).Draw(t, "method"), U: DefaultU}
		if rapid.Bool().Draw(t, "given") {
			r.U, r.UGiven = float64(rapid.IntRange(1, 500).Draw(t, "u"))/10000, true
		}
		r.Pass = rapid.SampledFrom([]string{"", "a", "b 2", "ü;,\"x"}).Draw(t, "pass")
		r.By, r.State = by(r.Method), "rod set"
		drawMethod(t, &r)
		rows[i] = r
	}
	return rows
}

// by is one value a pass, as it must be.
func by(m Method) string { return "made by " + string(m) }

func drawMethod(t *rapid.T, r *Reading) {
	micrometres := func(lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, "µm")) / 1000 }
	if r.Method == Probe {
		r.X, r.Y, r.Z = micrometres(0, 500_000), micrometres(-30_000, 30_000), micrometres(-9999, 9999)
		return
	}
	first := rapid.IntRange(1, 20).Draw(t, "fret")
	r.Frets = []int{first, first + 1, first + 2}[:r.Method.Spec().Frets]
	r.Lane = float64(rapid.IntRange(2, 12).Draw(t, "lane")) / 2
	r.Value = micrometres(-900, 900)
	s := r.Method.Spec()
	if s.Low >= 0 {
		r.Value = math.Abs(r.Value)
	}
	switch {
	case s.Gap:
		if rapid.Bool().Draw(t, "feelers") {
			r.NoGo = ptr(r.Value + 0.05)
		}
	case r.Method == Height:
		r.Value += 0.1
	case s.Span != "":
		r.Span = micrometres(20_000, 50_000)
	}
	if s.Rocks && r.NoGo == nil && rapid.Bool().Draw(t, "answer") {
		r.Value, r.Answer = 0, Rocks
	}
	r.Turned = (r.Method == Beam || r.Method == Edge) && rapid.Bool().Draw(t, "turned")
}

// rows is what Write writes, as cells.
func rows(t *rapid.T, readings []Reading) [][]string {
	var b bytes.Buffer
	if err := Write(&b, Set{Readings: readings}); err != nil {
		t.Fatal(err)
	}
	cells, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return cells
}

// print writes cells with a separator, quoted where they must be.
func print(cells [][]string, comma rune, crlf bool) string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma, w.UseCRLF = comma, crlf
	_ = w.WriteAll(cells) // a buffer does not fail
	return b.String()
}

// bare takes the line out of a set's readings.
func bare(s Set) []Reading {
	out := make([]Reading, len(s.Readings))
	for i, r := range s.Readings {
		r.Line = 0
		out[i] = r
	}
	return out
}

func mustParse(t *rapid.T, text string) []Reading {
	s, err := Parse("x.csv", strings.NewReader(text), heronBounds())
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return bare(s)
}

// What Write writes, Parse reads back as the same set.
func TestWrite_ParsesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := draw(t)
		if got := mustParse(t, print(rows(t, want), ',', false)); !reflect.DeepEqual(got, want) {
			t.Errorf("%+v\nwant\n%+v", got, want)
		}
	})
}

// However the file is laid out, it is the same set.
func TestParse_LayoutDoesNotCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := draw(t)
		cells := rows(t, want)
		order := rapid.Permutation(indices(len(cells[0]))).Draw(t, "order")
		comma := rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "separator")
		decimal := comma != ',' && rapid.Bool().Draw(t, "decimal comma")
		text := print(shuffle(cells, order, decimal), comma, rapid.Bool().Draw(t, "CRLF"))
		if rapid.Bool().Draw(t, "comments") {
			text = "# a; b, c\n\n" + strings.Replace(text, "\n", "\n# \"x\n\n", 1)
		}
		if rapid.Bool().Draw(t, "byte order mark") {
			text = "\ufeff" + text
		}
		if got := mustParse(t, text); !reflect.DeepEqual(got, want) {
			t.Errorf("%s\n%+v\nwant\n%+v", text, got, want)
		}
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// shuffle puts the columns in another order, numbers with a comma if wanted.
func shuffle(cells [][]string, order []int, decimal bool) [][]string {
	var out [][]string
	for _, row := range cells {
		next := make([]string, len(row))
		for i, from := range order {
			next[i] = row[from]
			c := column(slices.Index(columnNames(), cells[0][from]))
			if decimal && c != colPass {
				next[i] = strings.ReplaceAll(next[i], ".", ",")
			}
		}
		out = append(out, next)
	}
	return out
}

// The same readings in inches are the same set.
func TestParse_InchesAreMillimetres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := draw(t)
		cells := rows(t, want)
		for i, name := range cells[0] {
			c := column(slices.Index(columnNames(), name))
			for _, row := range cells[1:] {
				switch c {
				case colUnit:
					row[i] = "in"
				case colReading, colU, colNoGo, colSpan, colX, colY, colZ:
					var v float64
					if _, err := fmt.Sscan(row[i], &v); err == nil {
						row[i] = fmt.Sprint(v / 25.4)
					}
				}
			}
		}
		got := mustParse(t, print(cells, ',', false))
		for i := range got {
			g, w := got[i], want[i]
			pairs := [][2]float64{{g.Value, w.Value}, {g.U, w.U}, {g.Span, w.Span}, {g.X, w.X}, {g.Y, w.Y}, {g.Z, w.Z}}
			if w.NoGo != nil {
				pairs = append(pairs, [2]float64{*g.NoGo, *w.NoGo})
			}
			for _, p := range pairs {
				if math.Abs(p[0]-p[1]) > 1e-12*math.Max(1, math.Abs(p[1])) {
					t.Errorf("%v, want %v in\n%+v", p[0], p[1], w)
				}
			}
		}
	})
}

// Rows may be repeated and stand in any order; the set holds them all.
func TestParse_RepeatedReadings(t *testing.T) {
	s := parse(t, "method,lane,fret,reading,unit\nbeam,1,7,0.1,mm\nbeam,1,7,0.2,mm\nbeam,1,3,0.2,mm\n")
	if len(s.Readings) != 3 {
		t.Errorf("%d readings", len(s.Readings))
	}
}

func TestParse_CarriageReturnsAlone(t *testing.T) {
	s := parse(t, "# old\rmethod,lane,fret,reading,unit\rbeam,1,7,0.1,mm\r")
	if len(s.Readings) != 1 || s.Readings[0].Line != 3 {
		t.Errorf("%+v", s.Readings)
	}
}

func TestParse_Comments(t *testing.T) {
	s := parse(t, "\ufeff# first\n  # set in; with a semicolon\n\"# quoted, by a spreadsheet\",,,,\nmethod,lane,fret,reading,unit,by\n,,,,,\nbeam,1,7,0.1,mm,#1\n#beam,1,8,0.1,mm,#1\n")
	if len(s.Readings) != 1 || s.Readings[0].By != "#1" || s.Readings[0].Line != 6 {
		t.Errorf("%+v", s.Readings)
	}
	s = parse(t, "by,method,lane,fret,reading,unit\n\"#1, left\",beam,1,7,0.1,mm\n#1,beam,1,8,0.1,mm\n")
	if len(s.Readings) != 1 || s.Readings[0].By != "#1, left" {
		t.Errorf("%+v", s.Readings)
	}
}

// Whatever the bytes: no panic, short messages; what passes is finite, and
// prints and parses back.
func FuzzParse(f *testing.F) {
	for _, name := range []string{"heron-seated.csv", "heron-shop.csv"} {
		text := example(f, name)
		f.Add([]byte(text[:min(len(text), 600)]))
	}
	for _, s := range []string{"", "\ufeff#\nmethod;unit\n", "method\tlane\tfret\treading\tunit\tno_go\nedge\t1\t1\t0,1\tmm\t0,2\n",
		"method,unit,x,y,z,pass\nprobe,in,1,2,3,\"p\"\"1\"\n", "method,lane,fret,reading,unit,span\nsticks,,1-12,0.1,mm,40\narch,,3,-0.1,in,1\n",
		"unit,method,fret,lane,reading,u,turned,state,temperature\nmm,rocker,6–7–8,1.5,rocks,1e-3,,rod set,70 F\r\n", "\"\n\"\",'", "method,unit\r\rbeam,mm\r",
		"# method = beam\n# unit = mm\n# pass = a\nfret,2,1\n1,0.4,x\n2,,-0.1\n", "# method = edge;;\n# unit = in\nfret;3,5;1\n7;0,1;-\n",
		"#unit=mm\n#method=height\nfret 1 2\n1 1,1 x\n", ",1\n1,1\n", "fret,,\n,1,1\n",
		"# method = beam\n# unit = mm\nfret,1\n1,0.4\n# pass = b\nfret,2,1\n1,0.4,0.2\n# by = Ada\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse("x.csv", bytes.NewReader(data), heronBounds())
		if err != nil {
			if !fileerr.Is(err) || strings.Count(err.Error(), "\n") >= fileerr.MaxFaults || len(err.Error()) > 30000 {
				t.Errorf("%T: %v", err, err)
			}
			return
		}
		for _, r := range s.Readings {
			for _, v := range []float64{r.Lane, r.Value, r.U, r.Span, r.X, r.Y, r.Z} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%+v", r)
				}
			}
			if !(r.U > 0) || (r.Method != Probe && len(r.Frets) != r.Method.Spec().Frets) {
				t.Errorf("%+v", r)
			}
		}
		var b bytes.Buffer
		if err := Write(&b, s); err != nil {
			t.Fatal(err)
		}
		again, err := Parse("x.csv", &b, heronBounds())
		if err != nil {
			t.Fatal(err)
		}
		if got, want := bare(again), bare(s); !reflect.DeepEqual(got, want) {
			t.Errorf("%+v\nwant\n%+v", got, want)
		}
	})
}
