package sheet

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

const tallestMM = 105 // of one chart

// From so many points on marks would touch, and from so many a line through
// each point would be a smear: then the least and the greatest of neighbours
// are drawn.
const (
	maxMarks  = 110
	maxJoined = 700
	maxRings  = 30 // of the farthest points, where more signal
	maxNotes  = 4  // signals named in a chart
	maxParts  = 4  // of a split that still fit the page
)

// Drift draws the control charts of an answer on a page of A4, one under the
// other; of names what is charted where the answer does not.
func Drift(of string, a *answer.DriftAnswer, units Units) (*draw.Page, error) {
	of, words, charts := driftCharts(of, a)
	head := heading{title: of + text.SheetCharts, verdict: text.Steady(a.Steady), mood: moodOf(a.Steady), say: []string{words}}
	return controls(head, charts, units)
}

// driftCharts are the charts of an answer, with a name and words of what was found.
func driftCharts(of string, a *answer.DriftAnswer) (name, words string, charts []*control) {
	if a.Of != "" {
		of = a.Of
	}
	if a.Stage != "" {
		of += ", " + a.Stage
	}
	main := controlOf(chartTitle(a.Kind), a, a.Chart)
	for _, c := range a.Shifts {
		main.Rules = append(main.Rules, rule{At: float64(c.First) - 0.5, Label: c.Date, Upright: true, Dashed: true})
	}
	charts = []*control{main}
	if s := a.Spread; s != nil {
		charts = append(charts, controlOf("Scatter: "+string(s.Kind), a, *s).besides(false))
	}
	if e := a.EWMA; e != nil {
		charts = append(charts, controlOf(fmt.Sprintf("Moving average, weight %g", e.Lambda), a, e.Chart).besides(true))
	}
	if a.CUSUM != nil {
		charts = append(charts, sumsOf(a).besides(true))
	}
	words, drawn, all := text.DriftFound(a.Values, a.Shifts, a.Charts, a.By, a.PartsDiffer), 0, 0
	for _, p := range a.Parts {
		if p.Answer == nil {
			continue
		}
		if all++; len(charts) <= maxParts {
			drawn++
			c := controlOf(fmt.Sprintf("%s %s: %d values", a.By, text.TagValue(p.Tag), p.Answer.Values), p.Answer, p.Answer.Chart)
			c.Y.Label = axisOf(a)
			charts = append(charts, c)
		}
	}
	if all > drawn {
		words += fmt.Sprintf(" %d of %d parts are drawn.", drawn, all)
	}
	return of, words, charts
}

// controls draws control charts under a heading.
func controls(head heading, charts []*control, units Units) (*draw.Page, error) {
	plain, crowded := make([]chart, len(charts)), false
	for i, c := range charts {
		plain[i], crowded = c.numbered(units), crowded || c.crowded
	}
	p, y, err := head.page(a4WideMM, a4HighMM, units,
		fmt.Sprintf("%d control charts of %s, points in order of time with limits. %s", len(charts), head.title, strings.Join(head.say, " ")))
	if err != nil {
		return nil, err
	}
	last := foot{}
	if head.mood != well {
		last.next = text.NextAsk
	}
	const legendMM = 8
	if y, err = column(p, y, plain, legendMM+last.high(p)); err != nil {
		return nil, err
	}
	endAt(p, last, signs(p, edgeMM, y, a4WideMM-2*edgeMM, []legendItem{
		{ringWords(crowded), 4, func(p *draw.Page, x, y float64) { p.Circle(x+2, y, 1.9, ringLook()) }},
		ruleItem(limitWords, true),
	}))
	return p, nil
}

// column draws charts one under the other from y on, leaves room at the page's foot,
// and gives where they end.
func column(p *draw.Page, y float64, charts []chart, footMM float64) (end float64, err error) {
	const apart = 5
	_, h := p.Size()
	room := math.Min(tallestMM, (h-edgeMM-footMM-y)/float64(len(charts)))
	for _, c := range charts {
		if err := c.Draw(p, draw.Box{X: edgeMM, Y: y, W: a4WideMM - 2*edgeMM, H: room - apart}); err != nil {
			return 0, err
		}
		y += room
	}
	return y, nil
}

