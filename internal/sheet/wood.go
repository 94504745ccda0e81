package sheet

import (
	"fmt"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/wood"
)

// woodPage is the page's size in mm: A4 upright.
const woodWidthMM, woodHeightMM = 210, 297

// Wood draws a board's moisture over days in the shop and its width over a year
// on a page of A4. The answer must have its curves.
func Wood(a *answer.WoodAnswer, units Units) (*draw.Page, error) {
	p, err := newPage(woodWidthMM, woodHeightMM, a.Neck+": moisture and width of the board", units)
	if err != nil {
		return nil, err
	}
	p.About(fmt.Sprintf("Two charts of a %s board: its mean moisture over days in the shop, and how much wider or narrower it is through a year.", a.Board.Name))
	p.Text(15, 20, a.Neck+": "+a.Board.Name+" board", draw.Type{SizePt: 14, Bold: true})
	air := fmt.Sprintf("%.0f °C; the shop at %.0f %%, the seasons from %.0f to %.0f %% humidity", a.Air.TempC, a.Air.HumidityPct, a.Air.DriestPct, a.Air.DampestPct)
	p.Text(15, 26, air, draw.Type{SizePt: 9, Colour: draw.Slate})
	if err := drying(a).Draw(p, draw.Box{X: 15, Y: 32, W: 180, H: 115}); err != nil {
		return nil, err
	}
	if err := yearOfWidth(a).in(units).Draw(p, draw.Box{X: 15, Y: 155, W: 180, H: 115}); err != nil {
		return nil, err
	}
	foot := "Diffusion across the grain is known to a factor of thirty only, and a year of weather is no even swing: read these as a range, and trust a moisture meter."
	for i, line := range p.Wrap(foot, draw.Type{SizePt: 8, Colour: draw.Slate}, 180) {
		p.Text(15, 280+float64(i)*4, line, draw.Type{SizePt: 8, Colour: draw.Slate})
	}
	return p, nil
}

func drying(a *answer.WoodAnswer) chart {
	curves := []curve{{Label: "fastest", Joined: true}, {Label: "likely", Joined: true}, {Label: "slowest", Joined: true}}
	for _, d := range a.Curves.Days {
		for i, pct := range []float64{d.FastestPct, d.LikelyPct, d.SlowestPct} {
			curves[i].X, curves[i].Y = append(curves[i].X, d.Day), append(curves[i].Y, pct)
		}
	}
	return chart{
		Title: "In the shop's air", X: axis{Label: "days"}, Y: axis{Label: "mean moisture, %"},
		Bands:  []band{{From: a.MoisturePct - wood.ReadyWithinPct, To: a.MoisturePct + wood.ReadyWithinPct, Label: "ready"}},
		Rules:  []rule{{At: a.MoisturePct, Dashed: true}},
		Curves: curves,
	}
}

func yearOfWidth(a *answer.WoodAnswer) chart {
	curves := []curve{{Label: "at once", Joined: true}, {Label: "likely", Joined: true}, {Label: "slowest", Joined: true}}
	for _, w := range a.Curves.Year {
		for i, mm := range []float64{w.Air, w.Likely, w.Slowest} {
			curves[i].X, curves[i].Y = append(curves[i].X, float64(w.Week)), append(curves[i].Y, mm)
		}
	}
	return chart{
		Title: fmt.Sprintf("Through a year, %.4g mm wide now", a.BoardWidthMM), X: axis{Label: "weeks from the driest", Min: 0, Max: 52,
			Ticks: []tick{{0, "driest"}, {13, "13"}, {26, "dampest"}, {39, "39"}, {52, "driest"}}},
		Y:     axis{Label: "change in width, mm"},
		Rules: []rule{{At: 0}}, Curves: curves,
	}
}
