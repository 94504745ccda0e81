package casetest

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// Row is a row of a table: its cells by their columns' names.
type Row map[string]string

// Rows reads a CSV file with a header; lines that start with # are comments. A
// file without a row fails the test.
func Rows(t testing.TB, path string) []Row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil || len(records) < 2 {
		t.Fatalf("%s: %d rows, %v", path, max(0, len(records)-1), err)
	}
	var rows []Row
	for _, record := range records[1:] {
		row := Row{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Published reads a table of the shared folder of published cases, whose head
// comment names the source. Tests of a folder below internal/ call it.
func Published(t testing.TB, name string) []Row {
	t.Helper()
	return Rows(t, "../../testdata/published/"+name+".csv")
}

// Columns are the cells of a published table by its columns' names.
func Columns(t testing.TB, name string) map[string][]string {
	t.Helper()
	columns := map[string][]string{}
	for _, row := range Published(t, name) {
		for column, cell := range row {
			columns[column] = append(columns[column], cell)
		}
	}
	return columns
}

// Number is a cell as a number. A cell that holds none fails the test.
func Number(t testing.TB, cell string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Numbers are a column's cells as numbers. A column that is missing fails the
// test.
func Numbers(t testing.TB, cells []string) []float64 {
	t.Helper()
	if len(cells) == 0 {
		t.Fatal("no such column")
	}
	v := make([]float64, len(cells))
	for i, cell := range cells {
		v[i] = Number(t, cell)
	}
	return v
}

// Near fails where got is farther than tol from want, or no number.
func Near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// Checked holds values against the published check cases of wood, wire, fit and
// glue, by their ids. An id that stands for no case fails.
func Checked(t testing.TB, got map[string]float64) {
	t.Helper()
	found := 0
	for _, row := range Published(t, "materials_check_cases") {
		if v, ok := got[row["id"]]; ok {
			found++
			Near(t, row["id"]+" ("+row["what"]+")", v, Number(t, row["expected"]), Number(t, row["tolerance"]))
		}
	}
	if found != len(got) {
		t.Errorf("%d of %d cases found", found, len(got))
	}
}
