package reading

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/fileerr"
)

func TestParse_Grid(t *testing.T) {
	s := parse(t, "# Heron 22, by the window\n# Method = Edge\n# unit = in\n# pass = b 2\n# date =\n# by = Ada, Ben\nfret,6,3.5,1\n7,0.01,,x\n9,-,X,0.002\n\n# last row\n8,,0,\n")
	want := []Reading{
		{Line: 8, Method: Edge, Lane: 6, Frets: []int{7}, Value: 0.01 * 25.4, U: DefaultU, Pass: "b 2", By: "Ada, Ben"},
		{Line: 9, Method: Edge, Lane: 1, Frets: []int{9}, Value: 0.002 * 25.4, U: DefaultU, Pass: "b 2", By: "Ada, Ben"},
		{Line: 12, Method: Edge, Lane: 3.5, Frets: []int{8}, U: DefaultU, Pass: "b 2", By: "Ada, Ben"},
	}
	if !reflect.DeepEqual(s.Readings, want) {
		t.Errorf("%+v\nwant\n%+v", s.Readings, want)
	}
}

// Grids below each other: each has what the comment lines above it say, else what
// the grid before had.
func TestParse_TwoGrids(t *testing.T) {
	s := parse(t, "# method = beam\n# unit = mm\n# pass = a\nfret,2,1\n1,0.4,0.5\n\n# pass = b\n# turned = yes\nfret,1\n1,0.6\n# method = edge\n# unit = in\n# turned = no\nfret,2,1\n1,,0.01\n# by = Ada\n")
	want := []Reading{
		{Line: 5, Method: Beam, Lane: 2, Frets: []int{1}, Value: 0.4, U: DefaultU, Pass: "a", By: "Ada"},
		{Line: 5, Method: Beam, Lane: 1, Frets: []int{1}, Value: 0.5, U: DefaultU, Pass: "a", By: "Ada"},
		{Line: 10, Method: Beam, Lane: 1, Frets: []int{1}, Value: 0.6, U: DefaultU, Pass: "b", Turned: true, By: "Ada"},
		{Line: 15, Method: Edge, Lane: 1, Frets: []int{1}, Value: 0.01 * 25.4, U: DefaultU, Pass: "b", By: "Ada"},
	}
	if !reflect.DeepEqual(s.Readings, want) {
		t.Errorf("%+v\nwant\n%+v", s.Readings, want)
	}
}

// The same grid, however it was laid out, pasted or exported.
func TestParse_GridLayouts(t *testing.T) {
	const plain = "# method = beam\n# unit = mm\nfret,2,1\n1,0.402,x\n2,-0.5,0\n"
	want := bare(parse(t, plain))
	if len(want) != 3 {
		t.Fatalf("%+v", want)
	}
	for name, text := range map[string]string{
		"tabs":                   "# method = beam\t\t\n# unit = mm\t\t\nFret\t2\t1\n1\t0,402\t\n2\t-0,5\t0\n",
		"semicolons":             "# method = beam;;\n# unit = mm;;\nfret;2;1\n1;0,402;-\n2;-0,5;0\n",
		"quotes":                 "\"# method = beam\",,\n\"# unit = mm\",,\n\"fret\",\"2\",\"1\"\n\"1\",\"0.402\",\"\"\n\"2\",\"-0.5\",\"0\"\n",
		"spaces in cells":        "# method=beam\n#unit=mm\n fret , 2 ,1\n 1 ,\u00a00.402 , x\n2 ,  -0.5,0  \n",
		"spaces between cells":   "# method = beam\n# unit = mm\nfret   2  1\n   1   0,402  x\n   2  -0,5    0\n",
		"byte order mark, CR LF": "\ufeff# method = beam\r\n# unit = mm\r\nfret,2,1\r\n1,0.402,x\r\n2,-0.5,0\r\n",
		"CR alone":               "# method = beam\r# unit = mm\rfret,2,1\r1,0.402,x\r2,-0.5,0\r",
		"empty columns and rows": "# method = beam,,,\n# unit = mm\n,,,\nfret,2,,1,,\n1,0.402,,x,,\n,,,,,\n2,-0.5,-,0,,\n",
		"remarks below":          "fret,2,1\n1,0.402,x\n2,-0.5,0\n# method = beam\n# unit = mm\n",
	} {
		t.Run(name, func(t *testing.T) {
			if got := bare(parse(t, text)); !reflect.DeepEqual(got, want) {
				t.Errorf("%+v\nwant\n%+v", got, want)
			}
		})
	}
}

