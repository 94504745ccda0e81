package spreadsheet

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/xuri/excelize/v2"

	"ringtrue/internal/unit"
)

// cell is what a sheet has in one place: the text or the number that is stored,
// what a spreadsheet program shows of it, and the day if it shows one.
type cell struct{ stored, shown, day string }

func newCell(stored, shown string, from1904 bool) cell {
	c := cell{stored: stored, shown: shown}
	v, is := c.number()
	if !is || v < firstDay || v > lastDay || shown == stored || !strings.ContainsAny(shown, "-/.: ") {
		return c
	}
	if t, err := excelize.ExcelDateToTime(v, from1904); err == nil {
		c.day = t.Format(time.DateOnly)
	}
	return c
}

func (c cell) says() bool { return strings.TrimSpace(c.stored) != "" }

// The numbers of the days that a cell may stand for: 1954 to 2119, counted from 1900.
// No reading is a number of this size.
const firstDay, lastDay = 20_000, 80_000

// digitsKept are the digits that a spreadsheet program gives of a number: what
// comes after them is the binary form's.
const digitsKept = 15

// number is a stored number without what its binary form adds.
func (c cell) number() (v float64, ok bool) {
	v, err := unit.Number(c.stored)
	if err != nil {
		return 0, false
	}
	v, err = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digitsKept, 64), 64)
	return v, err == nil
}

// broken tells a formula's result that is an error, such as #REF!: it is no comment.
func (c cell) broken() bool {
	return slices.Contains([]string{"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"}, c.stored)
}

// text is the cell as a table has it: one line, a number with the decimal mark
// that the sheet's texts have.
func (c cell) text(mark string) string {
	if c.day != "" {
		return c.day
	}
	if c.broken() {
		return "formula error"
	}
	if c.shown == "TRUE" || c.shown == "FALSE" {
		return c.shown
	}
	if v, is := c.number(); is {
		return strings.Replace(unit.Decimal(v), ".", mark, 1)
	}
	return oneLine(c.stored)
}

// markOf is the decimal mark that numbers typed as texts have in a sheet: a
// number that is stored as one has a point, so a comma is typed.
func markOf(cells [][]cell) string {
	for _, row := range cells {
		for _, c := range row {
			for part := range strings.SplitSeq(oneLine(c.stored), "/") {
				if strings.Count(part, ",") != 1 {
					continue
				}
				if _, err := unit.Number(strings.Replace(part, ",", ".", 1)); err == nil {
					return ","
				}
			}
		}
	}
	return "."
}

// remark joins the cells of a comment's row: its key may stand in one and what it
// says in the next. Numbers in it have a point.
func remark(texts []string, row []cell) string {
	var words []string
	for i, text := range texts {
		if i < len(row) {
			text = row[i].text(".")
		}
		if text = strings.TrimSpace(text); text != "" {
			words = append(words, text)
		}
	}
	return strings.Join(words, " ")
}

// oneLine is a text without what would end a line.
func oneLine(s string) string {
	s = strings.ToValidUTF8(s, "?")
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsControl(r) || unicode.IsSpace(r) }), " ")
}
