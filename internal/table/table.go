package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// Limits on what is looked at.
const (
	MaxBytes    = 64 << 20
	MaxRows     = 1_000_000
	maxFaults   = 100_000 // noted; many rows may have the same
	longestText = 80      // characters of a name, a date
	typedLine   = 2       // of a row that was typed, as if a header stood above it
)

// Schema is what a table may hold.
type Schema struct {
	What     string   // what the file is called in messages: "gauge study"
	Columns  []string // known columns
	Required []string // those that must be there
	Prefix   string   // columns whose names start so are known too; "" for none

	// Refuse says what is wrong with a file by its first line that is neither
	// blank nor a comment, number 0 and "" where there is none: that it is
	// another kind of file. It gives "" where nothing is.
	Refuse func(number int, first string) (line int, msg string)

	// Grid says that the table may come as a grid, too; nil where it may not.
	Grid *Grid
}

// Table is a table under way: Next moves to the next row, Number and Text read
// its cells, Fault notes what is wrong with one of them.
type Table struct {
	file    string
	schema  Schema
	comma   rune
	csv     *csv.Reader
	names   []string // lower case, of the header's cells
	at      map[string]int
	cells   []string
	rows    int
	faults  fileerr.List
	told    bool   // which columns are known: once is enough
	point   int    // line of the first number with a decimal point, 0 for none
	decimal int    // line of the first number with a decimal comma, 0 for none
	grid    *cells // nil where each row is one of the table

	kinds   map[fileerr.Alike]bool // of the faults
	counted int                    // faults whose kinds are among them
}

// Open reads the header row of a table. file is its name, for messages.
// Faults come back as a fileerr.List; an error of r itself comes back wrapped.
func Open(file string, r io.Reader, schema Schema) (*Table, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	data, fault := settled(data, schema.What)
	if fault != nil {
		fault.File = file
		return nil, fileerr.List{*fault}
	}
	number, first := firstLine(data)
	if schema.Refuse != nil {
		if line, msg := schema.Refuse(number, first); msg != "" {
			return nil, fileerr.List{{File: file, Line: line, Msg: msg}}
		}
	}
	t := &Table{file: file, schema: schema, comma: separator(first), at: map[string]int{}}
	isGrid := schema.isGrid(first)
	if isGrid && spaced(first) {
		data, t.comma = respaced(data), ';'
	}
	t.csv = csv.NewReader(bytes.NewReader(data))
	t.csv.Comma, t.csv.Comment = t.comma, '#'
	t.csv.FieldsPerRecord, t.csv.ReuseRecord = -1, true
	if t.read() {
		if isGrid {
			t.openGrid(data)
		} else {
			t.header()
		}
	} else if len(t.faults) == 0 {
		t.faults.Add(file, 0, "", "is empty; a %s starts with a header row such as %s", schema.What, strings.Join(schema.Required, ","))
	}
	return t, t.faults.Err()
}

// Typed is a table of one row that was typed and stands in no file: its columns
// are those whose cells say something. Faults call it by the name given, and
// place it under a header.
func Typed(file string, columns, cells []string) *Table {
	t := &Table{file: file, comma: ',', at: map[string]int{}, names: columns, cells: make([]string, len(cells)), rows: 1}
	for i, c := range cells {
		if t.cells[i] = strings.TrimSpace(c); t.cells[i] != "" {
			t.at[columns[i]] = i
		}
	}
	return t
}

// read reads the next row that is neither blank nor a comment.
func (t *Table) read() bool {
	for {
		cells, err := t.csv.Read()
		if errors.Is(err, io.EOF) {
			return false
		}
		if err != nil {
			t.csvFault(err)
			return false
		}
		blank := true
		for i, c := range cells {
			cells[i] = strings.TrimSpace(c)
			blank = blank && cells[i] == ""
		}
		if !blank && !t.isComment(cells) {
			t.cells = cells
			return true
		}
	}
}

// isComment tells a comment that is set in, or that a spreadsheet put in quotes;
// the others the reader leaves out. Where the first column may hold any text, it
// must be all that the row says: a label may start with # too.
func (t *Table) isComment(cells []string) bool {
	if !strings.HasPrefix(cells[0], "#") {
		return false
	}
	alone := !slices.ContainsFunc(cells[1:], func(c string) bool { return c != "" })
	return alone || t.grid != nil || len(t.names) == 0 || slices.Contains(t.schema.Required, t.names[0])
}

// csvFault notes a row whose quotes do not match.
func (t *Table) csvFault(err error) {
	line, msg := 0, err.Error()
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		line, msg = pe.StartLine, pe.Err.Error()
	}
	if errors.Is(err, csv.ErrQuote) || errors.Is(err, csv.ErrBareQuote) {
		msg = "a quote is inside a cell or never closed; write quotes around the whole cell, or none"
	}
	t.faults.Add(t.file, line, "", "%s", msg)
}

