package reading

import "strings"

// typedLine is the line that faults of a typed row name: as if a header stood
// above it.
const typedLine = 2

// Typed reads one row that was typed and stands in no file. Numbers have a
// decimal point. Faults come back as a fileerr.List that calls the row's file by
// the name given.
func Typed(file string, row Row, b Bounds) (Reading, error) {
	p := &parser{file: file, bounds: b, comma: ',', header: newHeader(1, len(row)), cells: row[:], passes: map[passKey]*passValues{}, frets: make([]int, 0, 3)}
	for c, text := range row {
		if row[c] = strings.TrimSpace(text); row[c] != "" {
			p.header.at[c] = c
		}
	}
	p.row()
	if err := p.faults.Err(); err != nil {
		return Reading{}, err
	}
	return p.readings[0], nil
}
