package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// Grid is a table whose cells are values, each named by the head of its row and
// of its column. Next moves from one value to the next, and Cell reads it as a
// row of the plain table: four columns and what comment lines say of all values.
type Grid struct {
	Row, Column, Value string   // the columns of a value's row, column and text
	Second             string   // the column of what follows a / in a value's cell
	Keys               []string // columns that a comment line gives: # key = text

	Is    func(head []string) bool // tells a grid by its first row
	Blank func(text string) bool   // is a cell without a value
}

// Remark is a comment line that says something of all values of a grid.
type Remark struct {
	Key, Text string
	Line      int
	Last      bool // nothing but comments comes after it: it goes for every grid of the table
}

// Remarks finds the comment lines `# key = text` whose key is one of keys; an
// empty text says nothing. data is the whole table.
func Remarks(data []byte, keys []string) (found []Remark) {
	number, last := 0, 0
	for line := range bytes.Lines(data) {
		number++
		plain := strings.Trim(string(line), " \t\r\n,;\"\ufeff")
		text, is := strings.CutPrefix(plain, "#")
		if !is {
			if plain != "" {
				last = len(found)
			}
			continue
		}
		key, value, is := strings.Cut(text, "=")
		key, value = strings.ToLower(strings.TrimSpace(key)), strings.TrimSpace(value)
		if is && value != "" && slices.Contains(keys, key) {
			found = append(found, Remark{Key: key, Text: value, Line: number})
		}
	}
	for i := last; i < len(found); i++ {
		found[i].Last = true
	}
	return found
}

// cells is a grid under way, or one of several below each other.
type cells struct {
	Grid
	raw      []string // the row's cells
	at       int      // the cell that Next stopped at
	line     int      // of the row
	head     []string
	headLine int
	rows     map[string]int // lines of the rows, by their heads
	remarks  []Remark       // those that no grid has taken yet
	columns  []string       // of a value: row, column, text, and what remarks say
	values   []string
	lines    []int // of the values
	between  bool  // a row is being read: lines are the reader's
}

// isGrid says whether the first row is a grid's.
func (s Schema) isGrid(first string) bool {
	if s.Grid == nil || first == "" {
		return false
	}
	r := csv.NewReader(strings.NewReader(first))
	r.LazyQuotes = true
	if r.Comma = separator(first); spaced(first) {
		first = strings.Join(strings.Fields(first), ",")
		r = csv.NewReader(strings.NewReader(first))
	}
	head, err := r.Read()
	if err != nil {
		return false
	}
	for i := range head {
		head[i] = strings.TrimSpace(head[i])
	}
	return s.Grid.Is(head)
}

// IsGrid says whether a table's first row is a grid's.
func IsGrid(data []byte, g *Grid) bool {
	data, fault := settled(data, "")
	if fault != nil {
		return false
	}
	_, first := firstLine(data)
	return Schema{Grid: g}.isGrid(first)
}

// spaced says whether nothing but spaces parts the cells of a row.
func spaced(first string) bool {
	return !strings.ContainsAny(first, ",;\t\"") && strings.Contains(first, " ")
}

// respaced puts a semicolon where cells are parted by spaces.
func respaced(data []byte) []byte {
	var out bytes.Buffer
	for line := range bytes.Lines(data) {
		trimmed := bytes.TrimSpace(line)
		if len(trimmed) == 0 || trimmed[0] == '#' {
			out.Write(line)
			continue
		}
		out.Write(bytes.Join(bytes.Fields(trimmed), []byte(";")))
		out.WriteByte('\n')
	}
	return out.Bytes()
}

// openGrid begins the first grid of a table.
func (t *Table) openGrid(data []byte) {
	g := &cells{Grid: *t.schema.Grid, remarks: Remarks(data, t.schema.Grid.Keys), between: true,
		columns: []string{t.schema.Grid.Row, t.schema.Grid.Column, t.schema.Grid.Value, t.schema.Grid.Second}, values: make([]string, 4), lines: make([]int, 4)}
	t.grid = g
	t.heads()
	t.cells, g.between = g.values, false
}

// heads reads the heads of a grid's columns, and what the comment lines above say.
func (t *Table) heads() {
	g := t.grid
	g.headLine, g.head, g.rows = t.cellLine(0), slices.Clone(t.cells), map[string]int{}
	for i, h := range g.head {
		g.head[i] = strings.Clone(h)
	}
	switch first := g.head[0]; {
	case first == "":
		t.faults.Add(t.file, g.headLine, "", "the first cell is empty; write %s", g.Row)
	case !strings.EqualFold(first, g.Row):
		t.faults.Add(t.file, g.headLine, "", "begins with %s; the first row of a grid is %s and a %s above each column", unit.Quote(first), g.Row, g.Column)
	}
	if len(t.faults) > 0 {
		return
	}
	for i, h := range g.head {
		if i > 0 && h != "" && slices.ContainsFunc(g.head[1:i], func(o string) bool { return sameName(o, h) }) {
			t.faults.Add(t.file, g.headLine, g.Column+" "+h, "appears twice in the first row; keep one")
		}
	}
	t.names, g.lines[1] = g.head, g.headLine
	t.takeRemarks()
	for i, c := range g.columns {
		t.at[c] = i
	}
}

