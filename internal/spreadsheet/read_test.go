package spreadsheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
)

func heron() reading.Bounds { return reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6} }

func parse(t *testing.T, w Table) ([]reading.Reading, error) {
	t.Helper()
	set, err := reading.Parse(w.File, bytes.NewReader(w.Text), heron())
	var faults fileerr.List
	if errors.As(err, &faults) {
		w.Place(faults)
	}
	for i := range set.Readings {
		set.Readings[i].Line = 0
	}
	return set.Readings, err
}

// A workbook written by openpyxl 3.0.9 (MIT), a library of another language: a
// sheet of notes first, a grid that starts in column B, keys and what they say in
// cells of their own, a date cell, numbers with what their binary form adds, one as
// text with a decimal comma.
func TestRead_Openpyxl(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "filled.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	if !Is(data) || Is([]byte("fret,1\n")) {
		t.Error("not told by its first bytes")
	}
	w, err := Read("shop/filled.xlsx", data)
	if err != nil {
		t.Fatal(err)
	}
	if w.Sheet != "Grid 1" || !reflect.DeepEqual(w.Others, []string{"Notes"}) {
		t.Errorf("%s, ignored %q", w.Sheet, w.Others)
	}
	if !bytes.HasSuffix(w.Text, []byte("\n# from filled.xlsx, sheet Grid 1\n")) {
		t.Errorf("%s", w.Text)
	}
	got, err := parse(t, w)
	if err != nil {
		t.Fatalf("%v\n%s", err, w.Text)
	}
	var want []reading.Reading
	for _, r := range []struct {
		fret  int
		lane  float64
		value float64
	}{{1, 1, 0.402}, {1, 2, 0.388}, {2, 1, 0.398}, {2, 2, -0.05}, {3, 1, 0.394}, {3, 3.5, 0.412}, {12, 1, 0.1}, {12, 3.5, 1}} {
		want = append(want, reading.Reading{Method: reading.Beam, Lane: r.lane, Frets: []int{r.fret}, Value: r.value, U: reading.DefaultU, Pass: "a", Date: "2026-03-14"})
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v\nwant\n%+v\n%s", got, want, w.Text)
	}
}

