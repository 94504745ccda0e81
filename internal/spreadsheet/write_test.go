package spreadsheet

import (
	"bytes"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"ringtrue/internal/reading"
)

func blank(m reading.Method, unit string) reading.Blank {
	return reading.Blank{Neck: "Heron 22", Method: m, Unit: unit, Bounds: heron()}
}

// A blank workbook, filled in, is read with what was written into it; empty it says
// that nothing was read.
func TestWriteBlank_FilledIn(t *testing.T) {
	for _, m := range reading.Gridded() {
		var b bytes.Buffer
		if err := WriteBlank(&b, blank(m, "in")); err != nil {
			t.Fatal(err)
		}
		w, err := Read("x.xlsx", b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parse(t, w); err == nil || err.Error() != "x.xlsx, Readings: has no readings under its header" {
			t.Errorf("%v", err)
		}
		f, err := excelize.OpenReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := f.GetRows(sheetName)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			switch {
			case row[0] == "# by =":
				f.SetCellValue(sheetName, cellName(t, 2, i+1), "Ada")
			case row[0] == "7":
				f.SetCellValue(sheetName, cellName(t, 2, i+1), 0.01)
				f.SetCellValue(sheetName, cellName(t, 7, i+1), 0.02)
			}
			if leaf := strings.Contains(row[0], "0.10/0.15"); leaf && m != reading.Edge {
				t.Errorf("%s readings have no leaves", m)
			}
		}
		var filled bytes.Buffer
		if err := f.Write(&filled); err != nil {
			t.Fatal(err)
		}
		w, err = Read("x.xlsx", filled.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		got, err := parse(t, w)
		if err != nil || len(got) != 2 || got[0].Lane != 6 || got[1].Lane != 1 || got[0].Frets[0] != 7 || got[0].Value != 0.01*25.4 || got[1].By != "Ada" || got[0].Method != m {
			t.Errorf("%+v, %v", got, err)
		}
	}
}

func cellName(t *testing.T, column, row int) string {
	t.Helper()
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// The lanes stay in sight, numbers have the gauge's digits, and two workbooks of a
// neck are the same bytes.
func TestWriteBlank_Looks(t *testing.T) {
	var b, again bytes.Buffer
	if err := WriteBlank(&b, blank(reading.Edge, "mm")); err != nil {
		t.Fatal(err)
	}
	if err := WriteBlank(&again, blank(reading.Edge, "mm")); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Errorf("two workbooks differ, %v", err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	if props, err := f.GetDocProps(); err != nil || props.Creator != "ringtrue" {
		t.Errorf("%+v, %v", props, err)
	}
	panes, err := f.GetPanes(sheetName)
	if err != nil || !panes.Freeze || panes.XSplit != 1 {
		t.Fatalf("%+v, %v", panes, err)
	}
	if head, err := f.GetCellValue(sheetName, cellName(t, 1, panes.YSplit)); err != nil || head != "fret" {
		t.Errorf("frozen at %q, %v", head, err)
	}
	id, err := f.GetCellStyle(sheetName, panes.TopLeftCell)
	if err != nil {
		t.Fatal(err)
	}
	if style, err := f.GetStyle(id); err != nil || style.CustomNumFmt == nil || *style.CustomNumFmt != "0.000" {
		t.Errorf("%+v, %v", style, err)
	}
}
