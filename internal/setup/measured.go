package setup

import (
	"fmt"
	"io"
	"strings"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Columns of a table of what was measured.
const (
	colString = "string"
	colFirst  = "first_gap"
	colHeld   = "held_gap"
	colAction = "action"
	colShows  = "saddle_shows"
	colUnit   = "unit"
)

// Columns lists the columns of a table of what was measured, a row a string.
func Columns() []string {
	return []string{colString, colFirst, colHeld, colAction, colShows, colUnit}
}

// MostMM is the largest gap, action or saddle that makes sense.
const MostMM = 30

// Measured is what was measured on one string, the rod set. What was not is
// missing.
type Measured struct {
	String   int     `json:"string"`
	FirstMM  num.Opt `json:"first_gap_mm,omitzero"` // the open string's underside over fret 1's crown
	HeldMM   num.Opt `json:"held_gap_mm,omitzero"`  // the same, the string held down on fret 3
	ActionMM num.Opt `json:"action_mm,omitzero"`    // the open string's underside over fret 12's crown
	ShowsMM  num.Opt `json:"saddle_shows_mm,omitzero"`
}

// Of is what was measured on a string; nothing where it is not in the list.
func Of(all []Measured, number int) Measured {
	for _, m := range all {
		if m.String == number {
			return m
		}
	}
	return Measured{String: number}
}

// Read reads a table of what was measured: a CSV table with the columns string
// and unit (mm or in) and any of first_gap, held_gap, action and saddle_shows. An
// empty cell, x or - was not measured. file is its name, for messages. Faults come
// back as a fileerr.List, an error of r wrapped.
func Read(file string, r io.Reader) ([]Measured, error) {
	t, err := table.Open(file, r, table.Schema{What: "set-up table", Columns: Columns(), Required: []string{colString, colUnit}})
	if err != nil {
		return nil, err
	}
	var all []Measured
	seen := map[int]int{}
	for t.Next() {
		number, ok := t.Whole(colString, 1, neck.MaxStrings)
		if line := seen[number]; ok && line > 0 {
			t.Fault(colString, "string %d is in line %d already; keep one", number, line)
		}
		seen[number] = t.Line()
		perMM, err := unit.Length.Parse("1 " + t.Cell(colUnit))
		if err != nil || t.Cell(colUnit) == "" {
			t.Fault(colUnit, "%s is not a unit of length here; use mm or in", unit.Quote(t.Cell(colUnit)))
			continue
		}
		before := t.Faults()
		m := Measured{String: number, FirstMM: size(t, colFirst, perMM), HeldMM: size(t, colHeld, perMM),
			ActionMM: size(t, colAction, perMM), ShowsMM: size(t, colShows, perMM)}
		if ok && t.Faults() == before {
			all = append(all, m)
		}
	}
	return all, t.Err()
}

// size is a cell in mm, missing where nothing was measured.
func size(t *table.Table, column string, perMM float64) num.Opt {
	switch strings.ToLower(t.Cell(column)) {
	case "", "x", "-":
		return num.Opt{}
	}
	v, ok := t.Number(column)
	if ok && !(v >= 0 && v*perMM <= MostMM) {
		t.Fault(column, "%g must be 0 to %s mm", v, unit.Decimal(MostMM))
	}
	return num.Some(v * perMM)
}

// Write writes a table that Read reads, in mm; what is missing stays empty, to be
// filled in.
func Write(w io.Writer, all []Measured) error {
	if _, err := fmt.Fprintln(w, strings.Join(Columns(), ",")); err != nil {
		return err
	}
	for _, m := range all {
		row := []string{fmt.Sprint(m.String)}
		for _, v := range []num.Opt{m.FirstMM, m.HeldMM, m.ActionMM, m.ShowsMM} {
			cell := ""
			if mm, known := v.Get(); known {
				cell = unit.Decimal(mm)
			}
			row = append(row, cell)
		}
		if _, err := fmt.Fprintln(w, strings.Join(append(row, "mm"), ",")); err != nil {
			return err
		}
	}
	return nil
}

// Blank is a table to fill in, a row for each of so many strings, the last (the
// bass) first, as the neck lies.
func Blank(strings int) []Measured {
	var all []Measured
	for i := strings; i > 0; i-- {
		all = append(all, Measured{String: i})
	}
	return all
}

// Each spreads values over so many strings: one for all, two for string 1 and the last
// with even steps between, or one per string; false where there are others.
func Each(values []float64, strings int) ([]float64, bool) {
	n := len(values)
	if n != 1 && n != 2 && n != strings || n > strings {
		return nil, false
	}
	if n == strings {
		return values, true
	}
	out := make([]float64, strings)
	for i := range out {
		out[i] = values[0] + (values[n-1]-values[0])*float64(i)/float64(max(1, strings-1))
	}
	return out, true
}