// A cell with two leaves is a gap between them, as no_go is in a row.
func TestParse_GridLeaves(t *testing.T) {
	rows := bare(parse(t, "method,lane,fret,reading,no_go,unit\nedge,2,1,0.10,0.15,mm\nedge,1,1,0,0.05,mm\nedge,2,2,0.2,,mm\n"))
	for name, text := range map[string]string{
		"points": "# method = edge\n# unit = mm\nfret,2,1\n1,0.10/0.15,0/0.05\n2,0.2,x\n",
		"commas": "# method = edge\n# unit = mm\nfret;2;1\n1;0,10 / 0,15;0/0,05\n2;0,2;\n",
	} {
		if got := bare(parse(t, text)); !reflect.DeepEqual(got, rows) {
			t.Errorf("%s: %+v\nwant\n%+v", name, got, rows)
		}
	}
}

// What a grid doesn't say, nor anyone else.
func TestLacking(t *testing.T) {
	const grid = "# unit = mm\nfret,1\n1,0.4\n"
	if got := Lacking([]byte(grid), Said{}); !slices.Equal(got, []string{"method"}) {
		t.Errorf("%q", got)
	}
	if got := Lacking([]byte(grid), Said{Method: "beam"}); len(got) > 0 {
		t.Errorf("%q", got)
	}
	if got := Lacking([]byte("method,unit\n"), Said{}); len(got) > 0 {
		t.Errorf("%q", got)
	}
}