// header finds each column's place.
func (t *Table) header() {
	for i, cell := range t.cells {
		name := strings.ToLower(cell)
		t.names = append(t.names, name)
		_, twice := t.at[name]
		switch {
		case cell == "":
		case !t.known(name):
			f := fileerr.Of(t.file, t.cellLine(i), unit.Quote(cell), "is an unknown column%s", t.suggest(cell))
			f.Meant = fileerr.Nearest(cell, t.schema.Columns)
			t.faults = append(t.faults, f)
		case twice:
			t.faults.Add(t.file, t.cellLine(i), name, "appears twice in the header; keep one")
		default:
			t.at[name] = i
		}
	}
	for _, c := range t.schema.Required {
		if !t.Has(c) {
			f := fileerr.Of(t.file, t.cellLine(0), c, "the column is missing; every row needs it")
			f.Missing = c
			t.faults = append(t.faults, f)
		}
	}
}

func (t *Table) known(name string) bool {
	return slices.Contains(t.schema.Columns, name) || t.schema.Prefix != "" && len(name) > len(t.schema.Prefix) && strings.HasPrefix(name, t.schema.Prefix)
}

// suggest is the rest of what is said of an unknown column.
func (t *Table) suggest(cell string) string {
	if near := fileerr.Nearest(cell, t.schema.Columns); near != "" {
		return "; did you mean " + near + "?"
	}
	if t.told {
		return ""
	}
	known := strings.Join(t.schema.Columns, ", ")
	if t.schema.Prefix != "" {
		known += ", " + t.schema.Prefix + "NAME"
	}
	t.told = true
	return "; known are " + known
}

// Has says whether the table has a column.
func (t *Table) Has(column string) bool {
	_, ok := t.at[column]
	return ok
}

// Prefixed returns the columns whose names start with the schema's prefix, in
// the order of the header.
func (t *Table) Prefixed() []string {
	var names []string
	for _, n := range t.names {
		if t.schema.Prefix != "" && strings.HasPrefix(n, t.schema.Prefix) {
			names = append(names, n)
		}
	}
	return names
}

// Next moves to the next row. It ends at the end of the table, or at one kind
// of fault more than is shown.
func (t *Table) Next() bool {
	if t.grid != nil {
		return t.nextValue()
	}
	for !t.full() && t.read() {
		if t.rows == MaxRows {
			t.faults.Add(t.file, t.cellLine(0), "", "has more than %d rows, too many for a %s", MaxRows, t.schema.What)
			return false
		}
		t.rows++
		if t.rightLength() {
			return true
		}
	}
	return false
}

// full says that more different faults were found than are shown, or absurdly
// many of one kind.
func (t *Table) full() bool {
	if len(t.faults) <= fileerr.MaxFaults {
		return false
	}
	if t.kinds == nil {
		t.kinds = map[fileerr.Alike]bool{}
	}
	for ; t.counted < len(t.faults); t.counted++ {
		t.kinds[t.faults[t.counted].Alike()] = true
	}
	return len(t.kinds) > fileerr.MaxFaults || len(t.faults) >= maxFaults
}

// rightLength holds the row against the header.
func (t *Table) rightLength() bool {
	n, want := len(t.cells), len(t.names)
	if n < want {
		hint := "leave unused cells empty, but keep their separators"
		if t.grid != nil {
			hint = "write x where nothing was read"
		}
		t.faults.Add(t.file, t.Line(), "", "has %d cells, the header %d; %s", n, want, hint)
		return false
	}
	for _, extra := range t.cells[want:] {
		if extra == "" {
			continue
		}
		hint := ""
		if t.comma == ',' {
			hint = "; a decimal comma needs ; between the cells"
		}
		t.faults.Add(t.file, t.Line(), "", "has %d cells, the header %d%s", n, want, hint)
		return false
	}
	return true
}

// Err returns all faults found so far as a fileerr.List, or nil. A table
// without a row is a fault.
func (t *Table) Err() error {
	if len(t.faults) == 0 && t.rows == 0 {
		t.faults.Add(t.file, 0, "", "has no rows under its header")
	}
	return t.faults.Err()
}

// Faults says how many faults have been found.
func (t *Table) Faults() int { return len(t.faults) }

// Line is the line of the file that this row starts on.
func (t *Table) Line() int { return t.cellLine(0) }

// cellLine is the line of the file that a cell of this row starts on.
func (t *Table) cellLine(cell int) int {
	if cell < 0 || cell >= len(t.cells) {
		cell = 0
	}
	if t.csv == nil {
		return typedLine
	}
	if t.grid != nil && !t.grid.between {
		return t.grid.lines[cell]
	}
	line, _ := t.csv.FieldPos(cell)
	return line
}

// Fault notes what is wrong in a column of this row.
func (t *Table) Fault(column, format string, args ...any) {
	i, ok := t.at[column]
	if !ok {
		i = 0
	}
	key := column
	if t.grid != nil {
		key = t.grid.key(column)
	}
	t.note(fileerr.Of(t.file, t.cellLine(i), key, format, args...))
}

// FaultOfFile notes what is wrong with the table as a whole; line 0 for none.
func (t *Table) FaultOfFile(line int, column, format string, args ...any) {
	t.faults.Add(t.file, line, column, format, args...)
}
