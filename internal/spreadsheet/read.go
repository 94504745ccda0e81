package spreadsheet

import (
	"bytes"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
	"ringtrue/internal/table"
)

// Limits on what is looked at: more is no workbook of one neck.
const (
	MaxBytes    = 8 << 20  // of the file
	maxUnpacked = 32 << 20 // of all its parts
	maxSheets   = 50
	maxRows     = 5_000
	maxColumns  = 200
)

// errLarge ends the reading of a sheet that is larger than any grid.
var errLarge = errors.New("too large")

// Table is what one sheet of a workbook says, as the text of a readings file.
type Table struct {
	File   string   // as the maker named it
	Sheet  string   // the sheet that was read
	Others []string // sheets with something in them that were not read
	Text   []byte   // line n is row n of the sheet; the last line says where it comes from

	grid  [][]string // the sheet's cells, as texts
	left  int        // empty columns before the first
	short bool       // no row comes after maxRows, not even an empty one
}

// Is says whether a file is packed like a workbook, by its first bytes.
func Is(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

// Read finds the readings in a workbook: on the first sheet with a grid, else on
// the only sheet with something in it. file is its name, for messages. Faults come
// back as a fileerr.List; those that reading.Parse finds in Text are named by
// their cells with Place.
func Read(file string, data []byte) (t Table, err error) {
	// The library is held against every input of the fuzz target; should a damaged
	// file still trip it, the maker gets a line that says so.
	defer func() {
		if recover() != nil {
			t, err = Table{}, fault(file, "is damaged; open it in a spreadsheet program and save it again as .xlsx")
		}
	}()
	if len(data) > MaxBytes {
		return Table{}, fault(file, "is larger than %d MB, too large for a sheet of readings", MaxBytes>>20)
	}
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked})
	switch {
	case err != nil && strings.Contains(err.Error(), "size exceeds"):
		return Table{}, fault(file, "unpacks to more than %d MB, too large for a sheet of readings", maxUnpacked>>20)
	case err != nil:
		return Table{}, fault(file, "can't be read as a spreadsheet; save it as .xlsx without a password, or as CSV")
	}
	defer f.Close()
	return choose(file, f)
}

func fault(file, format string, args ...any) error {
	return fileerr.List{{File: file, Msg: fmt.Sprintf(format, args...)}}
}

// choose reads the sheets and takes the one with the readings.
func choose(file string, f *excelize.File) (Table, error) {
	names := f.GetSheetList()
	if len(names) > maxSheets {
		return Table{}, fault(file, "has more than %d sheets, too many for readings", maxSheets)
	}
	props, err := f.GetWorkbookProps()
	from1904 := err == nil && props.Date1904 != nil && *props.Date1904
	var full []Table
	for _, name := range names {
		cells, last, err := cellsOf(f, name, from1904)
		switch {
		case errors.Is(err, errLarge):
			return Table{}, fault(file+", "+name, "has more than %d rows or %d columns; keep only the grid on it", maxRows, maxColumns)
		case err != nil:
			return Table{}, fault(file+", "+name, "can't be read; save the file again as .xlsx, or as CSV")
		case len(cells) > 0:
			t := tableOf(file, name, cells)
			t.short = last <= maxRows
			full = append(full, t)
		}
	}
	at := slices.IndexFunc(full, Table.plain)
	if at < 0 {
		at = slices.IndexFunc(full, func(t Table) bool { return reading.IsGrid(t.Text) })
	}
	switch {
	case len(full) == 0:
		return Table{}, fault(file, "is empty; write the readings as a grid, fret and the lanes in its first row")
	case at < 0 && len(full) > 1:
		return Table{}, fault(file, "none of its %d sheets has a grid; the first row of one is fret and the lanes", len(full))
	case at < 0:
		at = 0
	}
	t := full[at]
	if err := t.uncalculated(f); err != nil {
		return Table{}, err
	}
	for i := range full {
		if i != at {
			t.Others = append(t.Others, full[i].Sheet)
		}
	}
	return t, nil
}

// blanksAsked is how many empty cells are asked for a formula.
const blanksAsked = 2_000

