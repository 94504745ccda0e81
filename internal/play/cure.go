package play

import "math"

// Bent is the lane with more relief than it had (less, where mm is negative).
func (l Lane) Bent(mm float64) Lane {
	crowns := append([]Crown(nil), l.Crowns...)
	for i := range crowns {
		crowns[i].ZMM += mm * crowns[i].BowMM
	}
	l.Crowns = crowns
	return l
}

// Refitted is the lane with one fret brought to the height that was wanted.
func (l Lane) Refitted(fret int) Lane {
	crowns := append([]Crown(nil), l.Crowns...)
	for i := range crowns {
		if crowns[i].Fret == fret {
			crowns[i].ZMM -= crowns[i].OffMM
			crowns[i].OffMM = 0
		}
	}
	l.Crowns = crowns
	return l
}

// Clears reports whether every margin of a lane is 0 or more.
func Clears(l Lane, s Setup, needs Needs) (bool, error) {
	all, err := everyMargin(l, s, needs)
	for _, m := range all {
		if m < -touchMM {
			return false, err
		}
	}
	return err == nil, err
}

// ReliefRange is the range of added relief, in mm, within which every margin of
// the lane is 0 or more, the action over its fret staying what it is.
func ReliefRange(l Lane, s Setup, needs Needs) (Range, error) {
	return clearing(func(v float64) ([]float64, error) { return everyMargin(l.Bent(v), s, needs) })
}

// NutRange is the same for what is added to the nut's height (or to the nut
// gap, where the nut follows from it). On a neck with a zero fret no change
// helps or harms.
func NutRange(l Lane, s Setup, needs Needs) (Range, error) {
	nut, gap := s.NutMM, s.NutGapMM
	return clearing(func(v float64) ([]float64, error) {
		s.NutMM, s.NutGapMM = nut+v, gap+v
		return everyMargin(l, s, needs)
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

// RemedyOf tells what would make the note of stop i ring: false where its
// margins are 0 or more already.
func RemedyOf(l Lane, s Setup, i int, needs Needs) (Remedy, bool, error) {
	r, err := l.Rest(s)
	if err != nil {
		return Remedy{}, false, err
	}
	stops := l.Stops(s, r)
	stop := stops[i]
	out := Remedy{NutMM: math.Inf(1)}
	high := Crown{}
	for k, c := range l.Crowns[stop.Beyond:] {
		short := needs[i][k] - stop.Gap(c, r)
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
	if out.RaiseStop, err = ringsWith(l.Refitted(stop.Fret), s, i, needs); err != nil {
		return Remedy{}, false, err
	}
	out.RaiseStop = out.RaiseStop && out.LowMM > 0
	return out, true, out.riseOf(l, s, i, needs)
}

// riseOf fills in by how much action and nut must rise, each by itself.
func (out *Remedy) riseOf(l Lane, s Setup, i int, needs Needs) error {
	action, err := clearing(func(v float64) ([]float64, error) {
		t := s
		t.ActionMM = s.ActionMM + v
		return noteMargins(l, t, i, needs)
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
	nut, err := clearing(func(v float64) ([]float64, error) {
		t := s
		t.NutMM, t.NutGapMM = s.NutMM+v, s.NutGapMM+v
		return noteMargins(l, t, i, needs)
	})
	if err == nil && !nut.Empty() && nut.Nearest(0) >= 0 {
		out.NutMM = nut.Nearest(0)
	}
	return err
}

// ringsWith reports whether stop i's margins are 0 or more on a changed lane,
// nut and saddle set up anew.
func ringsWith(l Lane, s Setup, i int, needs Needs) (bool, error) {
	all, err := noteMargins(l, s, i, needs)
	for _, m := range all {
		if m < -touchMM {
			return false, err
		}
	}
	return err == nil, err
}

// noteMargins is gap minus need over each crown beyond stop i.
func noteMargins(l Lane, s Setup, i int, needs Needs) ([]float64, error) {
	r, err := l.Rest(s)
	if err != nil {
		return nil, err
	}
	stop := l.Stops(s, r)[i]
	var out []float64
	for k, c := range l.Crowns[stop.Beyond:] {
		out = append(out, stop.Gap(c, r)-needs[i][k])
	}
	return out, nil
}
