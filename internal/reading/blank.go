package reading

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Said is what is said of a whole grid outside its file; empty where nothing is.
type Said struct{ Method, Unit, Pass string }

// remarks are the comment lines that say the same.
func (s Said) remarks() (all []table.Remark) {
	for _, r := range []table.Remark{{Key: colMethod.name(), Text: s.Method}, {Key: colUnit.name(), Text: s.Unit}, {Key: colPass.name(), Text: s.Pass}} {
		if r.Text = strings.TrimSpace(r.Text); r.Text != "" {
			all = append(all, r)
		}
	}
	return all
}

// IsGrid says whether a readings file is a grid.
func IsGrid(data []byte) bool { return table.IsGrid(data, gridSchema()) }

// Complete adds to a grid's file, at its end, the comment lines that it lacks:
// every line keeps its number. A grid that says otherwise is a fileerr.List.
func Complete(file string, data []byte, said Said) ([]byte, error) {
	var faults fileerr.List
	out := bytes.Clone(data)
	if bytes.IndexByte(out, '\n') < 0 {
		out = bytes.ReplaceAll(out, []byte("\r"), []byte("\n"))
	}
	inFile := table.Remarks(out, gridKeys())
	for _, r := range said.remarks() {
		at := slices.IndexFunc(inFile, func(o table.Remark) bool { return o.Key == r.Key && !same(o, r) })
		known := slices.ContainsFunc(inFile, func(o table.Remark) bool { return o.Key == r.Key })
		switch {
		case strings.ContainsFunc(r.Text, unicode.IsControl):
			faults.Add(file, 0, r.Key, "%s has a control character", unit.Quote(r.Text))
		case !known:
			if !bytes.HasSuffix(out, []byte("\n")) {
				out = append(out, '\n')
			}
			out = append(out, "# "+r.Key+" = "+r.Text+"\n"...)
		case at >= 0:
			o := inFile[at]
			faults.Add(file, o.Line, r.Key, "is %s here, but you gave %s; keep one", unit.Quote(o.Text), unit.Quote(r.Text))
		}
	}
	return out, faults.Err()
}

// Lacking names what a grid's comment lines and said leave out, of what each of its
// readings needs; nothing of a file that is no grid.
func Lacking(data []byte, said Said) (keys []string) {
	if !IsGrid(data) {
		return nil
	}
	known := append(table.Remarks(data, gridKeys()), said.remarks()...)
	for _, c := range []column{colMethod, colUnit} {
		if !slices.ContainsFunc(known, func(r table.Remark) bool { return r.Key == c.name() }) {
			keys = append(keys, c.name())
		}
	}
	return keys
}

// same says whether two comment lines of a key agree: a pass is named to the letter.
func same(a, b table.Remark) bool {
	return a.Text == b.Text || a.Key != colPass.name() && strings.EqualFold(a.Text, b.Text)
}

// Blank is a grid to fill in.
type Blank struct {
	Neck   string // its name, for a comment
	Method Method
	Unit   string // mm or in
	Bounds Bounds
}

// Frets are the frets of a blank grid, a row each.
func (b Blank) Frets() (frets []int) {
	for f := b.Bounds.FirstFret; f <= b.Bounds.LastFret; f++ {
		frets = append(frets, f)
	}
	return frets
}

// Lanes are the lanes of a blank grid, a column each: bass side left, as in the
// listings and as the neck lies.
func (b Blank) Lanes() (lanes []int) {
	for lane := b.Bounds.Strings; lane > 0; lane-- {
		lanes = append(lanes, lane)
	}
	return lanes
}

// Remark is a comment line of a blank grid: an advice, or a key and what it says,
// which may still be empty.
type Remark struct{ Advice, Key, Text string }

// Remarks are the comment lines above a blank grid.
func (b Blank) Remarks() []Remark {
	advice := "one number per crown; leave a cell empty, or write x, where you didn't read"
	all := []Remark{{Advice: "for " + oneLine(b.Neck) + ": " + advice}}
	if b.Method.Spec().Gap {
		all = append(all, Remark{Advice: LeafAdvice})
	}
	all = append(all,
		Remark{Advice: fmt.Sprintf("lane %d, left, is the bass side; lane 1, right, the treble side", b.Bounds.Strings)},
		Remark{Key: colMethod.name(), Text: string(b.Method)}, Remark{Key: colUnit.name(), Text: b.Unit})
	for _, c := range []column{colPass, colDate, colBy, colGauge} {
		all = append(all, Remark{Key: c.name()})
	}
	return all
}

// LeafAdvice says how a cell of a grid names both leaves of a feeler gauge.
const LeafAdvice = "reading/no-go in one cell, such as 0.10/0.15: the 0.10 leaf enters, the 0.15 leaf doesn't"

// RowHead is the first cell of a grid.
func RowHead() string { return colFret.name() }

// WriteBlank writes a grid to fill in, which Parse reads once it has a number. It
// returns w's error.
func WriteBlank(w io.Writer, b Blank) error {
	var out strings.Builder
	for _, r := range b.Remarks() {
		if r.Key == "" {
			fmt.Fprintf(&out, "# %s\n", r.Advice)
			continue
		}
		out.WriteString(strings.TrimSpace("# "+r.Key+" = "+r.Text) + "\n")
	}
	out.WriteString(RowHead())
	for _, lane := range b.Lanes() {
		fmt.Fprintf(&out, ",%d", lane)
	}
	for _, f := range b.Frets() {
		fmt.Fprintf(&out, "\n%d%s", f, strings.Repeat(",", b.Bounds.Strings))
	}
	out.WriteString("\n")
	_, err := io.WriteString(w, out.String())
	return err
}

// oneLine is a text without what would end a line.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsControl(r) || r == ' ' }), " ")
}
