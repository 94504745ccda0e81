package bench

import (
	"bytes"
	"net/http"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/spreadsheet"
)

// A grid of readings is taken in as a file of rows is; one without its unit is
// refused with what to choose.
func TestFiles_Grid(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	const grid = "# method = beam\n# unit = mm\nfret,2,1\n1,0.4,0.5\n2,x,0.48\n"
	w := b.send(path+"/files", "grid.csv", []byte(strings.Replace(grid, "# unit = mm\n", "", 1)))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "grid.csv doesn&#39;t name its unit. Choose it below the file.") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := b.send(path+"/files", "grid.csv", []byte(grid)); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	text := body(b.get(path + "/readings.csv"))
	for _, row := range []string{"beam,2,1,0.4,mm", "beam,1,1,0.5,mm", "beam,1,2,0.48,mm"} {
		if !strings.Contains(text, row) {
			t.Errorf("%s lacks %s", text, row)
		}
	}
}

// A workbook goes in as it is; its faults are named by sheet and cell, and nothing is
// taken.
func TestFiles_Workbook(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	data, err := os.ReadFile("../spreadsheet/testdata/filled.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	if w := b.send(path+"/files", "filled.xlsx", data); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if text := body(b.get(path + "/readings.csv")); !strings.Contains(text, "beam,1,1,0.402,mm") {
		t.Errorf("%s", text)
	}
	if text := body(b.get(path + "/files")); !strings.Contains(text, "filled.xlsx, Grid 1") {
		t.Errorf("%s", text)
	}
	var blank bytes.Buffer
	if err := spreadsheet.WriteBlank(&blank, reading.Blank{Neck: "Heron", Method: reading.Beam, Unit: "mm", Bounds: reading.Bounds{FirstFret: 30, LastFret: 30, Strings: 6}}); err != nil {
		t.Fatal(err)
	}
	if w := b.send(path+"/files", "blank.xlsx", blank.Bytes()); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "blank.xlsx, Readings: has no readings") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// A grid pasted into the page needs its gauge and unit chosen beside it.
func TestFiles_Pasted(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	const grid = "fret\t1\t2\r\n1\t0,4\t0,5\r\n2\tx\t0,48\r\n"
	w := b.send(path+"/files", "", nil, "pasted", grid)
	for _, want := range []string{"pasted doesn&#39;t name its gauge", "pasted doesn&#39;t name its unit"} {
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%d, no %q in %s", w.Code, want, w.Body)
		}
	}
	if w := b.send(path+"/files", "", nil, "pasted", grid, "gauge", "beam", "unit", "mm", "pass", "b"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if text := body(b.get(path + "/readings.csv")); !strings.Contains(text, "beam,2,1,0.5,mm,b") {
		t.Errorf("%s", text)
	}
	if w := b.send(path+"/files", "", nil, "pasted", "method,lane,fret,reading,unit\nbeam,1,1,0.4,mm\n", "unit", "mm"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "only for a grid") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := b.send(path+"/files", "", nil, "pasted", "  "); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "paste a grid") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
