package answer

import (
	"context"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
	"ringtrue/internal/tune"
)

// TuneRequest is what `play --tune` is asked: a neck as for Play, and how the
// string is pressed.
type TuneRequest struct {
	PlayRequest
	FingerMM float64 // how far below the crown line the finger presses; 0: just onto the crown
	BehindMM float64 // how far behind the fret; 0: as usual
}

// TuneAnswer is what `play --tune` says of a neck.
type TuneAnswer struct {
	Neck          string              `json:"neck"`
	A4Hz          float64             `json:"a4_hz"`
	ExactFret     int                 `json:"exact_fret"` // the fret that saddle_setback_mm makes exact
	Finger        tune.Finger         `json:"finger"`
	PerfectCrowns bool                `json:"perfect_crowns"`
	AsPlanned     bool                `json:"as_planned"`
	ZeroFret      bool                `json:"zero_fret"` // what is said of the nut holds for fret 0
	Strings       []tune.StringReport `json:"strings"`
	NotJudged     []play.Unjudged     `json:"not_judged"`
	Warnings      []string            `json:"warnings"`
}

// Tune says how far every note lies from equal temperament, and where saddle
// and nut should stand, string by string. Faults as Play's.
func Tune(ctx context.Context, r TuneRequest) (*TuneAnswer, error) {
	n, _, warnings, err := laid(ctx, r.PlayRequest, false)
	if err != nil {
		return nil, err
	}
	finger, err := tune.FingerOn(r.PlayRequest, r.FingerMM, r.BehindMM)
	if err != nil {
		return nil, err
	}
	a := &TuneAnswer{Neck: r.Model.Name, A4Hz: stringset.ConcertA, ExactFret: tune.SetbackFret(r.Layout), Finger: finger, PerfectCrowns: !r.Read,
		AsPlanned: r.Planned, ZeroFret: r.Model.Scale.ZeroFret, Strings: []tune.StringReport{}, Warnings: warnings, NotJudged: []play.Unjudged{}}
	if r.A4Hz > 0 {
		a.A4Hz = r.A4Hz
	}
	for i := range n.Lanes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if why, unset := n.Unset(i + 1); unset {
			a.NotJudged = append(a.NotJudged, why)
			continue
		}
		s, err := tune.Report(n, i+1, finger)
		if err != nil {
			return nil, stringFault(i, err)
		}
		a.Strings = append(a.Strings, s)
	}
	return a, nil
}
