package reading

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
