package drawn

import (
	"fmt"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/sheet"
)

// mostNotes is how many signals are named in a chart.
const mostNotes = 4

// driftSheet draws one answer.
type driftSheet struct{ answer *answer.DriftAnswer }

// Drift draws the charts of an answer; of names what is charted where the answer
// does not.
func Drift(of string, a *answer.DriftAnswer) (*draw.Page, error) {
	t := driftSheet{a}
	if a.Of != "" {
		of = a.Of
	}
	if a.Stage != "" {
		of += ", " + a.Stage
	}
	words := "Steady: nothing to look at."
	if !a.Steady {
		words = fmt.Sprintf("Not steady: %d %s to look at, %d %s of the level.", a.Flagged(), either(a.Flagged(), "point"), len(a.Shifts), either(len(a.Shifts), "step"))
	}
	s := sheet.Drift{Name: of, Words: fmt.Sprintf("%d values. %s", a.Values, words)}
	main := t.control(chartTitle(a.Chart), a.ChartAnswer)
	for _, c := range a.Shifts {
		main.Steps = append(main.Steps, sheet.Step{Place: c.First - a.First, Before: c.Before, After: c.After, Words: c.Date})
	}
	s.Charts = append(s.Charts, main)
	if a.Spread != nil {
		s.Charts = append(s.Charts, t.control("Scatter: "+string(a.Spread.Chart), *a.Spread))
	}
	if e := a.EWMA; e != nil {
		c := t.control(fmt.Sprintf("Moving average, weight %g", e.Lambda), e.ChartAnswer)
		c.Notes = nil // neighbours move together: their names would stand on each other
		s.Charts = append(s.Charts, c)
	}
	if c := a.CUSUM; c != nil {
		s.Charts = append(s.Charts, t.sums(c))
	}
	t.drawParts(&s)
	return s.Page()
}

// mostDrawnParts is how many parts of a split still fit the page.
const mostDrawnParts = 4

// drawParts adds a chart for each part of a split.
func (t driftSheet) drawParts(s *sheet.Drift) {
	drawn, all := 0, 0
	for _, p := range t.answer.Parts {
		if p.Answer == nil {
			continue
		}
		if all++; len(s.Charts) >= mostDrawnParts+1 {
			continue
		}
		drawn++
		c := driftSheet{p.Answer}.control(fmt.Sprintf("%s %s: %d values", t.answer.By, tagOrNone(p.Tag), p.Answer.Values), p.Answer.ChartAnswer)
		c.Axis = t.axis()
		s.Charts = append(s.Charts, c)
	}
	if d := t.answer.PartsDiffer; d != nil {
		words := "do not differ by more than chance"
		if d.P < 0.05 {
			words = "differ by more than chance"
		}
		s.Words += fmt.Sprintf(" By %s they %s (p %s).", t.answer.By, words, probability(d.P))
	}
	if all > drawn {
		s.Words += fmt.Sprintf(" %d of %d parts are drawn.", drawn, all)
	}
}

// chartTitle names a chart for a person.
func chartTitle(kind drift.Kind) string {
	switch kind {
	case "means":
		return "Mean of each group"
	case "proportion":
		return "Share of faulty ones"
	case "count":
		return "How many each time"
	}
	return "Each value"
}

// control turns a chart of the answer into one to draw.
func (t driftSheet) control(title string, c answer.ChartAnswer) sheet.Control {
	out := sheet.Control{
		Title: title, Axis: t.axis(), Counts: t.answer.Chart == "count", First: c.First, Points: c.Points, Centre: &c.Centre,
		Lower: []float64{c.Lower}, Upper: []float64{c.Upper}, Decimals: t.answer.Digits(), Notes: map[int]string{},
	}
	if c.LowerPoints != nil {
		out.Lower, out.Upper = c.LowerPoints, c.UpperPoints
	}
	if c.NoLower {
		out.Lower = nil
	}
	for _, s := range c.Signals.All() {
		out.Flags = append(out.Flags, s.Index-c.First)
	}
	named := lone(out.Flags, len(c.Points))
	for _, s := range c.Signals.All() {
		if place := s.Index - c.First; slices.Contains(named, place) {
			if out.Notes[place] = s.Label; s.Label == "" {
				out.Notes[place] = fmt.Sprint(s.Index)
			}
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
		if (i+1 == len(places) || float64(places[i+1]-p) > room) && len(out) < mostNotes {
			out = append(out, p)
		}
	}
	return out
}

// axis names the values with their unit.
func (t driftSheet) axis() string {
	switch {
	case t.answer.Chart == "proportion":
		return "share of faulty ones"
	case t.answer.Unit != "":
		return "value, " + t.answer.Unit
	}
	return "value"
}

// sums turns cumulative sums into a chart: the lower one drawn downwards.
func (t driftSheet) sums(c *answer.CusumAnswer) sheet.Control {
	zero := 0.0
	out := sheet.Control{
		Title: "Cumulative sums", Axis: t.axis(), First: 1, Points: c.High, Below: make([]float64, len(c.Low)),
		Names: [2]string{"above", "below"}, Centre: &zero, Lower: []float64{-c.Limit}, Upper: []float64{c.Limit}, Decimals: t.answer.Digits(),
	}
	for i, v := range c.Low {
		out.Below[i] = -v
	}
	for _, s := range c.Signals.All() {
		if c.High[s.Index-1] > c.Limit {
			out.Flags = append(out.Flags, s.Index-1)
		} else {
			out.FlagsBelow = append(out.FlagsBelow, s.Index-1)
		}
	}
	return out
}

func either(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func tagOrNone(tag string) string {
	if tag == "" {
		return "(none)"
	}
	return tag
}

// probability writes a small chance.
func probability(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}