func fixture(t *testing.T, name string) Table {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	w, err := Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Our blank sheet, opened, filled in (0.4 mm and a ten-thousandth per fret and
// column) and saved by ExcelJS 4.4.0 (MIT), a library of a third language.
func TestRead_ExcelJS(t *testing.T) {
	w := fixture(t, "typed.xlsx")
	got, err := parse(t, w)
	if err != nil || len(got) != 132 || w.Sheet != sheetName || len(w.Others) > 0 {
		t.Fatalf("%d readings, %v\n%s", len(got), err, w.Text)
	}
	for _, r := range got {
		want := 0.4 + float64(r.Frets[0])*0.0001*(r.Lane+1)
		if r.By != "Ines" || math.Abs(r.Value-want) > 1e-9 {
			t.Errorf("%+v, want %g", r, want)
		}
	}
}

// Written by XlsxWriter 3.0.2 (BSD-2-Clause): formulas with their results, shown to
// two digits; days counted from 1904; a text of two fonts; a sheet that is a chart.
func TestRead_XlsxWriter(t *testing.T) {
	w := fixture(t, "formulas.xlsx")
	got, err := parse(t, w)
	if err != nil || len(got) != 44 || w.Sheet != "Crowns" {
		t.Fatalf("%d readings, %v\n%s", len(got), err, w.Text)
	}
	for _, r := range got {
		want := 0.125 + float64(r.Frets[0])/1000
		switch {
		case r.Lane == 2 && r.Frets[0] == 2:
			want = 0.138
		case r.Lane == 1 && r.Frets[0] == 3:
			if want = 0.1; r.NoGo == nil || *r.NoGo != 0.15 {
				t.Errorf("%+v", r)
			}
		}
		if r.Date != "2026-03-14" || math.Abs(r.Value-want) > 1e-12 {
			t.Errorf("%+v, want %g", r, want)
		}
	}
}

// book makes a workbook of sheets of cells, a sheet a map.
func book(t testing.TB, sheets ...map[string]any) []byte {
	t.Helper()
	f := excelize.NewFile()
	for i, cells := range sheets {
		name := "S" + string(rune('1'+i))
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for at, v := range cells {
			err := f.SetCellValue(name, at, v)
			if text, is := v.(string); is && strings.HasPrefix(text, "merge ") {
				err = errors.Join(f.SetCellValue(name, at, strings.Fields(text)[2]), f.MergeCell(name, at, strings.Fields(text)[1]))
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// with is a grid of beam readings with other cells in it.
func with(cells map[string]any) map[string]any {
	all := map[string]any{"A1": "# method = beam", "A2": "# unit = mm", "A3": "fret", "B3": 1, "C3": 2, "A4": 1, "B4": 0.4, "C4": 0.3}
	for at, v := range cells {
		all[at] = v
	}
	return all
}

// What is wrong in a workbook is one line that names sheet and cell.
func TestRead_Faults(t *testing.T) {
	for name, c := range map[string]struct {
		cells map[string]any
		want  string
	}{
		"two marks":        {with(map[string]any{"C4": "0,3,71"}), `x.xlsx, S1!C4: "0,3,71" has two decimal marks; write it like 0.58`},
		"no number":        {with(map[string]any{"C4": "o.3"}), `x.xlsx, S1!C4: "o.3" is not a number; write it like 0.58`},
		"comma and point":  {with(map[string]any{"B4": "0,4.1"}), `x.xlsx, S1!B4: "0,4.1" has two decimal marks; write it like 0.58`},
		"truth":            {with(map[string]any{"C4": true}), `x.xlsx, S1!C4: "TRUE" is not a number; write it like 0.58`},
		"error":            {with(map[string]any{"C4": "#DIV/0!"}), `x.xlsx, S1!C4: "formula error" is not a number; write it like 0.58`},
		"error for a fret": {with(map[string]any{"A4": "#REF!"}), `x.xlsx, S1!A4: fret: "formula error" is not one fret; write 7 (if a spreadsheet made a date of it, format the column as text)`},
		"date": {with(map[string]any{"C4": excelizeDate(t)}),
			`x.xlsx, S1!C4: "2026-03-14" is not a number; write it like 0.58 (the cell is a date: format it as a number, then type it again)`},
		"no unit":      {with(map[string]any{"A2": nil}), "x.xlsx, S1!A3: unit: is missing; write # unit = mm above the grid, or --unit mm"},
		"no fret":      {with(map[string]any{"A4": 30}), "x.xlsx, S1!A4: fret: there is no fret 30 on this neck; write 1 to 22"},
		"merged heads": {with(map[string]any{"B3": "merge C3 1"}), "x.xlsx, S1!A3: cell 3 is empty, but its column has values; write a lane, and merge no cells"},
		"empty head":   {with(map[string]any{"D4": 0.3}), "x.xlsx, S1!A3: cell 4 is empty, but its column has values; write a lane, and merge no cells"},
		"words above":  {with(map[string]any{"B3": "lane 1"}), `x.xlsx, S1!A3: "lane 1" is not a lane; write 1 to 6 above the columns, and merge no cells`},
		"fret twice":   {with(map[string]any{"A5": 1, "B5": 0.4}), "x.xlsx, S1!A5: fret 1: is in line 4 already; keep one"},
		"nothing read": {with(map[string]any{"B4": nil, "C4": "x"}), "x.xlsx, S1: has no readings under its header"},
		"empty":        {map[string]any{}, "x.xlsx: is empty; write the readings as a grid, fret and the lanes in its first row"},
		"far away":     {with(map[string]any{"ZZ9": 1}), "x.xlsx, S1: has more than 5000 rows or 200 columns; keep only the grid on it"},
		"far down":     {with(map[string]any{"A90000": 1}), "x.xlsx, S1: has more than 5000 rows or 200 columns; keep only the grid on it"},
	} {
		t.Run(name, func(t *testing.T) {
			w, err := Read("x.xlsx", book(t, c.cells))
			if err == nil {
				_, err = parse(t, w)
			}
			if err == nil || err.Error() != c.want || !fileerr.Is(err) {
				t.Errorf("got\n%v\nwant\n%s\n%s", err, c.want, w.Text)
			}
		})
	}
}

func excelizeDate(t *testing.T) any {
	t.Helper()
	day, err := excelize.ExcelDateToTime(46095, false)
	if err != nil {
		t.Fatal(err)
	}
	return day
}

// Of several sheets the first with a grid is read; without one none is guessed.
func TestRead_Sheets(t *testing.T) {
	words := map[string]any{"A1": "Costs", "A2": "wire", "B2": 12}
	numbers := map[string]any{"A1": "", "B1": "a", "B2": 12, "C1": "b"}
	w, err := Read("x.xlsx", book(t, words, numbers, map[string]any{}, with(nil), with(nil)))
	if err != nil || w.Sheet != "S4" || !reflect.DeepEqual(w.Others, []string{"S1", "S2", "S5"}) {
		t.Errorf("%s, %q, %v", w.Sheet, w.Others, err)
	}
	if _, err := Read("x.xlsx", book(t, words, words)); err == nil || err.Error() != "x.xlsx: none of its 2 sheets has a grid; the first row of one is fret and the lanes" {
		t.Errorf("%v", err)
	}
	rows := map[string]any{}
	for i, name := range []string{"method", "lane", "fret", "reading", "unit"} {
		rows[string(rune('A'+i))+"1"] = name
		rows[string(rune('A'+i))+"2"] = []any{"beam", 2, 7, 0.41, "mm"}[i]
	}
	w, err = Read("x.xlsx", book(t, rows)) // the plain table, as one sheet
	if err != nil {
		t.Fatal(err)
	}
	if got, err := parse(t, w); err != nil || len(got) != 1 || got[0].Value != 0.41 || got[0].Lane != 2 {
		t.Errorf("%+v, %v", got, err)
	}
}

// Numbers stored and numbers typed as texts are the same readings, leaves too.
func TestRead_Numbers(t *testing.T) {
	edge := map[string]any{"A1": "# method = edge", "B4": "0,10/0,15", "C4": " 0,2 ", "A5": 2, "B5": 0.05, "C5": 1e-3, "A6": 3, "B6": 0, "A7": "# by =", "B7": 1.5}
	w, err := Read("x.xlsx", book(t, with(edge)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := parse(t, w)
	if err != nil || len(got) != 5 || got[0].NoGo == nil || *got[0].NoGo != 0.15 || got[0].Value != 0.1 || got[1].Value != 0.2 ||
		got[2].Value != 0.05 || got[3].Value != 0.001 || got[4].Value != 0 || got[0].By != "1.5" {
		t.Errorf("%+v, %v\n%s", got, err, w.Text)
	}
}

// A formula counts by its last result; one without a result is no crown left out,
// unless the result is an empty text.
func TestRead_Formulas(t *testing.T) {
	const heads = `<row r="1"><c t="inlineStr"><is><t># method = beam</t></is></c></row><row r="2"><c t="inlineStr"><is><t># unit = mm</t></is></c></row>` +
		`<row r="3"><c r="A3" t="inlineStr"><is><t>fret</t></is></c><c r="B3"><v>1</v></c><c r="C3"><v>2</v></c></row><row r="4"><c r="A4"><v>1</v></c>`
	w, err := Read("x.xlsx", packed(t, book(t, with(nil)), heads+`<c r="B4"><f>0.5-0.088</f><v>0.41200000000000003</v></c><c r="C4" t="str"><f>""</f><v></v></c></row>`, ""))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := parse(t, w); err != nil || len(got) != 1 || got[0].Value != 0.412 {
		t.Errorf("%+v, %v\n%s", got, err, w.Text)
	}
	_, err = Read("x.xlsx", packed(t, book(t, with(nil)), heads+`<c r="B4"><v>0.4</v></c><c r="C4"><f>0.5-0.088</f></c></row>`, ""))
	if want := "x.xlsx, S1!C4: has a formula without a result; open the file in a spreadsheet program and save it"; err == nil || err.Error() != want {
		t.Errorf("%v\nwant\n%s", err, want)
	}
}

// A hostile file is refused by what it would unpack to, before it does.
func TestRead_Bomb(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	part, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	zeros := make([]byte, 1<<20)
	for range maxUnpacked>>20 + 1 {
		if _, err := part.Write(zeros); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if b.Len() > 1<<20 {
		t.Fatalf("%d bytes: no bomb", b.Len())
	}
	for want, data := range map[string][]byte{
		"x.xlsx: unpacks to more than 32 MB, too large for a sheet of readings":                  b.Bytes(),
		"x.xlsx: can't be read as a spreadsheet; save it as .xlsx without a password, or as CSV": []byte("PK\x03\x04 and no more"),
		"x.xlsx: is larger than 8 MB, too large for a sheet of readings":                         append([]byte("PK\x03\x04"), make([]byte, MaxBytes)...),
		"x.xlsx: is empty; write the readings as a grid, fret and the lanes in its first row":    book(t, map[string]any{}, map[string]any{"A1": "  "}),
	} {
		if _, err := Read("x.xlsx", data); err == nil || err.Error() != want {
			t.Errorf("%v\nwant\n%s", err, want)
		}
	}
}

// FuzzRead: no bytes of a sheet, of its texts or of the whole file trip the
// reader, and a line of the text is a row of the sheet.
func FuzzRead(f *testing.F) {
	const row = `<row r="3"><c r="A3" t="s"><v>0</v></c><c r="B3"><v>1</v></c></row>`
	f.Add(row, "<si><t>fret</t></si>")
	f.Add(`<row r="6001"><c r="XFD6001"><f>A1</f><v>1</v></c></row>`, "")
	f.Add(`<row><c t="inlineStr"><is><t>#&#10;</t></is></c><c s="1"><v>46095</v></c></row>`, "<si/>")
	f.Add(`<row r="-1"><c r="A0" t="b"><v>1</v></c></row><row r="2"><c t="e"><v>#N/A</v></c>`, "<si><r><t>x</t></r></si>")
	plain := book(f, with(nil))
	f.Fuzz(func(t *testing.T, rows, texts string) {
		data := packed(t, plain, rows, texts)
		w, err := Read("x.xlsx", data)
		if err != nil {
			if !fileerr.Is(err) || strings.Contains(err.Error(), "\n") || strings.Contains(err.Error(), "is damaged") {
				t.Errorf("%v", err)
			}
			return
		}
		if n := bytes.Count(w.Text, []byte("\n")); n != len(w.grid)+1 {
			t.Errorf("%d lines of %d rows:\n%q", n, len(w.grid), w.Text)
		}
		_, err = reading.Parse("x.xlsx", bytes.NewReader(w.Text), heron())
		var faults fileerr.List
		if errors.As(err, &faults) {
			w.Place(faults)
		}
	})
}

// packed is a plain workbook with its sheet's rows and shared texts in their place.
func packed(t *testing.T, plain []byte, rows, texts string) []byte {
	t.Helper()
	const main = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	from, err := zip.NewReader(bytes.NewReader(plain), int64(len(plain)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, part := range from.File {
		w, err := z.Create(part.Name)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case strings.HasPrefix(part.Name, "xl/worksheets/sheet"):
			_, err = w.Write([]byte(`<worksheet ` + main + `><sheetData>` + rows + `</sheetData></worksheet>`))
		case part.Name == "xl/sharedStrings.xml":
			_, err = w.Write([]byte(`<sst ` + main + `>` + texts + `</sst>`))
		default:
			r, openErr := part.Open()
			if openErr != nil {
				t.Fatal(openErr)
			}
			_, err = io.Copy(w, r)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
