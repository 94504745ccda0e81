package sheet

import (
	"fmt"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/text"
	"ringtrue/internal/wood"
)

// Wood draws a board's moisture over days in the shop and its width over a year
// on a page of A4. The answer must have its curves.
func Wood(a *answer.WoodAnswer, units Units) (*draw.Page, error) {
	air := fmt.Sprintf("%.0f °C; the shop at %.0f %%, the seasons from %.0f to %.0f %% humidity", a.Air.TempC, a.Air.HumidityPct, a.Air.DriestPct, a.Air.DampestPct)
	head := heading{title: a.Neck + ": " + a.Board.Name + " board", say: []string{air}}.of(text.WoodReady(a.Ready), moodOf(a.Ready))
	p, y, err := head.page(a4WideMM, a4HighMM, units,
		fmt.Sprintf("Two charts of a %s board: its mean moisture over days in the shop, and how much wider or narrower it is through a year.", a.Board.Name))
	if err != nil {
		return nil, err
	}
	last := foot{next: text.NextSlot, notes: []string{text.WoodRange}}
	if !a.Ready {
		last.next = text.NextWait
	}
	if y, err = column(p, y, []chart{drying(a), yearOfWidth(a).in(units)}, last.high(p)); err != nil {
		return nil, err
	}
	endAt(p, last, y)
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
