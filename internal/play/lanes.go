package play

import (
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// actionFret is the fret that action is measured at; the last on a neck of fewer.
const actionFret = 12

// ActionFret is the fret of a neck that action is measured at.
func ActionFret(l *geometry.Layout) int { return min(actionFret, l.LastFret()) }

// LaneOf is a string's lane with its crowns off the shape by so much, bowed as the
// strung neck is; nil: perfect crowns.
func LaneOf(m neck.Model, l *geometry.Layout, number int, frets []int, offMM []float64) Lane {
	lane := float64(number)
	if offMM == nil {
		offMM = make([]float64, len(frets))
	}
	out := Lane{String: number, ScaleMM: l.LaneScale(lane)}
	for k, z := range l.Shape(lane, frets) {
		f := frets[k]
		c := Crown{Fret: f, XMM: l.LaneX(f, lane), OffMM: offMM[k], BowMM: l.StrungBow(f, lane), SpareMM: max(0, m.Wire.CrownHeight-m.Level.LeastCrown)}
		c.ZMM = z + offMM[k] + m.Setup.Relief*c.BowMM
		out.Crowns = append(out.Crowns, c)
	}
	return out
}

// SetupOf is how a string lies by the neck file, with a capo behind a fret (0:
// none).
func SetupOf(m neck.Model, l *geometry.Layout, number, capo int) Setup {
	s := m.Setup
	out := Setup{ActionMM: s.Action[number-1], ActionFret: ActionFret(l), CapoFret: capo}
	switch {
	case m.Scale.ZeroFret: // the string lies on fret 0
	case s.NutGap != nil:
		out.NutGapMM, out.ByGap = s.NutGap[number-1], true
	default:
		out.NutMM = s.Nut[number-1]
	}
	return out
}

// FretsOf are all frets of a neck that have a crown.
func FretsOf(l *geometry.Layout) []int { return counted(l.FirstFret(), l.LastFret()) }

// Stops are the frets at which a string is judged.
func (n *Neck) Stops() []int { return counted(n.Capo, n.Layout.LastFret()) }

// counted is the numbers from one to another.
func counted(from, to int) (all []int) {
	for f := from; f <= to; f++ {
		all = append(all, f)
	}
	return all
}

// Unjudged is stops that cannot be judged, or not against every fret.
type Unjudged struct {
	String  int    `json:"string"`
	Stops   []int  `json:"frets"`
	Why     string `json:"why"` // for the catalogue to fill in
	Lack    Lack   `json:"-"`
	Fret    int    `json:"-"` // where a string cannot be set up without it: the fret not known
	Missing int    `json:"-"` // how many frets' crowns are not known
	Cause   string `json:"-"` // why they are not, as the judge of the readings says
}

// Lack is what is missing for judging stops.
type Lack int

// What can be missing.
const (
	LackStops  Lack = iota // the stops' own crowns
	LackBeyond             // some crowns beyond the stops
	LackLane               // every crown
	LackAction             // the crown that the action is measured at
	LackOpen               // the crown that the open string lies on
	LackGap                // the crown that the nut gap is measured at
)

// whole says that the whole string cannot be judged.
func (w Lack) whole() bool { return w >= LackLane }

// Unset tells why a string cannot be judged at all; false where it can.
func (n *Neck) Unset(number int) (Unjudged, bool) {
	i := slices.IndexFunc(n.Open, func(u Unjudged) bool { return u.String == number && u.Lack.whole() })
	if i < 0 {
		return Unjudged{}, false
	}
	return n.Open[i], true
}

// FindMissing says of each lane which crowns are not known and what that means
// for its notes. cause is why one is not known, by lane and fret.
func (n *Neck) FindMissing(cause map[[2]int]string) {
	for i := range n.Lanes {
		l := &n.Lanes[i]
		for _, f := range FretsOf(n.Layout) {
			if _, err := l.at(f); err != nil {
				l.Missing = append(l.Missing, f)
			}
		}
		if len(l.Missing) > 0 {
			n.open(l, cause)
		}
	}
}

// open lists what a lane with some crowns unknown leaves open: all of it, or
// stops on the unknown crowns, and stops before them, judged without them.
func (n *Neck) open(l *Lane, cause map[[2]int]string) {
	u := Unjudged{String: l.String, Stops: n.Stops(), Missing: len(l.Missing)}
	var lost, partly []int
	for _, f := range u.Stops {
		switch {
		case slices.Contains(l.Missing, f):
			lost = append(lost, f)
		case f < slices.Max(l.Missing):
			partly = append(partly, f)
		}
	}
	for _, f := range l.Missing {
		if why, needed := n.needed(f); needed && !u.Lack.whole() {
			u.Fret, u.Lack = f, why
		}
		if u.Cause == "" {
			u.Cause = cause[[2]int{l.String, f}]
		}
	}
	if len(l.Crowns) == 0 {
		u.Lack = LackLane
	}
	if u.Lack.whole() {
		n.Open = append(n.Open, u)
		return
	}
	if len(lost) > 0 {
		u.Stops = lost
		n.Open = append(n.Open, u)
	}
	if len(partly) > 0 {
		u.Stops, u.Lack = partly, LackBeyond
		n.Open = append(n.Open, u)
	}
}

// needed tells whether a string cannot be set up without a fret's crown, and why.
func (n *Neck) needed(fret int) (Lack, bool) {
	switch {
	case n.Model.Scale.ZeroFret && fret == 0:
		return LackOpen, true
	case !n.Model.Scale.ZeroFret && n.Model.Setup.NutGap != nil && fret == 1:
		return LackGap, true
	}
	return LackAction, fret == ActionFret(n.Layout)
}
