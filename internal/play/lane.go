package play

import (
	"errors"
	"fmt"
)

// Crown is the top of one fret in a lane.
type Crown struct {
	Fret    int
	XMM     float64 // from the lane's nut line
	ZMM     float64 // above the lane's line of reference, relief included
	BowMM   float64 // what each mm of relief adds to ZMM
	OffMM   float64 // how far ZMM stands off the shape that was wanted
	SpareMM float64 // metal that may come off before the crown is too low
}

// Lane is what lies under one string. Its crowns ascend in fret and in x; one
// of fret 0 stands only on a neck with a zero fret.
type Lane struct {
	String  int
	ScaleMM float64 // nut line to saddle
	Crowns  []Crown
	Missing []int // frets whose crowns are not known
}

// Setup is how one string lies over its lane.
type Setup struct {
	NutMM      float64 // the string's underside at x = 0; no matter with a zero fret
	NutGapMM   float64 // the open string over fret 1's crown, where ByGap
	ByGap      bool    // the nut follows from NutGapMM
	ActionMM   float64 // the open string over ActionFret's crown
	ActionFret int
	CapoFret   int // the lowest stop that is played; 0 without a capo
}

// Rest is where a string's underside is held: at the nut (or the zero fret's
// crown) and at the saddle.
type Rest struct{ NutMM, SaddleMM float64 }

// Stop is a place where the string is stopped, and what lies beyond it.
type Stop struct {
	Fret     int
	XMM, ZMM float64
	LengthMM float64 // from the stop to the saddle
	Crown    int     // its index in the lane's crowns; -1 for the nut
	Beyond   int     // index of the first crown beyond it
}

// ErrNoCrown says that a crown which the action or the nut is measured from is
// not known.
var ErrNoCrown = errors.New("crown not known")

// zeroFret reports whether the string lies open on a crown.
func (l Lane) zeroFret() bool { return len(l.Crowns) > 0 && l.Crowns[0].Fret == 0 }

// at finds the crown of a fret.
func (l Lane) at(fret int) (Crown, error) {
	for _, c := range l.Crowns {
		if c.Fret == fret {
			return c, nil
		}
	}
	return Crown{}, fmt.Errorf("fret %d: %w", fret, ErrNoCrown)
}

// Rest is where the string is held so that the open string has its action. The
// two are linear in the setup's heights. Errors: a crown that they are measured
// from is not known; nut gap and action are measured at the same fret.
func (l Lane) Rest(s Setup) (Rest, error) {
	a, err := l.at(s.ActionFret)
	if err != nil {
		return Rest{}, err
	}
	over := a.ZMM + s.ActionMM
	nut := s.NutMM
	switch {
	case l.zeroFret():
		nut = l.Crowns[0].ZMM
	case s.ByGap:
		first, err := l.at(1)
		if err != nil {
			return Rest{}, err
		}
		if s.ActionFret == 1 {
			return Rest{}, errors.New("nut gap and action are both measured at fret 1; give the nut's height instead of nut_gap")
		}
		low := first.ZMM + s.NutGapMM
		nut = low - (over-low)*first.XMM/(a.XMM-first.XMM)
	}
	return Rest{NutMM: nut, SaddleMM: nut + (over-nut)*l.ScaleMM/a.XMM}, nil
}

// Stops lists the places where the string can be stopped, from the open string
// (or the capo) to the last crown.
func (l Lane) Stops(s Setup, r Rest) []Stop {
	var stops []Stop
	if !l.zeroFret() && s.CapoFret == 0 {
		stops = append(stops, Stop{Fret: 0, ZMM: r.NutMM, LengthMM: l.ScaleMM, Crown: -1})
	}
	for i, c := range l.Crowns {
		if c.Fret < s.CapoFret {
			continue
		}
		stops = append(stops, Stop{Fret: c.Fret, XMM: c.XMM, ZMM: c.ZMM, LengthMM: l.ScaleMM - c.XMM,
			Crown: i, Beyond: i + 1})
	}
	return stops
}

// unseen are the frets beyond a stop whose crowns are not known.
func (l Lane) unseen(fret int) (beyond []int) {
	for _, f := range l.Missing {
		if f > fret {
			beyond = append(beyond, f)
		}
	}
	return beyond
}

// share is how far a crown lies from the stop (0) to the saddle (1).
func (s Stop) share(c Crown) float64 { return (c.XMM - s.XMM) / s.LengthMM }

// Gap is how far the resting string's underside runs above a crown.
func (s Stop) Gap(c Crown, r Rest) float64 {
	t := s.share(c)
	return s.ZMM*(1-t) + r.SaddleMM*t - c.ZMM
}
