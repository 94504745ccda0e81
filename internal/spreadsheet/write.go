package spreadsheet

import (
	"bytes"
	"fmt"
	"io"

	"github.com/xuri/excelize/v2"

	"ringtrue/internal/reading"
)

// sheetName is the sheet of a blank workbook.
const sheetName = "Readings"

// Widths of a blank workbook's columns, in characters.
const (
	fretWidth = 12
	laneWidth = 10
)

// WriteBlank writes a grid to fill in as a workbook: comment lines as cells, the
// row of lanes frozen above a row per fret. Read reads it once it has a number. The
// same grid is the same bytes. It returns w's error.
func WriteBlank(w io.Writer, b reading.Blank) error {
	f := excelize.NewFile()
	defer f.Close()
	s := &blankSheet{f: f, row: 1}
	s.do(f.SetSheetName(f.GetSheetName(0), sheetName))
	s.signed()
	s.do(f.SetAppProps(&excelize.AppProperties{Application: "ringtrue"}))
	s.remarks(b)
	s.grid(b)
	if s.err != nil {
		return fmt.Errorf("workbook: %w", s.err)
	}
	return f.Write(w)
}

// blankSheet is a workbook under way; its first error ends it.
type blankSheet struct {
	f   *excelize.File
	row int
	err error
}

func (s *blankSheet) do(err error) {
	if s.err == nil {
		s.err = err
	}
}

// signed puts our name for the library's own where a workbook says what made it.
// SetDocProps would do, but writes the part without the prefix cp, which is right
// and which not every reader takes.
func (s *blankSheet) signed() {
	const part = "docProps/core.xml"
	if own, is := s.f.Pkg.Load(part); is {
		if text, is := own.([]byte); is {
			s.f.Pkg.Store(part, bytes.Replace(text, []byte(">xuri<"), []byte(">ringtrue<"), 1))
		}
	}
}

// at is the name of a cell of the row in work.
func (s *blankSheet) at(column int) string {
	name, err := excelize.CoordinatesToCellName(column, s.row)
	s.do(err)
	return name
}

func (s *blankSheet) set(column int, value any) {
	s.do(s.f.SetCellValue(sheetName, s.at(column), value))
}

func (s *blankSheet) style(from, to string, style *excelize.Style) {
	id, err := s.f.NewStyle(style)
	s.do(err)
	s.do(s.f.SetCellStyle(sheetName, from, to, id))
}

// remarks writes the comment lines: a key in the first column, what it says beside
// it.
func (s *blankSheet) remarks(b reading.Blank) {
	text := "@"
	for _, r := range b.Remarks() {
		if r.Key == "" {
			s.set(1, "# "+r.Advice)
		} else {
			s.set(1, "# "+r.Key+" =")
			s.style(s.at(2), s.at(2), &excelize.Style{CustomNumFmt: &text}) // a pass 1, a date: as typed
			if r.Text != "" {
				s.set(2, r.Text)
			}
		}
		s.row++
	}
}

// grid writes the row of lanes and a row per fret.
func (s *blankSheet) grid(b reading.Blank) {
	lanes, frets := b.Lanes(), b.Frets()
	head, last := s.row, len(lanes)+1
	heads := &excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{Horizontal: "center"},
		Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8E8E8"}}}
	s.style(s.at(1), s.at(last), heads)
	s.set(1, reading.RowHead())
	for i, lane := range lanes {
		s.set(i+2, lane)
	}
	for _, fret := range frets {
		s.row++
		s.style(s.at(1), s.at(1), heads)
		s.set(1, fret)
	}
	line := func(side string) excelize.Border { return excelize.Border{Type: side, Color: "B0B0B0", Style: 1} }
	digits := "0.000"
	if b.Unit == "in" {
		digits = "0.0000"
	}
	bottom, top := s.at(last), ""
	s.row = head + 1
	top = s.at(2)
	s.style(top, bottom, &excelize.Style{CustomNumFmt: &digits, Border: []excelize.Border{line("left"), line("right"), line("top"), line("bottom")}})
	s.do(s.f.SetPanes(sheetName, &excelize.Panes{Freeze: true, XSplit: 1, YSplit: head, TopLeftCell: top, ActivePane: "bottomRight",
		Selection: []excelize.Selection{{SQRef: top, ActiveCell: top, Pane: "bottomRight"}}}))
	name, err := excelize.ColumnNumberToName(last)
	s.do(err)
	s.do(s.f.SetSheetDimension(sheetName, "A1:"+bottom))
	s.do(s.f.SetColWidth(sheetName, "A", "A", fretWidth))
	s.do(s.f.SetColWidth(sheetName, "B", name, laneWidth))
}
