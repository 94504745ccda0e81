package answer

import (
	"context"
	"fmt"
	"math"

	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
	"ringtrue/internal/tune"
)

// TuneRequest is what `play --tune` is asked: a neck as for Play, and how the
// string is pressed.
type TuneRequest struct {
	PlayRequest
	FingerMM float64 // how far below the crown line the finger presses; 0: just onto the crown
	BehindMM float64 // how far behind the fret; 0: FingerBehindMM, less where the frets stand close
}

// FingerBehindMM is where a finger presses behind a fret unless told otherwise.
const FingerBehindMM = 8.0

// closeShare is the share of the closest fret spacing that a finger not placed
// by the maker stays within.
const closeShare = 2.0 / 3

// tellingMM is the depth of pressing whose effect every answer tells.
const tellingMM = 0.3

// Tune says how far every note lies from equal temperament, and where saddle
// and nut should stand, string by string. Faults as Play's.
func Tune(ctx context.Context, r TuneRequest) (*TuneAnswer, error) {
	p := &player{r: r.PlayRequest, answer: &PlayAnswer{NotJudged: []NotJudged{}, Warnings: []string{}}}
	if err := p.check(); err != nil {
		return nil, err
	}
	var err error
	if p.strings, err = p.tuned(); err != nil {
		return nil, err
	}
	if err := p.readLanes(ctx); err != nil {
		return nil, err
	}
	if r.BehindMM == 0 {
		gap, _ := p.closest()
		r.BehindMM = math.Min(FingerBehindMM, closeShare*gap)
	}
	if err := p.checkFinger(r); err != nil {
		return nil, err
	}
	a := &TuneAnswer{Neck: r.Model.Name, A4Hz: stringset.ConcertA, ExactFret: tune.SetbackFret(r.Layout),
		Finger: tune.Finger{DepthMM: r.FingerMM, BehindMM: r.BehindMM}, PerfectCrowns: !r.Read, AsPlanned: r.Planned,
		ZeroFret: r.Model.Scale.ZeroFret, Strings: []TuneString{}, Warnings: p.answer.Warnings, NotJudged: []NotJudged{}}
	if r.A4Hz > 0 {
		a.A4Hz = r.A4Hz
	}
	for i := range p.lanes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if why := p.lanes[i].why; why != "" {
			a.NotJudged = append(a.NotJudged, NotJudged{String: i + 1, Frets: p.stopNumbers(), Why: why})
			continue
		}
		s, err := p.tuneString(i, r, a.ExactFret)
		if err != nil {
			return nil, stringFault(i, err)
		}
		a.Strings = append(a.Strings, *s)
	}
	return a, nil
}

// closest is the least distance between two frets of any lane, and the higher
// of the two.
func (p *player) closest() (mm float64, fret int) {
	mm = math.Inf(1)
	for i := range p.lanes {
		for f := 1; f <= p.r.Layout.LastFret(); f++ {
			lane := float64(i + 1)
			if d := p.r.Layout.LaneX(f, lane) - p.r.Layout.LaneX(f-1, lane); d < mm {
				mm, fret = d, f
			}
		}
	}
	return mm, fret
}

// checkFinger refuses a finger that stands before the fret below, or presses the
// string into the board.
func (p *player) checkFinger(r TuneRequest) error {
	if gap, fret := p.closest(); !(r.BehindMM > 0 && r.BehindMM < gap) {
		return fmt.Errorf("a finger %.4g mm behind the fret stands on or before the next one down: fret %d lies %.4g mm from fret %d", r.BehindMM, fret, gap, fret-1)
	}
	if high := r.Model.Wire.CrownHeight; !(r.FingerMM >= 0 && r.FingerMM <= high) {
		return fmt.Errorf("a finger %.4g mm below the crowns presses into the board: the crowns stand %.4g mm high", r.FingerMM, high)
	}
	return nil
}

// tuneString places saddle and nut of string i in every way.
func (p *player) tuneString(i int, r TuneRequest, exact int) (*TuneString, error) {
	s := p.strings[i]
	l, err := tune.Over(p.lanes[i].Lane, p.setup(i), s, r.Model.Scale.Divisions)
	if err != nil {
		return nil, err
	}
	l.Finger = tune.Finger{DepthMM: r.FingerMM, BehindMM: r.BehindMM}
	from := r.Model.Strings.Set[i]
	if r.Set != nil {
		from = r.Set[i]
	}
	a := &TuneString{String: i + 1, Pitch: from.Pitch, ScaleMM: s.ScaleMM, TensionN: s.TensionN, StiffnessNMM2: s.StiffnessNMM2,
		AxialN: s.AxialStiffnessN(), CoreMM: s.CoreMM, CoreTaken: s.CoreTaken, NutMM: l.NutMM, SaddleMM: l.SaddleMM}
	for _, f := range l.Frets {
		a.Frets = append(a.Frets, f.Number)
	}
	a.None = tuneChoice(l, tune.Setback{})
	mm, err := l.SaddleSetback(exact)
	if err != nil {
		return nil, err
	}
	a.Exact = tuneChoice(l, tune.Setback{SaddleMM: mm})
	a.SetbackMM, a.LeftOver = mm, a.Exact.LeftOver
	if low, high, err := l.SaddleRange(exact, s.CoreTaken, stiffTaken(from, r.Model.Strings.Set[i])); err == nil {
		a.RangeMM = &[2]float64{low, high}
	}
	for _, c := range []struct {
		moveNut bool
		out     **TuneChoice
	}{{false, &a.Saddle}, {true, &a.Both}} {
		if b, err := l.LeastSquares(c.moveNut); err == nil { // too few frets leave it out
			best := tuneChoice(l, b.Setback)
			*c.out = &best
		}
	}
	l.Finger.DepthMM = math.Min(r.FingerMM+tellingMM, r.Model.Wire.CrownHeight)
	deeper := l.Cents(tune.Setback{})
	a.Deeper = PressAnswer{DeeperMM: l.Finger.DepthMM - r.FingerMM}
	for k, f := range l.Frets {
		add := deeper[k] - a.None.LeftOver[k]
		if k == 0 {
			a.Deeper.FirstFretCents = add
		}
		if f.Number == exact {
			a.Deeper.ExactFretCents = add
		}
	}
	return a, nil
}

// stiffTaken reports whether a string's stiffness follows from its core rather
// than from a file. A string that names a pitch alone is the neck's own.
func stiffTaken(s, own neck.String) bool {
	if s.Gauge == 0 && s.Tension == 0 && s.Mass == 0 && s.Stiffness == 0 {
		s = own
	}
	return s.Stiffness == 0
}

// tuneChoice is what one setback leaves over.
func tuneChoice(l tune.Lane, s tune.Setback) TuneChoice {
	b := l.At(s)
	c := TuneChoice{SaddleMM: b.SaddleMM, NutMM: b.NutMM, LeftOver: b.Cents, RMSCents: b.RMSCents}
	for i, cents := range b.Cents {
		if i == 0 || math.Abs(cents) > math.Abs(c.WorstCents) {
			c.WorstCents, c.WorstFret = cents, l.Frets[i].Number
		}
	}
	return c
}
