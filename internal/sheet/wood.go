package sheet

import (
	"fmt"

	"ringtrue/internal/draw"
	"ringtrue/internal/wood"
)

// Wood is a board's moisture over days in the shop and its width over a year.
type Wood struct {
	Name      string
	Species   string
	AirPct    float64 // where the shop's air brings wood
	WithinPct float64 // how near counts as ready
	Days      []float64
	Moisture  [][3]float64 // per cent at each day: fastest, likely, slowest
	Year      []wood.Week
	WidthMM   float64
	Air       string // the air of shop and season, in words
}

// woodPage is the page's size in mm: A4 upright.
const woodWidthMM, woodHeightMM = 210, 297

// Page draws the two charts on a page of A4.
func (s Wood) Page() (*draw.Page, error) {
	p, err := draw.New(woodWidthMM, woodHeightMM, s.Name+": moisture and width of the board")
	if err != nil {
		return nil, err
	}
	p.About(fmt.Sprintf("Two charts of a %s board: its mean moisture over days in the shop, and how much wider or narrower it is through a year.", s.Species))
	p.Text(15, 20, s.Name+": "+s.Species+" board", draw.Type{SizePt: 14, Bold: true})
	p.Text(15, 26, s.Air, draw.Type{SizePt: 9, Colour: draw.Slate})
	if err := s.drying().Draw(p, draw.Box{X: 15, Y: 32, W: 180, H: 115}); err != nil {
		return nil, err
	}
	if err := s.year().Draw(p, draw.Box{X: 15, Y: 155, W: 180, H: 115}); err != nil {
		return nil, err
	}
	foot := "Diffusion across the grain is known to a factor of thirty only, and a year of weather is no even swing: read these as a range, and trust a moisture meter."
	for i, line := range p.Wrap(foot, draw.Type{SizePt: 8, Colour: draw.Slate}, 180) {
		p.Text(15, 280+float64(i)*4, line, draw.Type{SizePt: 8, Colour: draw.Slate})
	}
	return p, nil
}

func (s Wood) drying() Chart {
	curves := make([]Curve, 3)
	for i, name := range []string{"fastest", "likely", "slowest"} {
		curves[i] = Curve{Label: name, X: s.Days, Joined: true}
		for _, m := range s.Moisture {
			curves[i].Y = append(curves[i].Y, m[i])
		}
	}
	return Chart{
		Title: "In the shop's air", X: Axis{Label: "days"}, Y: Axis{Label: "mean moisture, %"},
		Bands:  []Band{{From: s.AirPct - s.WithinPct, To: s.AirPct + s.WithinPct, Label: "ready"}},
		Rules:  []Rule{{At: s.AirPct, Dashed: true}},
		Curves: curves,
	}
}

func (s Wood) year() Chart {
	at := func(pick func(wood.Week) float64) (x, y []float64) {
		for _, w := range s.Year {
			x, y = append(x, float64(w.Week)), append(y, pick(w))
		}
		return x, y
	}
	c := Chart{
		Title: fmt.Sprintf("Through a year, %.4g mm wide now", s.WidthMM), X: Axis{Label: "weeks from the driest", Min: 0, Max: 52,
			Ticks: []Tick{{0, "driest"}, {13, "13"}, {26, "dampest"}, {39, "39"}, {52, "driest"}}},
		Y:     Axis{Label: "change in width, mm"},
		Rules: []Rule{{At: 0}},
	}
	for _, k := range []struct {
		name string
		pick func(wood.Week) float64
	}{
		{"at once", func(w wood.Week) float64 { return w.Air }},
		{"likely", func(w wood.Week) float64 { return w.Likely }},
		{"slowest", func(w wood.Week) float64 { return w.Slowest }},
	} {
		x, y := at(k.pick)
		c.Curves = append(c.Curves, Curve{Label: k.name, X: x, Y: y, Joined: true})
	}
	return c
}
