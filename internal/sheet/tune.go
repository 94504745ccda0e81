package sheet

import (
	"fmt"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/text"
	"ringtrue/internal/tune"
)

// Tune draws how far each fret's note lies from equal temperament, a curve a
// string, on a page of A4: no setback, the saddle alone, saddle and nut together.
// Frets too few to place two things leave the last out.
func Tune(s *answer.TuneAnswer, units Units) (*draw.Page, error) {
	head := heading{title: s.Neck + text.SheetTune, say: []string{text.TuneBasis(s.PerfectCrowns, s.AsPlanned, s.Finger, s.A4Hz)}}
	p, y, err := head.page(a4WideMM, a4HighMM, units,
		"Charts of how far each fret's note lies from equal temperament, one curve per string: without setback, with the saddle set back, and with saddle and nut moved.")
	if err != nil {
		return nil, err
	}
	last := foot{next: text.NextSaddle, notes: []string{text.TuneCurves}}
	charts := []chart{
		tuneChart(s, "Saddle and nut on the scale's lines", func(x tune.StringReport) *tune.Best { return &x.None }),
		tuneChart(s, fmt.Sprintf("Saddle set back until fret %d is exact", s.ExactFret), func(x tune.StringReport) *tune.Best { return &x.Exact }),
		tuneChart(s, "Saddle and nut moved, least squares over all frets", func(x tune.StringReport) *tune.Best { return x.Both }),
	}
	charts = slices.DeleteFunc(charts, func(c chart) bool { return len(c.Curves) == 0 })
	y, err = column(p, y, charts, last.high(p))
	if err != nil {
		return nil, err
	}
	endAt(p, last, y)
	return p, nil
}

// tuneMarks tell the curves apart beside colour and dash, which come round
// again after four.
func tuneMarks() [5]mark { return [5]mark{disc, ring, square, cross, wedge} }

func tuneChart(s *answer.TuneAnswer, title string, choice func(tune.StringReport) *tune.Best) chart {
	c := chart{Title: title, X: axis{Label: "fret"}, Y: axis{Label: "cents above equal temperament"}, Rules: []rule{{At: 0}}}
	last := 0
	for i, x := range s.Strings {
		left := choice(x)
		if left == nil {
			continue
		}
		curve := curve{Label: fmt.Sprintf("%d %s", x.String, x.Pitch), Y: left.Cents, Joined: true, Mark: tuneMarks()[i%5]}
		for _, f := range x.Frets {
			curve.X = append(curve.X, float64(f))
			last = max(last, f)
		}
		c.Curves = append(c.Curves, curve)
	}
	c.X.Min, c.X.Max = 0, float64(last)+0.5
	for f := 1; f <= last; f++ {
		if f == 1 || f%2 == 0 {
			c.X.Ticks = append(c.X.Ticks, tick{At: float64(f), Label: fmt.Sprint(f)})
		}
	}
	return c
}