// Each case is a whole grid with the faults it must give, one a line.
func TestParse_GridFaults(t *testing.T) {
	const head, edge = "# method = beam\n# unit = mm\n", "# method = edge\n# unit = mm\n"
	for name, c := range map[string]struct{ text, want string }{
		"no unit":            {"# method = beam\nfret,1\n1,0.4\n", "x.csv:2: unit: is missing; write # unit = mm above the grid, or --unit mm"},
		"no method":          {"# unit = mm\nfret,1\n1,0.4\n", "x.csv:2: method: is missing; write # method = beam above the grid, or --method beam"},
		"bridge":             {"# method = bridge\n# unit = mm\nfret,1\n1,0.4\n", "x.csv:1: method: bridge readings can't come as a grid; use beam, edge or height"},
		"unknown method":     {"# method = bean\n# unit = mm\nfret,1,2\n1,0.4,0.4\n", `x.csv:1: method: "bean" is unknown; did you mean beam?`},
		"unit":               {"# method = beam\n# unit = cm\nfret,1,2\n1,0.4,0.4\n", `x.csv:2: unit: "cm" is not a unit of length here; use mm or in`},
		"two passes":         {head + "# pass = a\n# pass = A\nfret,1\n1,0.4\n", `x.csv:4: pass: is "A" here and "a" in line 3; keep one`},
		"two units":          {head + "# unit = in\nfret,1\n1,0.4\n", `x.csv:3: unit: is "in" here and "mm" in line 2; keep one`},
		"a column too few":   {head + "fret,2,1\n1,0.4,0.4\n2,0.4\n", "x.csv:5: has 2 cells, the header 3; write x where nothing was read"},
		"a column too many":  {head + "fret,2,1\n1,0.4,0.4,0.4\n", "x.csv:4: has 4 cells, the header 3; a decimal comma needs ; between the cells"},
		"two decimal marks":  {head + "fret,2,1\n1,0.4.2,0.4\n", `x.csv:4: lane 2: "0.4.2" has two decimal marks; write it like 0.58`},
		"two commas":         {head + "fret;2;1\n1;0,3,71;0,4\n", `x.csv:4: lane 2: "0,3,71" has two decimal marks; write it like 0.58`},
		"leaves of a beam":   {head + "fret,2,1\n1,0.1/0.2,0.4\n", `x.csv:4: lane 2: "0.1/0.2" has a /; write one number`},
		"fraction":           {"# method = edge\n# unit = in\nfret,2,1\n1,1/64,0\n", `x.csv:4: lane 2: "1/64" looks like a fraction; write it as a decimal, or two leaves as 0.10/0.15`},
		"half a leaf":        {edge + "fret,2,1\n1,0.1/,0\n", `x.csv:4: lane 2: "0.1/" is not two leaves; write reading/no-go, such as 0.10/0.15`},
		"three leaves":       {edge + "fret,2,1\n1,0.1/0.2/0.3,0\n", `x.csv:4: lane 2: "0.1/0.2/0.3" is not two leaves; write reading/no-go, such as 0.10/0.15`},
		"leaves turned":      {edge + "fret,2,1\n1,0.15/0.10,0\n", `x.csv:4: lane 2: 0.10 must be thicker than the leaf that enters, 0.15`},
		"no such leaf":       {edge + "fret,2,1\n1,0.15/O.20,0\n", `x.csv:4: lane 2: "O.20" is not a number; write it like 0.58`},
		"a date in a cell":   {edge + "fret,2,1\n1,2026/03/14,0\n", `x.csv:4: lane 2: "2026/03/14" is not two leaves; write reading/no-go, such as 0.10/0.15`},
		"no number":          {head + "fret,2,1\n1,0.4,o.4\n", `x.csv:4: lane 1: "o.4" is not a number; write it like 0.58`},
		"comma and point":    {head + "fret;2;1\n1;0,4;0.4\n", `x.csv:4: lane 1: "0.4" has a decimal point, line 4 a decimal comma; use one of them`},
		"empty head":         {head + "fret,2,,1\n1,0.4,0.4,0.3\n2,,0.4,0.3\n", "x.csv:3: cell 3 is empty, but its column has values; write a lane, and merge no cells"},
		"merged heads":       {head + "fret,lane,,\n,3,2,1\n1,0.4,0.4,0.3\n", `x.csv:3: "lane" is not a lane; write 1 to 6 above the columns, and merge no cells`},
		"empty corner":       {head + ",2,1\n1,0.4,0.4\n", "x.csv:3: the first cell is empty; write fret"},
		"title":              {head + "Heron 22,,\nfret,2,1\n1,0.4,0.4\n", `x.csv:3: begins with "Heron 22"; the first row of a grid is fret and a lane above each column`},
		"no heads":           {head + "1,0.4,0.4\n2,0.4,0.4\n", `x.csv:3: begins with "1"; the first row of a grid is fret and a lane above each column`},
		"fret twice":         {head + "fret,1\n7,0.4\n8,0.4\n7.0,0.5\n", "x.csv:6: fret 7: is in line 4 already; keep one"},
		"lane twice":         {head + "fret,1,2,1.0\n7,0.4,0.4,0.4\n", "x.csv:3: lane 1.0: appears twice in the first row; keep one"},
		"no such fret":       {head + "fret,2,1\n23,0.4,0.4\n", "x.csv:4: fret: there is no fret 23 on this neck; write 1 to 22"},
		"no such lane":       {head + "fret,7,1\n1,0.4,0.4\n2,0.4,0.4\n", "x.csv:3: lane: this neck has no lane 7; use 1 to 6"},
		"merged frets":       {head + "fret,2,1\n1,0.4,0.4\n,0.4,0.4\n", "x.csv:5: fret: is empty; beam rows need it"},
		"height of 0":        {"# method = height\n# unit = mm\nfret,1\n1,0\n", "x.csv:4: lane 1: is 0; a crown's height is more than 0"},
		"nothing read":       {head + "fret,2,1\n1,,x\n", "x.csv: has no readings under its header"},
		"pass among rows":    {head + "fret,1\n1,0.4\n# pass = b\n2,0.4\n", "x.csv:5: pass: comes below the lanes; write the row of lanes again under it"},
		"unit below":         {head + "fret,1\n1,0.4\n# unit = in\n", `x.csv:5: unit: is "in" here and "mm" in line 2; keep one`},
		"method below":       {"# unit = mm\nfret,1\n1,0.4\n# method = edge\n# method = beam\n", `x.csv:5: method: is "beam" here and "edge" in line 4; keep one`},
		"second grid":        {head + "fret,1\n1,0.4\n# method = bridge\nfret,2\n1,0.4\n", "x.csv:5: method: bridge readings can't come as a grid; use beam, edge or height"},
		"date in every cell": {head + "# state = loose\nfret,2,1\n1,0.4,0.4\n", `x.csv:3: state: "loose" is unknown; use slack, rod set or strung`},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("x.csv", strings.NewReader(c.text), heronBounds())
			if err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
			if err != nil && !fileerr.Is(err) {
				t.Errorf("%T is no fault of the file", err)
			}
		})
	}
}

