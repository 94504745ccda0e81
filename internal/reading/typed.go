package reading

import "ringtrue/internal/table"

// Typed reads one row that was typed and stands in no file. Numbers have a
// decimal point. Faults come back as a fileerr.List that calls the row's file by
// the name given.
func Typed(file string, row Row, b Bounds) (Reading, error) {
	t := table.Typed(file, columnNames(), row[:])
	p := &parser{Table: t, bounds: b, header: 1, passes: map[passKey]*passValues{}, frets: make([]int, 0, 3)}
	p.row()
	if err := t.Err(); err != nil {
		return Reading{}, err
	}
	return p.readings[0], nil
}
