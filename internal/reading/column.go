package reading

import "strings"

// column is one column of the readings file.
type column int

const (
	colMethod column = iota
	colLane
	colFret
	colReading
	colUnit
	colPass
	colU
	colNoGo
	colSpan
	colX
	colY
	colZ
	colTurned
	colState
	colBy
	colGauge
	colDate
	colTemperature
	colHumidity
	columns // how many
)

// name is the column's name in the header.
func (c column) name() string { return columnNames()[c] }

// columnNames lists the columns in the order in which Write writes them.
func columnNames() []string {
	return []string{"method", "lane", "fret", "reading", "unit", "pass", "u", "no_go", "span", "x", "y", "z",
		"turned", "state", "by", "gauge", "date", "temperature", "humidity"}
}

// columnNamed finds a column by its name in the header, in any case.
func columnNamed(name string) (column, bool) {
	for i, n := range columnNames() {
		if strings.EqualFold(n, name) {
			return column(i), true
		}
	}
	return 0, false
}

// header is where the columns stand; -1 is a column that the file leaves out.
type header struct {
	line, cells int
	at          [columns]int
	missing     [columns]bool // its lack has been noted
}

func newHeader(line, cells int) header {
	h := header{line: line, cells: cells}
	for c := range h.at {
		h.at[c] = -1
	}
	return h
}
