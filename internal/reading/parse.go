package reading

import (
	"io"
	"slices"
	"strings"

	"ringtrue/internal/table"
)

// Limits on what is looked at: more is no set of readings of one neck.
const (
	MaxReadings = 100_000
)

// Parse reads a readings file: a header row, then one reading a row,
// separated by commas, semicolons or tabs; or a grid: comment lines such as
// # method = beam and # unit = mm, a row `fret` and lanes, then a row a fret, a
// number a crown. file is its name, for messages.
//
// A decimal comma is accepted between semicolons and tabs, where no other
// number of the file has a point. Lines that start with # are comments. Faults
// come back as a fileerr.List in file order, up to fileerr.MaxFaults and one; an
// error of r itself comes back wrapped.
func Parse(file string, r io.Reader, b Bounds) (Set, error) {
	t, err := table.Open(file, r, table.Schema{
		What: "readings file", Columns: columnNames(), Required: []string{colMethod.name(), colUnit.name()}, Refuse: refuse, Grid: gridSchema(),
	})
	if err != nil {
		return Set{}, err
	}
	p := &parser{Table: t, bounds: b, header: t.Line(), passes: map[passKey]*passValues{}}
	for t.Next() {
		if !p.gridHolds() {
			break
		}
		if len(p.readings) == MaxReadings {
			t.FaultOfFile(t.Line(), "", "has more than %d readings, too many for one neck", MaxReadings)
			break
		}
		p.row()
	}
	p.limited()
	if len(p.readings) == 0 && t.Faults() == 0 {
		t.FaultOfFile(0, "", "has no readings under its header")
	}
	if err := t.Err(); err != nil {
		return Set{}, err
	}
	p.fillPasses()
	return Set{File: file, Readings: p.readings}, nil
}

// refuse says what a file is that holds no readings, by its first line.
func refuse(number int, first string) (line int, msg string) {
	const sample = "such as method,lane,fret,reading,unit"
	cell := strings.ToLower(strings.Trim(first[:max(0, strings.IndexAny(first, ",;\t"))], " \""))
	switch {
	case first == "":
		return 0, "is empty; readings start with a header row " + sample
	case isNeck(first):
		return 0, "is a neck file; give the readings (.csv) after it"
	case slices.Contains(Methods(), Method(cell)):
		return number, "is a reading, but should be the header row; write one above it, " + sample
	}
	return 0, ""
}

// isNeck tells a neck file by its first line that says anything: a [table] or
// a key = value. No header row has either.
func isNeck(line string) bool {
	key, _, found := strings.Cut(line, "=")
	return line[0] == '[' || found && !strings.ContainsAny(key, ",;\t\"")
}

// parser holds one file while it is read.
type parser struct {
	*table.Table
	bounds   Bounds
	header   int           // its line
	checked  bool          // a grid under it was looked at as a whole
	missing  [columns]bool // columns whose lack has been noted
	readings []Reading
	frets    []int // room that the readings' Frets are cut from
	passes   map[passKey]*passValues
}

// fault notes what is wrong in a column of this row.
func (p *parser) fault(c column, format string, args ...any) {
	p.Fault(c.name(), format, args...)
}
