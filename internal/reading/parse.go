package reading

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Limits on what is looked at: more is no set of readings of one neck.
const (
	MaxBytes    = table.MaxBytes
	MaxReadings = 100_000
)

// Parse reads a readings file: a header row, then one reading a row,
// separated by commas, semicolons or tabs. file is its name, for messages.
//
// A decimal comma is accepted between semicolons and tabs, where no other
// number of the file has a point. Lines that start with # are comments. Faults
// come back as a fileerr.List in file order, up to fileerr.Most and one; an
// error of r itself comes back wrapped.
func Parse(file string, r io.Reader, b Bounds) (Set, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Set{}, fmt.Errorf("%s: %w", file, err)
	}
	data, fault := table.Text(data, "readings file")
	if fault != nil {
		fault.File = file
		return Set{}, fileerr.List{*fault}
	}
	if isNeck(data) {
		return Set{}, fileerr.List{{File: file, Msg: "holds a neck file; give the readings (.csv) after it"}}
	}
	p := &parser{file: file, bounds: b, comma: table.Separator(data), passes: map[passKey]*passValues{}}
	p.read(data)
	if err := p.faults.Err(); err != nil {
		return Set{}, err
	}
	p.fillPasses()
	return Set{File: file, Readings: p.readings}, nil
}

// isNeck tells a neck file by its first line that says anything: a [table] or
// a key = value. No header row has either.
func isNeck(data []byte) bool {
	for line := range bytes.Lines(data) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		key, _, found := bytes.Cut(line, []byte("="))
		return line[0] == '[' || found && !bytes.ContainsAny(key, ",;\t\"")
	}
	return false
}

// parser holds one file while it is read.
type parser struct {
	file     string
	bounds   Bounds
	comma    rune
	header   header
	csv      *csv.Reader
	cells    []string
	faults   fileerr.List
	readings []Reading
	frets    []int // room that the readings' Frets are cut from
	passes   map[passKey]*passValues
	point    int // line of the first number with a decimal point, 0 for none
	decimal  int // line of the first number with a decimal comma, 0 for none
	mixed    bool
}

// read reads header and rows until the end or one fault more than is shown.
func (p *parser) read(data []byte) {
	p.csv = csv.NewReader(bytes.NewReader(data))
	p.csv.Comma, p.csv.Comment = p.comma, '#'
	p.csv.FieldsPerRecord, p.csv.ReuseRecord = -1, true
	if !p.next() {
		if len(p.faults) == 0 {
			p.faults.Add(p.file, 0, "", "is empty; readings start with a header row such as method,lane,fret,reading,unit")
		}
		return
	}
	if !p.readHeader() {
		return
	}
	for len(p.faults) <= fileerr.Most && p.next() {
		if len(p.readings) == MaxReadings {
			p.faults.Add(p.file, p.line(0), "", "has more than %d readings; that is no file of one neck", MaxReadings)
			return
		}
		p.row()
	}
	if len(p.faults) == 0 && len(p.readings) == 0 {
		p.faults.Add(p.file, 0, "", "has no readings under its header")
	}
}

// next reads the next row that is not blank.
func (p *parser) next() bool {
	for {
		cells, err := p.csv.Read()
		if errors.Is(err, io.EOF) {
			return false
		}
		if err != nil {
			p.csvFault(err)
			return false
		}
		blank := true
		for i, c := range cells {
			cells[i] = strings.TrimSpace(c)
			blank = blank && cells[i] == ""
		}
		if !blank && !p.isComment(cells[0]) {
			p.cells = cells
			return true
		}
	}
}

// isComment reports a comment that the reader let through: one set in, or one
// that a spreadsheet put in quotes. No method starts with #; where another
// column stands first, such a cell is data.
func (p *parser) isComment(first string) bool {
	return strings.HasPrefix(first, "#") && (p.header.cells == 0 || p.header.at[colMethod] == 0)
}

// csvFault notes a row whose quotes do not match.
func (p *parser) csvFault(err error) {
	line, msg := table.RowFault(err)
	p.faults.Add(p.file, line, "", "%s", msg)
}

// line is the line of the file that a cell of this row starts on.
func (p *parser) line(cell int) int {
	if p.csv == nil {
		return typedLine
	}
	if cell < 0 || cell >= len(p.cells) {
		cell = 0
	}
	line, _ := p.csv.FieldPos(cell)
	return line
}

// fault notes what is wrong in a column of this row.
func (p *parser) fault(c column, format string, args ...any) {
	p.faults.Add(p.file, p.line(p.header.at[c]), c.name(), format, args...)
}

// readHeader finds each column's place.
func (p *parser) readHeader() bool {
	p.header = newHeader(p.line(0), len(p.cells))
	if slices.Contains(Methods(), Method(strings.ToLower(p.cells[0]))) {
		p.faults.Add(p.file, p.header.line, "", "is a reading where the header row should stand; write one above it, such as method,lane,fret,reading,unit")
		return false
	}
	said := false // which columns are known: once is enough
	for i, cell := range p.cells {
		if cell == "" {
			continue
		}
		c, ok := columnNamed(cell)
		switch {
		case !ok:
			p.faults.Add(p.file, p.line(i), unit.Quote(cell), "is an unknown column%s", suggest(cell, &said))
		case p.header.at[c] >= 0:
			p.faults.Add(p.file, p.line(i), c.name(), "stands twice in the header; keep one")
		default:
			p.header.at[c] = i
		}
	}
	for _, c := range []column{colMethod, colUnit} {
		if p.header.at[c] < 0 {
			p.faults.Add(p.file, p.header.line, c.name(), "the column is missing; every row needs it")
		}
	}
	return len(p.faults) == 0
}

// suggest is the rest of what is said of an unknown column.
func suggest(cell string, said *bool) string {
	if near := fileerr.Nearest(cell, columnNames()); near != "" {
		return "; did you mean " + near + "?"
	}
	if *said {
		return ""
	}
	*said = true
	return "; known are " + strings.Join(columnNames(), ", ")
}