// takeRemarks takes the comment lines above a grid: they replace what was said of
// the grid before; those at the table's end go for all.
func (t *Table) takeRemarks() {
	g := t.grid
	above := 0
	for _, r := range g.remarks {
		i := slices.Index(g.columns, r.Key)
		if !r.Last && r.Line > g.headLine || r.Last && i >= 0 && g.values[i] == r.Text {
			continue
		}
		if !r.Last {
			above++
		}
		switch {
		case i < 0:
			g.columns, g.values, g.lines = append(g.columns, r.Key), append(g.values, r.Text), append(g.lines, r.Line)
		case (r.Last || g.lines[i] >= g.remarks[0].Line) && g.values[i] != r.Text:
			t.faults.Add(t.file, r.Line, r.Key, "is %s here and %s in line %d; keep one", unit.Quote(r.Text), unit.Quote(g.values[i]), g.lines[i])
		default:
			g.values[i], g.lines[i] = r.Text, r.Line
		}
	}
	g.remarks = g.remarks[above:]
}

// GridCell is the cell of a grid that the value is read from, as it stands.
func (t *Table) GridCell() string {
	if t.grid == nil || t.grid.at >= len(t.grid.raw) {
		return ""
	}
	return t.grid.raw[t.grid.at]
}

// Heads are the heads of a grid's columns and the line they are in; nil where
// the table is no grid.
func (t *Table) Heads() (heads []string, line int) {
	if t.grid == nil {
		return nil, 0
	}
	return t.grid.head[1:], t.grid.headLine
}

// nextValue moves to the next value of a grid.
func (t *Table) nextValue() bool {
	g := t.grid
	for !t.full() {
		if g.at++; g.at >= len(g.raw) {
			if !t.nextRow() {
				return false
			}
			continue
		}
		switch text := g.raw[g.at]; {
		case g.Blank(text):
		case g.head[g.at] == "":
			t.note(fileerr.Fault{File: t.file, Line: g.headLine,
				Msg: fmt.Sprintf("cell %d is empty, but its column has values; write a %s, and merge no cells", g.at+1, g.Column)})
		default:
			first, second, _ := strings.Cut(text, "/")
			copy(g.values, []string{g.raw[0], g.head[g.at], strings.TrimSpace(first), strings.TrimSpace(second)})
			g.lines[0], g.lines[2], g.lines[3] = g.line, g.line, g.line
			t.rows++
			return true
		}
	}
	return false
}

// nextRow reads a grid's next row; the heads of a further grid begin it.
func (t *Table) nextRow() bool {
	g := t.grid
	g.between = true
	defer func() { t.cells, g.between = g.values, false }()
	for !t.full() && t.read() {
		if strings.EqualFold(t.cells[0], g.Row) {
			before := len(t.faults)
			if t.heads(); len(t.faults) > before {
				return false
			}
			continue
		}
		if !t.rightLength() {
			continue
		}
		g.raw, g.at, g.line = t.cells[:len(g.head)], 0, t.cellLine(0)
		if r := g.remarks; len(r) > 0 && !r[0].Last && r[0].Line < g.line {
			t.faults.Add(t.file, r[0].Line, r[0].Key, "comes below the %ss; write the row of %ss again under it", g.Column, g.Column)
			return false
		}
		name := plainName(g.raw[0])
		switch before, twice := g.rows[name]; {
		case len(g.rows) == MaxRows:
			t.faults.Add(t.file, g.line, "", "has more than %d rows, too many for a %s", MaxRows, t.schema.What)
			return false
		case twice && name != "":
			t.faults.Add(t.file, g.line, g.Row+" "+name, "is in line %d already; keep one", before)
			continue
		}
		g.rows[strings.Clone(name)] = g.line
		return true
	}
	return false
}

// key is what a fault of a value calls its column.
func (g *cells) key(column string) string {
	if column == g.Value || column == g.Second {
		return g.Column + " " + g.head[g.at]
	}
	return column
}

// note adds a fault once, however many values share it.
func (t *Table) note(f fileerr.Fault) {
	if t.grid == nil || !slices.Contains(t.faults, f) {
		t.faults = append(t.faults, f)
	}
}

// plainName is the head of a row or column, a number in its plain form.
func plainName(text string) string {
	if v, err := unit.Number(strings.Replace(text, ",", ".", 1)); err == nil {
		return unit.Decimal(v)
	}
	return text
}

func sameName(a, b string) bool { return strings.EqualFold(plainName(a), plainName(b)) }