// endAt draws a foot from y on, and ends the page below it.
func endAt(p *draw.Page, last foot, y float64) { p.SetHeight(last.draw(p, y) + edgeMM) }

// limitWords are what a dashed line is.
const limitWords = "limits, and where the level shifted"

// ringWords are what a ring means.
func ringWords(crowded bool) string {
	words := "a signal: look at this point"
	if crowded {
		words += fmt.Sprintf(" (the %d farthest)", maxRings)
	}
	return words
}

// chartTitle names a chart for a person.
func chartTitle(kind drift.Kind) string {
	switch kind {
	case drift.KindMeans:
		return "Mean of each group"
	case drift.KindProportion:
		return "Share of faulty ones"
	case drift.KindCount:
		return "How many each time"
	}
	return "Each value"
}

// axisOf names the values with their unit.
func axisOf(a *answer.DriftAnswer) string {
	switch {
	case a.Kind == drift.KindProportion:
		return "share of faulty ones"
	case a.Unit != "":
		return "value, " + a.Unit
	}
	return "value"
}

// Names of limits.
const lowerLimit, upperLimit = "lower", "upper"

// control is a control chart while it is laid out.
type control struct {
	chart
	first    int // index of the first point
	centre   float64
	decimals int  // of the limits' names
	crowded  bool // more points signal than are ringed
	row      []float64
	further  bool // it looks at the values in another way than the first
	smooth   bool // neighbours move together: a line through them is no hedge
}

// besides marks a chart that stands behind the first.
func (c *control) besides(smooth bool) *control {
	c.further, c.smooth = true, smooth
	return c
}

// newControl is a chart of n points about a centre.
func newControl(title, values string, first, n int, centre float64, decimals int) *control {
	c := &control{first: first, centre: centre, decimals: decimals}
	c.Title, c.Y.Label = title, values
	c.X = axis{Label: "point, in order of time", Whole: true, Min: float64(first) - 0.5, Max: float64(first+n) - 0.5}
	c.Rules = []rule{{At: centre, Label: "centre"}}
	return c
}

// controlOf is a chart of an answer.
func controlOf(title string, a *answer.DriftAnswer, of drift.Chart) *control {
	c := newControl(title, axisOf(a), of.First, len(of.Points), of.Centre, a.Digits())
	c.Y.Whole = a.Kind == drift.KindCount
	flags := make([]int, len(of.Signals))
	for i, s := range of.Signals {
		flags[i] = s.Index - of.First
	}
	c.points(of.Points, "", flags)
	lowers, uppers := of.Lowers, of.Uppers
	if lowers == nil {
		lowers, uppers = []float64{of.Lower}, []float64{of.Upper}
	}
	if !of.NoLower {
		c.limit(lowerLimit, lowers)
	}
	c.limit(upperLimit, uppers)
	if of.Kind == drift.KindEWMA || len(of.Points) > maxJoined {
		return c // neighbours move together, or no room: names would stand on each other
	}
	for _, place := range lone(flags, len(of.Points)) {
		s := of.Signals[slices.Index(flags, place)]
		if s.Label == "" {
			s.Label = fmt.Sprint(s.Index)
		}
		c.Notes = append(c.Notes, note{X: float64(s.Index), Y: of.Points[place], Text: s.Label})
	}
	return c
}

// sumsOf is the chart of cumulative sums: the lower one drawn downwards.
func sumsOf(a *answer.DriftAnswer) *control {
	sums := a.CUSUM
	c := newControl("Cumulative sums", axisOf(a), 1, len(sums.High), 0, a.Digits())
	var high, low []int
	for _, s := range sums.Signals {
		if sums.High[s.Index-1] > sums.Limit {
			high = append(high, s.Index-1)
		} else {
			low = append(low, s.Index-1)
		}
	}
	below := make([]float64, len(sums.Low))
	for i, v := range sums.Low {
		below[i] = -v
	}
	c.points(sums.High, "above", high)
	c.points(below, "below", low)
	c.limit(lowerLimit, []float64{-sums.Limit})
	c.limit(upperLimit, []float64{sums.Limit})
	return c
}

