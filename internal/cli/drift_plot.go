package cli

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/drift"
)

// Size of the plain-text chart: rows of values, and columns left for points
// beside a scale of so many characters.
const (
	plotRows  = 13
	plotScale = 10
	plotWidth = lineWidth - plotScale - 3
)

// plot is a control chart in plain text: o a point, X one that signals, - a
// limit, . the centre.
type plot struct {
	chart  *drift.Chart
	digits int
	flag   map[int]bool // indices that signal
	lo, hi float64
	cells  [][]rune // by row, the top one first
	per    int      // points a column, 1 or more
	step   int      // columns a point, 1 or more
}

// printPlot draws a chart in plain text. A long series shows several points in
// one column.
func printPlot(w io.Writer, c *drift.Chart, digits int) {
	p := plot{chart: c, digits: digits, flag: map[int]bool{}, per: 1, step: 1}
	n := len(c.Points)
	for _, s := range c.Signals {
		// Where points share a column, runs would mark every one: there only
		// points beyond the limits stand out.
		if n <= plotWidth || s.Rule == drift.Beyond3.String() {
			p.flag[s.Index] = true
		}
	}
	if n > plotWidth {
		p.per = (n + plotWidth - 1) / plotWidth
	} else {
		p.step = max(1, min(4, plotWidth/n))
	}
	p.span()
	if !(p.hi > p.lo) {
		return // nothing moves: there is no picture to draw
	}
	p.draw()
	p.print(w)
}

// span finds the values that the chart spans.
func (p *plot) span() {
	p.lo, p.hi = math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			p.lo, p.hi = math.Min(p.lo, v), math.Max(p.hi, v)
		}
	}
	for i, v := range p.chart.Points {
		take(v)
		lower, upper := p.limits(i)
		take(lower)
		take(upper)
	}
	take(p.chart.Centre)
}

// limits are those of the point at place i, from 0.
func (p *plot) limits(i int) (lower, upper float64) {
	lower, upper = p.chart.LimitsAt(i)
	if p.chart.NoLower {
		lower = math.NaN()
	}
	return lower, upper
}

func (p *plot) row(v float64) int {
	return int(math.Round((p.hi - v) / (p.hi - p.lo) * (plotRows - 1)))
}

func (p *plot) columns() int {
	n := len(p.chart.Points)
	return ((n+p.per-1)/p.per-1)*p.step + 1
}

func (p *plot) draw() {
	p.cells = make([][]rune, plotRows)
	for i := range p.cells {
		p.cells[i] = []rune(strings.Repeat(" ", p.columns()))
	}
	put := func(v float64, column int, mark rune, over string) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return
		}
		if at := &p.cells[p.row(v)][column]; strings.ContainsRune(over, *at) {
			*at = mark
		}
	}
	for column := range p.columns() {
		i := min(column/p.step*p.per, len(p.chart.Points)-1)
		lower, upper := p.limits(i)
		put(p.chart.Centre, column, '.', " ")
		put(lower, column, '-', " .")
		put(upper, column, '-', " .")
	}
	for i, v := range p.chart.Points {
		mark, over := 'o', " .-"
		if p.flag[p.chart.First+i] {
			mark, over = 'X', " .-o"
		}
		put(v, i/p.per*p.step, mark, over)
	}
}

func (p *plot) print(w io.Writer) {
	label := map[int]string{}
	for _, v := range []float64{p.hi, p.lo, p.chart.Centre, p.chart.Lower, p.chart.Upper} {
		if !math.IsNaN(v) && !math.IsInf(v, 0) && v >= p.lo && v <= p.hi {
			label[p.row(v)] = fmt.Sprintf("%.*f", p.digits, v+0)
		}
	}
	for i, cells := range p.cells {
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%*s |%s", plotScale, label[i], string(cells)), " "))
	}
	p.foot(w)
}

// foot numbers the columns.
func (p *plot) foot(w io.Writer) {
	first, last := fmt.Sprint(p.chart.First), fmt.Sprint(p.chart.First+len(p.chart.Points)-1)
	gap := p.columns() - utf8.RuneCountInString(first) - utf8.RuneCountInString(last)
	line := first
	if gap > 0 {
		line += strings.Repeat(" ", gap) + last
	}
	fmt.Fprintf(w, "%*s  %s\n", plotScale, "", line)
}
