package reading

import (
	"slices"
	"strings"

	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Grid reports whether readings of this method may come as a grid of frets by
// lanes: one number a crown says all.
func (s Spec) Grid() bool { return s.Frets == 1 && s.SetUp != Frame && !s.Across }

// Gridded lists the methods whose readings may come as a grid.
func Gridded() []Method { return methods(Spec.Grid) }

// gridSchema is what a grid of readings may be.
func gridSchema() *table.Grid {
	return &table.Grid{
		Row: colFret.name(), Column: colLane.name(), Value: colReading.name(), Second: colNoGo.name(), Keys: gridKeys(), Is: isGrid, Blank: notRead,
	}
}

// gridKeys are the columns that a grid's comment lines give.
func gridKeys() []string {
	var keys []string
	for _, c := range []column{colMethod, colUnit, colPass, colU, colTurned, colState, colBy, colGauge, colDate, colTemperature, colHumidity} {
		keys = append(keys, c.name())
	}
	return keys
}

// notRead tells a cell of a crown that was not read.
func notRead(text string) bool {
	switch text {
	case "", "x", "X", "-", "–", "—":
		return true
	}
	return false
}

// isGrid tells a grid by its first row: frets and lanes, numbers alone, or a
// title over empty cells, but no other column of a readings file.
func isGrid(head []string) bool {
	numbers, empty := 0, 0
	for i, cell := range head {
		low := strings.ToLower(cell)
		if low != colFret.name() && low != colLane.name() && slices.Contains(columnNames(), low) {
			return false
		}
		if cell == "" && i > 0 {
			empty++
		} else if _, err := unit.Number(strings.Replace(cell, ",", ".", 1)); err == nil {
			numbers++
		}
	}
	switch {
	case len(head) < 2:
		return false
	case strings.EqualFold(head[0], colFret.name()):
		return numbers > 0 || empty > 0
	case head[0] == "":
		return true
	}
	return numbers+empty == len(head) || empty > 1 && empty == len(head)-1
}

// gridHolds notes what is wrong with a grid as a whole, once; true where nothing
// is, and where the row is of no grid.
func (p *parser) gridHolds() bool {
	heads, line := p.Heads()
	if heads == nil || line == p.header && p.checked {
		return true
	}
	p.header, p.checked = line, true
	before := p.Faults()
	for _, h := range heads {
		if _, err := unit.Number(strings.Replace(h, ",", ".", 1)); h != "" && err != nil {
			p.FaultOfFile(line, "", "%s is not a lane; write 1 to %d above the columns, and merge no cells", unit.Quote(h), p.bounds.Strings)
		}
	}
	if s := Method(strings.ToLower(p.cell(colMethod))).Spec(); !p.Has(colMethod.name()) {
		p.FaultOfFile(line, colMethod.name(), "is missing; write # method = %s above the grid, or --method %s", Beam, Beam)
	} else if s.Method != "" && !s.Grid() {
		p.fault(colMethod, "%s readings can't come as a grid; use %s", s.Method, Join(Gridded(), " or "))
	}
	if !p.Has(colUnit.name()) {
		p.FaultOfFile(line, colUnit.name(), "is missing; write # unit = mm above the grid, or --unit mm")
	}
	return p.Faults() == before
}

// leaves notes what is wrong with a cell of a grid that has a /; true where nothing
// is: it names two leaves, the one that enters and the one that doesn't. A fraction
// is not taken for leaves.
func (p *parser) leaves(s Spec) bool {
	text := p.GridCell()
	a, b, two := strings.Cut(text, "/")
	switch {
	case !two:
		return true
	case !s.Gap:
		p.fault(colReading, "%s has a /; write one number", unit.Quote(text))
	case strings.TrimSpace(a) == "" || strings.TrimSpace(b) == "" || strings.Contains(b, "/"):
		p.fault(colReading, "%s is not two leaves; write reading/no-go, such as 0.10/0.15", unit.Quote(text))
	case !strings.ContainsAny(text, ".,"):
		p.fault(colReading, "%s looks like a fraction; write it as a decimal, or two leaves as 0.10/0.15", unit.Quote(text))
	default:
		return true
	}
	return false
}
