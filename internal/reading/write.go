package reading

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"ringtrue/internal/unit"
)

// Write writes readings as a file that Parse reads back as the same set:
// commas, decimal points, mm. Columns that no reading uses are left out. It
// returns w's error.
func Write(w io.Writer, s Set) error {
	rows := make([]Row, len(s.Readings))
	for i, r := range s.Readings {
		rows[i] = r.Row()
	}
	return WriteRows(w, rows)
}

// Row is a reading as the texts of its cells, in the order of Columns; Typed
// reads it.
type Row [columns]string

// WriteRows writes rows under a header, as they are. Columns that no row uses
// are left out. It returns w's error.
func WriteRows(w io.Writer, rows []Row) error {
	var used [columns]bool
	for _, c := range []column{colMethod, colUnit} {
		used[c] = true
	}
	for _, r := range rows {
		for c, text := range r {
			used[c] = used[c] || text != ""
		}
	}
	out := csv.NewWriter(w)
	record := make([]string, 0, columns)
	write := func(cells []string) {
		record = record[:0]
		for c, text := range cells {
			if used[c] {
				record = append(record, text)
			}
		}
		_ = out.Write(record) // kept by the writer until Error
	}
	write(columnNames())
	for i := range rows {
		write(rows[i][:])
	}
	out.Flush()
	return out.Error()
}

// Row is the reading's cells, in mm.
func (r Reading) Row() (c Row) {
	c[colMethod], c[colUnit], c[colPass] = string(r.Method), "mm", r.Pass
	if r.UGiven {
		c[colU] = unit.Decimal(r.U)
	}
	if r.Turned {
		c[colTurned] = "yes"
	}
	cols := passColumns()
	for i, f := range r.onceFields() {
		c[cols[i]] = *f
	}
	if r.Method.Spec().SetUp == Frame {
		c[colX], c[colY], c[colZ] = unit.Decimal(r.X), unit.Decimal(r.Y), unit.Decimal(r.Z)
		return c
	}
	if r.Lane > 0 {
		c[colLane] = unit.Decimal(r.Lane)
	}
	var frets []string
	for _, f := range r.Frets {
		frets = append(frets, strconv.Itoa(f))
	}
	c[colFret] = strings.Join(frets, "-")
	c[colReading] = r.valueText()
	if r.NoGo != nil {
		c[colNoGo] = unit.Decimal(*r.NoGo)
	}
	if r.Span > 0 {
		c[colSpan] = unit.Decimal(r.Span)
	}
	return c
}

func (r Reading) valueText() string {
	switch r.Answer {
	case Rocks:
		return "rocks"
	case Still:
		return "still"
	}
	return unit.Decimal(r.Value)
}
