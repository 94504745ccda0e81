package sheet

import (
	"fmt"
	"math"
	"sort"

	"ringtrue/internal/draw"
)

// Drift is a sheet of control charts, one under the other.
type Drift struct {
	Name   string // of the figure that is charted
	Words  string // what was found, in a line
	Charts []Control
}

// Control is one control chart. Places count from 0, indices from First.
type Control struct {
	Title, Axis   string // Axis names the value with its unit
	First         int
	Points, Below []float64 // Below: a second row of points, such as the lower of two sums
	Names         [2]string // of Points and Below
	Centre        *float64
	Lower, Upper  []float64 // one for all points, or one each; nil for none
	Flags         []int     // places of points that signal
	FlagsBelow    []int     // of Below
	Notes         map[int]string
	Steps         []Step
	Counts        bool // the values are counts
	Decimals      int  // of the limits' names
}

// Step is a step of the level, at the first point of the new one.
type Step struct {
	Place         int
	Before, After float64
	Words         string
}

// Sizes of the sheet in mm: A4 upright.
const (
	driftWidthMM, driftHeightMM = 210, 297
	driftEdgeMM                 = 15
	driftTallestMM              = 105 // of one chart
)

// From so many points on marks would touch, and from so many a line through
// each point would be a smear: then the least and the greatest of neighbours
// are drawn.
const (
	mostMarks  = 110
	mostJoined = 700
	mostRings  = 30 // of the farthest points, where more signal
)

// Page draws the charts on a page of A4.
func (s Drift) Page() (*draw.Page, error) {
	p, err := draw.New(driftWidthMM, driftHeightMM, s.Name+": control charts")
	if err != nil {
		return nil, err
	}
	p.About(fmt.Sprintf("%d control charts of %s, points in order of time with limits. %s", len(s.Charts), s.Name, s.Words))
	width := float64(driftWidthMM - 2*driftEdgeMM)
	p.Text(driftEdgeMM, 20, p.Clip(s.Name, draw.Type{SizePt: 14, Bold: true}, width), draw.Type{SizePt: 14, Bold: true})
	y := 26.0
	small := draw.Type{SizePt: 9, Colour: draw.Slate}
	for _, line := range p.Wrap(s.Words, small, width) {
		p.Text(driftEdgeMM, y, line, small)
		y += small.LineMM()
	}
	y += 2
	room := math.Min(driftTallestMM, (driftHeightMM-driftEdgeMM-8-y)/float64(max(1, len(s.Charts))))
	for _, c := range s.Charts {
		if err := c.chart().Draw(p, draw.Box{X: driftEdgeMM, Y: y, W: width, H: room - 5}); err != nil {
			return nil, err
		}
		y += room
	}
	s.legend(p, y+1)
	p.SetHeight(math.Min(driftHeightMM, y+driftEdgeMM))
	return p, nil
}

// legend says what a ring and a dashed line mean.
func (s Drift) legend(p *draw.Page, y float64) {
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	x := float64(driftEdgeMM)
	p.Circle(x+2, y, 1.9, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.4}})
	words := "a point that calls for a look"
	for _, c := range s.Charts {
		if max(len(c.Flags), len(c.FlagsBelow)) > mostRings {
			words += fmt.Sprintf(" (the %d farthest)", mostRings)
			break
		}
	}
	p.Text(x+6, y, words, set)
	x += 6 + p.Width(words, set) + 8
	p.Line(x, y, x+7, y, draw.Pen{Colour: draw.Slate, WidthMM: 0.3, DashMM: []float64{1.6, 1}})
	p.Text(x+9, y, "limits, and steps of the level", set)
}

// chart turns a control chart into a plain chart.
func (c Control) chart() Chart {
	n := len(c.Points)
	out := Chart{Title: c.Title, X: Axis{Label: "number, in order of time", Whole: true}, Y: Axis{Label: c.Axis, Whole: c.Counts}}
	out.X.Min, out.X.Max = float64(c.First)-0.5, float64(c.First+n)-0.5
	if c.Centre != nil {
		out.Rules = append(out.Rules, Rule{At: *c.Centre, Label: "centre " + number(*c.Centre, c.Decimals)})
	}
	c.curve(&out, c.Points, c.Names[0], c.Flags)
	if c.Below != nil {
		c.curve(&out, c.Below, c.Names[1], c.FlagsBelow)
	}
	c.limit(&out, "lower", c.Lower)
	c.limit(&out, "upper", c.Upper)
	c.steps(&out)
	if n > mostJoined {
		return out // no room for words
	}
	places := make([]int, 0, len(c.Notes))
	for place := range c.Notes {
		places = append(places, place)
	}
	sort.Ints(places)
	for _, place := range places {
		out.Notes = append(out.Notes, Note{X: c.at(place), Y: c.Points[place], Text: c.Notes[place]})
	}
	return out
}

func (c Control) at(place int) float64 { return float64(c.First + place) }

// limit draws one limit: a straight rule, or a stair where it varies.
func (c Control) limit(out *Chart, name string, limits []float64) {
	if len(limits) == 0 {
		return
	}
	last := limits[len(limits)-1]
	label := name + " " + number(last, c.Decimals)
	if len(limits) == 1 {
		out.Rules = append(out.Rules, Rule{At: last, Label: label, Dashed: true})
		return
	}
	curve := Curve{Label: label, Joined: true, Colour: draw.Slate}
	for _, i := range thinned(limits, mostJoined) {
		curve.X = append(curve.X, c.at(i)-0.5, c.at(i)+0.5)
		curve.Y = append(curve.Y, limits[i], limits[i])
	}
	out.Curves = append(out.Curves, curve)
}

// curve draws the points.
func (c Control) curve(out *Chart, points []float64, name string, flags []int) {
	k := Curve{Label: name, Joined: true}
	if len(points) <= mostMarks {
		k.Mark = Disc
	}
	flagged := map[int]bool{}
	for _, f := range c.ringed(points, flags) {
		flagged[f] = true
	}
	for _, i := range thinned(points, mostJoined) {
		if flagged[i] {
			k.Flag = append(k.Flag, len(k.X))
		}
		k.X = append(k.X, c.at(i))
		k.Y = append(k.Y, points[i])
	}
	out.Curves = append(out.Curves, k)
}

// ringed returns the places to ring: all that signal, or, where rings would
// hide the points, the farthest of them.
func (c Control) ringed(points []float64, flags []int) []int {
	if len(flags) <= mostRings {
		return flags
	}
	middle := 0.0
	if c.Centre != nil {
		middle = *c.Centre
	}
	far := append([]int(nil), flags...)
	sort.SliceStable(far, func(i, j int) bool {
		return math.Abs(points[far[i]]-middle) > math.Abs(points[far[j]]-middle)
	})
	return far[:mostRings]
}

// steps draws the level before and after each step.
func (c Control) steps(out *Chart) {
	for _, s := range c.Steps {
		out.Rules = append(out.Rules, Rule{At: c.at(s.Place) - 0.5, Label: s.Words, Upright: true, Dashed: true})
	}
}

// thinned returns the places to draw of a long row of points: all, or the
// least and the greatest of each stretch, so that no far point is lost.
func thinned(points []float64, most int) []int {
	n := len(points)
	if n <= most {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	var places []int
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
