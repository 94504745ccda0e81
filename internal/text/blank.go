package text

import (
	"fmt"
	"strings"

	"ringtrue/internal/reading"
)

// BlankGauge heads a sheet to fill in: the gauge, and the unit of its readings.
func BlankGauge(m reading.Method, unit string) string {
	name := OfMethod(m).Name
	return fmt.Sprintf("%s: %s. Readings in %s.", strings.ToUpper(name[:1])+name[1:], OfMethod(m).Hint, unitWord(unit))
}

// unitWord is a unit in a sentence.
func unitWord(unit string) string {
	if unit == "in" {
		return "inches"
	}
	return unit
}

// BlankRules say how a sheet is filled in.
func BlankRules(m reading.Method) string {
	rules := "One number per crown. Leave a cell empty, or write x, where you didn't read."
	if m.Spec().Gap {
		rules += " Two leaves go in one cell: " + reading.LeafAdvice + "."
	}
	if m.Spec().SetUp == reading.OffsetTilt {
		rules = "Read down one lane, then the next. " + rules + " If the gauge moves within a lane, start a new sheet with another pass."
	}
	return rules
}

// BlankTypeIn says how a filled sheet gets into the program.
func BlankTypeIn(m reading.Method, unit string) string {
	return fmt.Sprintf("To type it in: ringtrue sheet NECK --gauge %s --units %s --table READINGS.xlsx, fill in the cells, then ringtrue frets NECK READINGS.xlsx", m, unit)
}

// BlankFields are what is written by hand above the grid.
func BlankFields() []string { return []string{"date", "by", "gauge", "pass"} }

// GridFile says, in Markdown, what a grid of readings is.
func GridFile() string {
	return fmt.Sprintf("Readings by %s may come as a grid too, also pasted from a spreadsheet: a row `fret` and the lanes, then a row per fret. "+
		"Comment lines say what all cells share: `# method = beam` and `# unit = mm` (or `--method`, `--unit`). You may add `# pass = a` (or `--pass`), "+
		"`u`, `turned`, `state`, `by`, `gauge`, `date`, `temperature`, `humidity`. A further grid below, with its own comment lines, may be another pass or gauge. A cell that is empty, `x` or `-` was not read. "+
		"With feelers a cell may name both leaves, `0.10/0.15`: 0.10 enters, 0.15 doesn't (`no_go`). "+
		"`ringtrue sheet NECK` makes a blank one, with `--table FILE.xlsx` as a workbook, which every command takes back as it is: "+
		"the first sheet with a grid is read, formulas by their last result, and faults name sheet and cell.", reading.Join(reading.Gridded(), " or "))
}

// BlankAbout says what a sheet to fill in shows.
func BlankAbout(b reading.Blank) string {
	return fmt.Sprintf("A blank grid for %s readings of %s in %s: a row per fret, a column per lane, the bass side left.", b.Method, b.Neck, unitWord(b.Unit))
}

// BlankPage numbers the pages of a sheet.
func BlankPage(page, of int) string { return fmt.Sprintf("%d of %d", page, of) }
