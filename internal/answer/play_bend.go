package answer

import (
	"context"
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
)

// bends follows every note pushed across the board.
func (p *player) bends(ctx context.Context) error {
	p.answer.Bends = []PlayBend{}
	if len(p.frets()) < 2 {
		return nil // no fret beyond any stop
	}
	b := &play.Board{Layout: p.r.Layout, Cases: p.cases}
	for k, c := range p.cases {
		x, z := p.surface(c.Lane.String - 1)
		a, slope, err := straight.ReferenceLine(x, z)
		if err != nil {
			return err
		}
		b.Lines = append(b.Lines, [2]float64{a, slope})
		b.Rests = append(b.Rests, p.judged[k].Rest)
	}
	bends, err := b.Bends(ctx, p.r.Bend)
	if err != nil {
		return err
	}
	for _, x := range bends {
		p.answer.Bends = append(p.answer.Bends, bendAnswer(x))
	}
	return nil
}

func bendAnswer(x play.Bend) PlayBend {
	a := PlayBend{String: x.String, Fret: x.Fret, PushMM: x.PushMM, Verdict: "clear"}
	if x.OffBoard {
		a.Verdict = "off the board"
		return a
	}
	a.MarginMM, a.ClearMM, a.NearestFret, a.AcrossMM = num.Some(x.Margin.LeastMM), num.Some(x.Own.LeastMM), &x.Own.Nearest, num.Some(x.AcrossMM)
	if x.Own.LeastMM >= 0 {
		return a
	}
	a.Verdict = "strikes"
	if x.FretsOut() {
		a.Verdict = "frets out"
	}
	a.SaveRadiusMM, a.SaveFlat, a.SaveFallMM = num.Some(x.RadiusMM), math.IsInf(x.RadiusMM, 1), num.Some(x.FallMM)
	return a
}