// uncalculated finds the first empty cell whose formula has no result yet, as some
// programs save it: it would pass for a crown that was not read.
func (t Table) uncalculated(f *excelize.File) error {
	asked := 0
	for i, row := range t.grid {
		for k, text := range row {
			if text != "" || !t.short {
				continue
			}
			if asked++; asked > blanksAsked {
				return nil
			}
			name, err := excelize.CoordinatesToCellName(t.left+k+1, i+1)
			if err != nil {
				return nil
			}
			formula, err := f.GetCellFormula(t.Sheet, name)
			if err != nil || formula == "" {
				continue
			}
			if kind, err := f.GetCellType(t.Sheet, name); err == nil && kind != excelize.CellTypeFormula { // that one has a text, an empty one
				return fault(t.File+", "+t.Sheet+"!"+name, "has a formula without a result; open the file in a spreadsheet program and save it")
			}
		}
	}
	return nil
}

// plain tells a grid beyond doubt: a row of it begins with fret.
func (t Table) plain() bool {
	return reading.IsGrid(t.Text) && slices.ContainsFunc(t.grid, isHead)
}

func isHead(row []string) bool {
	return len(row) > 0 && strings.EqualFold(strings.TrimSpace(row[0]), "fret")
}

// cellsOf are a sheet's cells up to the last that says something, and its last row.
// A sheet of another kind, a chart's, has none.
func cellsOf(f *excelize.File, sheet string, from1904 bool) (cells [][]cell, last int, err error) {
	stored, err := f.Rows(sheet)
	if err != nil {
		return nil, 0, nil
	}
	shown, err := f.Rows(sheet)
	if err != nil {
		return nil, 0, err
	}
	for ; stored.Next() && shown.Next(); last++ {
		raw, err := stored.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, 0, err
		}
		seen, err := shown.Columns()
		if err != nil {
			return nil, 0, err
		}
		row := make([]cell, len(raw))
		for i, text := range raw {
			shownAs := ""
			if i < len(seen) {
				shownAs = seen[i]
			}
			row[i] = newCell(text, shownAs, from1904)
		}
		if len(row) > maxColumns {
			return nil, 0, errLarge
		}
		if len(cells) >= maxRows {
			if slices.ContainsFunc(row, cell.says) {
				return nil, 0, errLarge
			}
			continue // rows that only have a format
		}
		cells = append(cells, row)
	}
	if err := errors.Join(stored.Error(), shown.Error()); err != nil {
		return nil, 0, err
	}
	for n := len(cells); n > 0 && !slices.ContainsFunc(cells[n-1], cell.says); n-- {
		cells = cells[:n-1]
	}
	return cells, last, nil
}

// tableOf makes a sheet the text of a table.
func tableOf(file, sheet string, cells [][]cell) Table {
	left, right := maxColumns, 0
	for _, row := range cells {
		for i, c := range row {
			if c.says() {
				left, right = min(left, i), max(right, i+1)
			}
		}
	}
	t := Table{File: file, Sheet: sheet, left: left, grid: make([][]string, len(cells))}
	mark := markOf(cells)
	for i, row := range cells {
		texts := make([]string, right-left)
		for k := left; k < min(right, len(row)); k++ {
			texts[k-left] = row[k].text(mark)
		}
		if strings.HasPrefix(texts[0], "#") {
			texts = []string{remark(texts, row[left:])}
		}
		t.grid[i] = texts
	}
	t.Text = table.Lines(append(slices.Clone(t.grid), []string{"# from " + oneLine(path.Base(strings.ReplaceAll(file, `\`, "/"))) + ", sheet " + oneLine(sheet)}))
	return t
}

// Place names the faults of a table's text by sheet and cell, in place.
func (t Table) Place(faults fileerr.List) {
	for i, f := range faults {
		if f.File != t.File || f.Line > len(t.grid) {
			continue
		}
		faults[i].File, faults[i].Line = t.File+", "+t.Sheet, 0
		if f.Line == 0 {
			continue
		}
		column, known := t.column(f.Line-1, f.Key)
		if name, err := excelize.CoordinatesToCellName(t.left+column+1, f.Line); err == nil {
			faults[i].File += "!" + name
		}
		if !known {
			continue
		}
		faults[i].Key = ""
		if _, err := time.Parse(time.DateOnly, t.grid[f.Line-1][column]); err == nil {
			faults[i].Msg += " (the cell is a date: format it as a number, then type it again)"
		}
	}
}

// column is where in a row the lane of a fault is; without one, the row's first.
func (t Table) column(row int, key string) (at int, lane bool) {
	name, is := strings.CutPrefix(key, "lane ")
	if !is {
		return 0, false
	}
	for ; row >= 0; row-- {
		if isHead(t.grid[row]) {
			at = slices.Index(t.grid[row], name)
			return max(at, 0), at > 0
		}
	}
	return 0, false
}
