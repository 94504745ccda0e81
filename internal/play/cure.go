package play

import (
	"math"
	"slices"
)

// Bent is the lane with more relief than it had (less, where mm is negative).
func (l Lane) Bent(mm float64) Lane {
	l.Crowns = slices.Clone(l.Crowns)
	for i, c := range l.Crowns {
		l.Crowns[i].ZMM += mm * c.BowMM
	}
	return l
}

// Refitted is the lane with one fret brought to the height that was wanted.
func (l Lane) Refitted(fret int) Lane {
	l.Crowns = slices.Clone(l.Crowns)
	if i := slices.IndexFunc(l.Crowns, func(c Crown) bool { return c.Fret == fret }); i >= 0 {
		l.Crowns[i].ZMM -= l.Crowns[i].OffMM
		l.Crowns[i].OffMM = 0
	}
	return l
}

// Clears reports whether every margin of a lane is 0 or more.
func Clears(l Lane, s Setup, clearance Clearance) (bool, error) {
	return ringing(margins(l, s, everyStop, clearance))
}

// ringing says that no margin is below 0.
func ringing(margins []float64, err error) (bool, error) {
	return err == nil && !slices.ContainsFunc(margins, func(m float64) bool { return m < -touchMM }), err
}

// ReliefRange is the range of added relief, in mm, within which every margin of
// the lane is 0 or more, the action over its fret staying what it is.
func ReliefRange(l Lane, s Setup, clearance Clearance) (Range, error) {
	return clearing(func(v float64) ([]float64, error) { return margins(l.Bent(v), s, everyStop, clearance) })
}

// NutRange is the same for what is added to the nut's height (or to the nut
// gap, where the nut follows from it). On a neck with a zero fret no change
// helps or harms.
func NutRange(l Lane, s Setup, clearance Clearance) (Range, error) {
	return nutRange(l, s, everyStop, clearance)
}

func nutRange(l Lane, s Setup, i int, clearance Clearance) (Range, error) {
	nut, gap := s.NutMM, s.NutGapMM
	return clearing(func(v float64) ([]float64, error) {
		s.NutMM, s.NutGapMM = nut+v, gap+v
		return margins(l, s, i, clearance)
	})
}

// Remedy is what would make one note ring, each way by itself.
type Remedy struct {
	ShortMM   float64 // how far the gap at Fret falls short of the need
	Fret      int     // where it falls short most
	Crowns    int     // over how many crowns it does
	HighMM    float64 // how far Fret's crown stands above the shape that was wanted; 0 or less: it does not
	LowMM     float64 // how far the stop's crown stands below it
	TakeAlone bool    // taking ShortMM off Fret alone is enough
	LevelFret bool    // bringing Fret's crown to the shape is enough
	RaiseStop bool    // bringing the stop's crown to the shape is enough
	ActionMM  float64 // what the action must rise by; infinite where no rise helps
	NutMM     float64 // what the nut must rise by (the open string only); infinite where none helps
}

// Explained says that a fret that is off explains the note.
func (r Remedy) Explained() bool { return r.LevelFret || r.RaiseStop }

// RemedyOf tells what would make the note of stop i ring: false where its
// margins are 0 or more already.
func RemedyOf(l Lane, s Setup, i int, clearance Clearance) (Remedy, bool, error) {
	r, err := l.Rest(s)
	if err != nil {
		return Remedy{}, false, err
	}
	stops := l.Stops(s, r)
	stop := stops[i]
	out := Remedy{NutMM: math.Inf(1)}
	high := Crown{}
	for k, c := range l.Crowns[stop.Beyond:] {
		short := clearance[i][k] - stop.Gap(c, r)
		if short <= touchMM {
			continue
		}
		out.Crowns++
		if short > out.ShortMM {
			out.ShortMM, out.Fret, high = short, c.Fret, c
		}
	}
	if out.Crowns == 0 {
		return Remedy{}, false, nil
	}
	out.HighMM = high.OffMM
	out.TakeAlone = out.Crowns == 1
	out.LevelFret = out.TakeAlone && out.HighMM >= out.ShortMM
	if stop.Crown >= 0 {
		out.LowMM = -l.Crowns[stop.Crown].OffMM
	}
	if out.RaiseStop, err = ringsWith(l.Refitted(stop.Fret), s, i, clearance); err != nil {
		return Remedy{}, false, err
	}
	out.RaiseStop = out.RaiseStop && out.LowMM > 0
	return out, true, out.riseOf(l, s, i, clearance)
}

// riseOf fills in by how much action and nut must rise, each by itself.
func (out *Remedy) riseOf(l Lane, s Setup, i int, clearance Clearance) error {
	action, err := clearing(func(v float64) ([]float64, error) {
		t := s
		t.ActionMM += v
		return margins(l, t, i, clearance)
	})
	if err != nil {
		return err
	}
	out.ActionMM = action.Nearest(0)
	if action.Empty() || out.ActionMM < 0 {
		out.ActionMM = math.Inf(1)
	}
	if l.zeroFret() || i != 0 || s.CapoFret > 0 {
		return nil
	}
	nut, err := nutRange(l, s, i, clearance)
	if err == nil && !nut.Empty() && nut.Nearest(0) >= 0 {
		out.NutMM = nut.Nearest(0)
	}
	return err
}

// ringsWith reports whether stop i's margins are 0 or more on a changed lane,
// nut and saddle set up anew.
func ringsWith(l Lane, s Setup, i int, clearance Clearance) (bool, error) {
	return ringing(margins(l, s, i, clearance))
}