// A header of the plain table is no grid, whatever it begins with.
func TestIsGrid_PlainTables(t *testing.T) {
	for text, want := range map[string]bool{
		"fret,lane,method,reading,unit\n7,1,beam,0.1,mm\n": false, "method,unit\n": false, "": false, "\x00": false, "fret\n": false,
		"# a\nfret,1,2\n": true, "fret\t1\n": true, ",1,2\n": true, "fret 1 2\n": true, "[scale]\n": false, "beam,1,7,0.4,mm\n": false,
	} {
		if got := IsGrid([]byte(text)); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

// gridOf writes readings of one method and pass as a grid.
func gridOf(all []Reading, comma string, mark string) string {
	var lanes []float64
	var frets []int
	at := map[string]string{}
	for _, r := range all {
		if !slices.Contains(lanes, r.Lane) {
			lanes = append(lanes, r.Lane)
		}
		if !slices.Contains(frets, r.Frets[0]) {
			frets = append(frets, r.Frets[0])
		}
		at[fmt.Sprint(r.Frets[0], r.Lane)] = strings.Replace(strconv.FormatFloat(r.Value, 'f', -1, 64), ".", mark, 1)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# method = %s\n# unit = mm\n# pass = %s\nfret", all[0].Method, all[0].Pass)
	for _, l := range lanes {
		b.WriteString(comma + strings.Replace(strconv.FormatFloat(l, 'f', -1, 64), ".", mark, 1))
	}
	for _, f := range frets {
		fmt.Fprintf(&b, "\n%d", f)
		for _, l := range lanes {
			b.WriteString(comma + at[fmt.Sprint(f, l)])
		}
	}
	return b.String() + "\n"
}

// A grid and the plain table of the same readings are the same set.
func TestParse_GridEqualsRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Gridded()).Draw(t, "method")
		pass := rapid.SampledFrom([]string{"", "a", "b 2"}).Draw(t, "pass")
		lanes := rapid.SliceOfNDistinct(rapid.IntRange(2, 12), 1, 5, rapid.ID[int]).Draw(t, "lanes")
		frets := rapid.SliceOfNDistinct(rapid.IntRange(1, 22), 1, 8, rapid.ID[int]).Draw(t, "frets")
		var all []Reading
		for _, f := range frets {
			for _, l := range lanes {
				if len(all) > 0 && rapid.Bool().Draw(t, "left out") {
					continue
				}
				v := float64(rapid.IntRange(1, 900).Draw(t, "µm")) / 1000
				if m.Spec().Signed() && rapid.Bool().Draw(t, "below") {
					v = -v
				}
				all = append(all, Reading{Method: m, Lane: float64(l) / 2, Frets: []int{f}, Value: v, U: DefaultU, Pass: pass})
			}
		}
		var b bytes.Buffer
		if err := Write(&b, Set{Readings: all}); err != nil {
			t.Fatal(err)
		}
		want := inOrder(mustParse(t, b.String()))
		for _, layout := range [][2]string{{",", "."}, {";", ","}, {"\t", ","}, {"\t", "."}} {
			text := gridOf(all, layout[0], layout[1])
			if got := inOrder(mustParse(t, text)); !reflect.DeepEqual(got, want) {
				t.Errorf("%+v\nwant\n%+v\n%s", got, want, text)
			}
		}
	})
}