// numbered is the chart in the shop's unit, centre and limits with their numbers.
func (c *control) numbered(units Units) chart {
	out := c.chart.in(units)
	say := func(name string, v float64) string { return name + " " + length{per: out.Y.per}.say(v, c.decimals) }
	out.Rules, out.Curves = slices.Clone(out.Rules), slices.Clone(out.Curves)
	for i, r := range out.Rules {
		if !r.Upright {
			out.Rules[i].Label = say(r.Label, r.At)
		}
	}
	for i, k := range out.Curves {
		if k.Label == lowerLimit || k.Label == upperLimit {
			out.Curves[i].Label = say(k.Label, k.Y[len(k.Y)-1])
		}
	}
	return out
}

// nameShare is the part of a chart's width that a name takes.
const nameShare = 1.0 / 10

// lone are the first places, in order, that have room for a name before the
// next that signals.
func lone(places []int, points int) []int {
	places = slices.Compact(slices.Sorted(slices.Values(places)))
	room := nameShare * float64(points)
	var out []int
	for i, p := range places {
		if (i+1 == len(places) || float64(places[i+1]-p) > room) && len(out) < maxNotes {
			out = append(out, p)
		}
	}
	return out
}

// limit draws one limit: a straight rule, or a stair where it varies.
func (c *control) limit(name string, limits []float64) {
	if len(limits) == 1 {
		c.Rules = append(c.Rules, rule{At: limits[0], Label: name, Dashed: true})
		return
	}
	curve := curve{Label: name, Joined: true, Colour: draw.Slate}
	for _, i := range thinned(limits, maxJoined) {
		curve.X = append(curve.X, float64(c.first+i)-0.5, float64(c.first+i)+0.5)
		curve.Y = append(curve.Y, limits[i], limits[i])
	}
	c.Curves = append(c.Curves, curve)
}

// points draws a row of points, and rings those that signal, by place from 0.
func (c *control) points(points []float64, name string, flags []int) {
	c.row = points
	k := curve{Label: name, Joined: true}
	if len(points) <= maxMarks {
		k.Mark = disc
	}
	c.crowded = c.crowded || len(flags) > maxRings
	flagged := map[int]bool{}
	for _, f := range c.ringed(points, flags) {
		flagged[f] = true
	}
	for _, i := range thinned(points, maxJoined) {
		if flagged[i] {
			k.Flag = append(k.Flag, len(k.X))
		}
		k.X = append(k.X, float64(c.first+i))
		k.Y = append(k.Y, points[i])
	}
	c.Curves = append(c.Curves, k)
}

// ringed returns the places to ring: all that signal, or, where rings would
// hide the points, the farthest of them.
func (c *control) ringed(points []float64, flags []int) []int {
	if len(flags) <= maxRings {
		return flags
	}
	far := slices.Clone(flags)
	sort.SliceStable(far, func(i, j int) bool {
		return math.Abs(points[far[i]]-c.centre) > math.Abs(points[far[j]]-c.centre)
	})
	return far[:maxRings]
}

// thinned returns the places to draw of a long row of points: all, or the
// least and the greatest of each stretch, so that no far point is lost.
func thinned(points []float64, most int) []int {
	n := len(points)
	var places []int
	if n <= most {
		for i := range n {
			places = append(places, i)
		}
		return places
	}
	stretches := most / 2
	for b := range stretches {
		from, to := b*n/stretches, (b+1)*n/stretches
		least, greatest := from, from
		for i := from; i < to; i++ {
			if points[i] < points[least] {
				least = i
			}
			if points[i] > points[greatest] {
				greatest = i
			}
		}
		places = append(places, min(least, greatest))
		if least != greatest {
			places = append(places, max(least, greatest))
		}
	}
	return places
}
