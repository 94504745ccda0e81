package table

import (
	"ringtrue/internal/unit"
	"strconv"
	"strings"
	"unicode"
)

// Cell is the text of a column in this row, "" where the table has none. It is
// good until the next row.
func (t *Table) Cell(column string) string {
	if i, ok := t.at[column]; ok && i < len(t.cells) {
		return t.cells[i]
	}
	return ""
}

// Text reads a short text, "" where the table has none.
func (t *Table) Text(column string) string {
	c := t.Cell(column)
	switch {
	case len(c) > longestText && len([]rune(c)) > longestText:
		t.Fault(column, "is longer than %d characters", longestText)
	case strings.ContainsFunc(c, unicode.IsControl):
		t.Fault(column, "%s has a control character", strconv.Quote(c))
	default:
		return strings.Clone(c) // the row's memory is used again
	}
	return ""
}

// Number reads a plain number, which may have a decimal comma where the cells
// are not parted by commas and no number of the table has a point. ok is false
// where there is none, which has then been noted.
func (t *Table) Number(column string) (v float64, ok bool) {
	text := t.Cell(column)
	if text == "" {
		t.Fault(column, "is empty; write a number")
		return 0, false
	}
	clean := text
	if t.comma != ',' && strings.Count(text, ",") == 1 && strings.IndexByte(text, '.') < 0 {
		clean = strings.Replace(text, ",", ".", 1)
	}
	v, err := unit.Number(clean)
	if err != nil {
		t.Fault(column, "%s", err)
		return 0, false
	}
	return v, t.oneMark(column, text)
}

// Whole reads a whole number from least to most.
func (t *Table) Whole(column string, least, most int) (n int, ok bool) {
	text := t.Cell(column)
	n, err := strconv.Atoi(text)
	switch {
	case text == "":
		t.Fault(column, "is empty; write a whole number")
	case err != nil:
		t.Fault(column, "%s is not a whole number", unit.Quote(text))
	case n < least || n > most:
		t.Fault(column, "%d is outside %d to %d", n, least, most)
	default:
		return n, true
	}
	return 0, false
}

// oneMark refuses decimal points beside decimal commas: one of them then
// stands for thousands, and nobody knows which.
func (t *Table) oneMark(column, text string) bool {
	line := t.cellLine(t.at[column])
	switch {
	case strings.IndexByte(text, ',') >= 0:
		if t.decimal == 0 {
			t.decimal = line
		}
		if t.point > 0 {
			t.Fault(column, "%s has a decimal comma, line %d a decimal point; use one of them", unit.Quote(text), t.point)
			return false
		}
	case strings.IndexByte(text, '.') >= 0:
		if t.point == 0 {
			t.point = line
		}
		if t.decimal > 0 {
			t.Fault(column, "%s has a decimal point, line %d a decimal comma; use one of them", unit.Quote(text), t.decimal)
			return false
		}
	}
	return true
}