// inOrder sorts readings by fret and lane.
func inOrder(all []Reading) []Reading {
	slices.SortFunc(all, func(a, b Reading) int {
		if a.Frets[0] != b.Frets[0] {
			return a.Frets[0] - b.Frets[0]
		}
		return int(2*a.Lane) - int(2*b.Lane)
	})
	return all
}

func TestComplete(t *testing.T) {
	const grid = "fret,2,1\n1,0.4,0.5"
	data, err := Complete("x.csv", []byte(grid), Said{Method: "beam", Unit: "in", Pass: "a"})
	if err != nil {
		t.Fatal(err)
	}
	if r := parse(t, string(data)).Readings; len(r) != 2 || r[0].Line != 2 || r[0].Pass != "a" || r[0].Value != 0.4*25.4 {
		t.Errorf("%+v", r)
	}
	same, err := Complete("x.csv", data, Said{Method: "BEAM", Pass: "a"})
	if err != nil || !bytes.Equal(same, data) {
		t.Errorf("%v\n%s", err, same)
	}
	for want, said := range map[string]Said{
		`x.csv:3: method: is "beam" here, but you gave "edge"; keep one`: {Method: "edge"},
		`x.csv:5: pass: is "a" here, but you gave "A"; keep one`:         {Pass: "A"},
		`x.csv:4: unit: is "in" here, but you gave "mm"; keep one`:       {Unit: "mm"},
		`x.csv: pass: "b\nc" has a control character`:                    {Pass: "b\nc"},
	} {
		if _, err := Complete("x.csv", data, said); err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
	data, err = Complete("x.csv", []byte("fret,1\r1,0.4\r"), Said{Method: "beam", Unit: "mm"})
	if err != nil || len(parse(t, string(data)).Readings) != 1 {
		t.Errorf("%v\n%q", err, data)
	}
}

// A blank grid is read back with what was written into it, for every gauge.
func TestWriteBlank_FilledIn(t *testing.T) {
	for _, m := range Gridded() {
		var b bytes.Buffer
		if err := WriteBlank(&b, Blank{Neck: "He\nron = 22", Method: m, Unit: "in", Bounds: heronBounds()}); err != nil {
			t.Fatal(err)
		}
		if _, err := Parse("x.csv", strings.NewReader(b.String()), heronBounds()); err == nil || err.Error() != "x.csv: has no readings under its header" {
			t.Errorf("%v", err)
		}
		filled := strings.Replace(strings.Replace(b.String(), "\n7,,,,,,\n", "\n7,0.01,,,,,0.02\n", 1), "# by =", "# by = Ada", 1)
		got := bare(parse(t, filled))
		want := []Reading{
			{Method: m, Lane: 6, Frets: []int{7}, Value: 0.01 * 25.4, U: DefaultU, By: "Ada"},
			{Method: m, Lane: 1, Frets: []int{7}, Value: 0.02 * 25.4, U: DefaultU, By: "Ada"},
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%+v\nwant\n%+v", got, want)
		}
	}
}

// A thousand frets too many are as few messages as any other file's.
func TestParse_GridFaultsOnce(t *testing.T) {
	var b strings.Builder
	b.WriteString("# method = beam\n# unit = cm\nfret,1,2\n")
	for f := range 1000 {
		fmt.Fprintf(&b, "%d,0.1,0.1\n", f+1)
	}
	if _, err := Parse("x.csv", strings.NewReader(b.String()), heronBounds()); err == nil || strings.Count(err.Error(), "\n") != 0 {
		t.Errorf("%v", err)
	}
}

func BenchmarkParseGrid132(b *testing.B) {
	text := gridOf(parse(b, example(b, "heron-seated.csv")).Readings, ",", ".")
	b.ReportAllocs()
	for b.Loop() {
		if s, err := Parse("x.csv", strings.NewReader(text), heronBounds()); err != nil || len(s.Readings) != 132 {
			b.Fatal(len(s.Readings), err)
		}
	}
}
