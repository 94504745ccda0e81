package cli

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"slices"

	"github.com/spf13/cobra"

	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// unitsVariable names the unit of answers where --units does not.
const unitsVariable = "RINGTRUE_UNITS"

// unitsFlag adds --units to all commands: what answers, pictures and sheets are in.
func (s *streams) unitsFlag(root *cobra.Command) {
	root.PersistentFlags().StringVar(&s.units, "units", "", "answer in mm or in (default $"+unitsVariable+", the shop file, or mm)")
}

// settleUnits finds the unit of answers: --units, RINGTRUE_UNITS, the shop file's. A
// listing in inches is turned as it is written; JSON and files stay in mm.
func (s *streams) settleUnits(c *cobra.Command) error {
	switch c.Name() {
	case "words", "version", "completion", "help":
		return nil // a shop file with a fault need not be mended for these
	}
	name, from := s.units, "--units"
	if name == "" {
		name, from = os.Getenv(unitsVariable), unitsVariable
	}
	switch name {
	case "mm", "um", "µm":
	case "in", "thou":
		s.inches = true
	case "":
		book := ""
		if f := c.Flags().Lookup("book"); f != nil {
			book = f.Value.String()
		}
		shop, _, err := s.shopFile(book)
		if err != nil {
			return err
		}
		s.inches = shop.Inches
	default:
		return inputErrorf("%s: no such unit %s; use mm or in", from, unit.Quote(name))
	}
	json := c.Flags().Lookup("json")
	if s.inches && answers(c) && (json == nil || json.Value.String() != "true") {
		s.out = &inchWriter{out: s.out}
	}
	return nil
}

// answers tells a command that answers in words from one that writes files, or
// words about files.
func answers(c *cobra.Command) bool {
	switch c.Name() {
	case "sheet", "new", "bench":
		return false
	}
	return true
}

// inchWriter turns lines of a listing into inches. Where lines are broken or laid
// out in columns, wrap and table have done so before.
type inchWriter struct {
	out  io.Writer
	rest []byte // of a line that is not at its end
}

// Write takes text in mm and hands on whole lines.
func (w *inchWriter) Write(p []byte) (int, error) {
	w.rest = append(w.rest, p...)
	for {
		line, rest, whole := bytes.Cut(w.rest, []byte("\n"))
		if !whole {
			return len(p), nil
		}
		if _, err := io.WriteString(w.out, text.Inches(string(line))+"\n"); err != nil {
			return 0, err
		}
		w.rest = rest
	}
}

// inInches reports whether what is written comes out in inches.
func inInches(w io.Writer) bool {
	_, in := w.(*inchWriter)
	return in
}

// inchTable turns the columns whose headers end in a unit; a column of ± takes the
// unit of the one before it.
func inchTable(rows [][]string) [][]string {
	out := make([][]string, len(rows))
	for i := range rows {
		out[i] = append([]string(nil), rows[i]...)
	}
	for from := 0; from < len(rows[0]); {
		to := from + 1
		for to < len(rows[0]) && rows[0][to] == "±" {
			to++
		}
		var cells []string
		for _, r := range rows[1:] {
			cells = append(cells, r[from:to]...)
		}
		if head, turned, ok := text.InchColumn(rows[0][from], cells); ok {
			out[0][from] = head
			for i := range rows[1:] {
				copy(out[i+1][from:to], turned[i*(to-from):])
			}
		}
		from = to
	}
	return out
}

// lengthTable prints a table under a heading that says mm, or µm, for the columns of these
// headers.
func lengthTable(w io.Writer, heading string, rows [][]string, headers ...string) {
	if inInches(w) {
		heading, rows = lengthsInInches(heading, rows, headers)
	}
	fmt.Fprintln(w, heading)
	table(w, rows)
}

// lengthsInInches turns columns, all into one unit, which takes the place of mm in
// the heading.
func lengthsInInches(heading string, rows [][]string, headers []string) (string, [][]string) {
	out := [][]string{rows[0]}
	var cells []string
	for _, r := range rows[1:] {
		out = append(out, slices.Clone(r))
		for k, c := range r {
			if slices.Contains(headers, rows[0][k]) {
				cells = append(cells, c)
			}
		}
	}
	said := regexp.MustCompile(`\bmm\b|µm\b`)
	own := said.FindString(heading)
	name, turned, ok := text.InchColumn(own, cells)
	if !ok {
		return heading, rows // of another unit
	}
	for i, r := range out[1:] {
		for k := range r {
			if slices.Contains(headers, rows[0][k]) {
				out[i+1][k], turned = turned[0], turned[1:]
			}
		}
	}
	return said.ReplaceAllString(heading, name), out
}

// heightUnit is the unit that small heights are shown in.
type heightUnit struct {
	name  string  // µm, or thou for thousandths of an inch
	perMM float64 // so many of it in a millimetre
	digit int     // decimals worth printing
	sheet sheet.Units
}

func heightUnitOf(inches bool) heightUnit {
	if inches {
		return heightUnit{"thou", 1000 / unit.MMPerInch, 1, sheet.Thousandths}
	}
	return heightUnit{"µm", 1000, 0, sheet.Micrometres}
}

// sheetUnits is the unit of pictures.
func (s *streams) sheetUnits() sheet.Units { return heightUnitOf(s.inches).sheet }

// signed prints a height with its sign.
func (u heightUnit) signed(mm float64) string {
	v := u.round(mm)
	if v == 0 {
		return "0"
	}
	return fmt.Sprintf("%+.*f", u.digit, v)
}

// plain prints a height without a plus.
func (u heightUnit) plain(mm float64) string {
	return fmt.Sprintf("%.*f", u.digit, u.round(mm))
}

// round rounds to the digits printed, so that no −0 is shown.
func (u heightUnit) round(mm float64) float64 {
	p := math.Pow(10, float64(u.digit))
	return math.Round(mm*u.perMM*p)/p + 0
}
