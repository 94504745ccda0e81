package main

import (
	"math"
	"strconv"
	"strings"
)

// notes are the lines of a readings file.
type notes struct {
	b     strings.Builder
	comma string // between cells
	point string // of decimals
}

func (n *notes) text() string { return n.b.String() }

// say adds comment lines.
func (n *notes) say(lines ...string) {
	for _, l := range lines {
		n.b.WriteString("# " + l + "\n")
	}
}

// row adds a row.
func (n *notes) row(cells ...string) {
	n.b.WriteString(strings.Join(cells, n.comma) + "\n")
}

// num prints a value read to a step, in as many decimals as the step has.
func (n *notes) num(v, step float64) string {
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	v = math.Round(v/step) * step
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, ".", n.point, 1)
}

// whole prints a lane or a fret.
func (n *notes) whole(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), ".", n.point, 1)
}

// three prints the frets of a bridge or a rocker.
func three(f [3]int) string {
	return strconv.Itoa(f[0]) + "-" + strconv.Itoa(f[1]) + "-" + strconv.Itoa(f[2])
}
