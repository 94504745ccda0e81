package wear

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Fret is what happened to one fret.
type Fret struct {
	Fret     int
	Verdict  Verdict   // Moved or Worn; a fret that moved may be worn too
	TrebleMM float64   // how far it moved in the first and in the last lane compared
	BassMM   float64   // of it; 0 where it did not
	Worn     []float64 // its worn lanes
	Ends     Ends      // of a fret that moved, or of one that may have leaned down rather than worn
}

// Ends is where the straight line through a moved fret's own changes stands in
// the first and in the last lane compared, though the fret be told to have moved
// alike. Zero of a fret that did not move, or of fewer than three crowns.
type Ends struct {
	TrebleMM  float64 `json:"treble_mm"`
	UTrebleMM float64 `json:"u_treble_mm"`
	BassMM    float64 `json:"bass_mm"`
	UBassMM   float64 `json:"u_bass_mm"`
	Tilted    bool    `json:"tilted"` // the two differ by more than their noise, with 95 % confidence
}

const (
	// fitRisk is the chance with which a fret that sank alike in its lanes is not
	// taken as such, for the scatter of its lanes.
	fitRisk = 0.01
	// A change that a single crown's noise brings one time in a hundred is in
	// doubt, even where the largest of all crowns' noise would explain it.
	doubtRisk = 0.01
	// doubtChance is how likely a change is, by all readings together, that
	// leaves a crown in doubt.
	doubtChance = 0.1
	// minSunk is how many lanes must go down alike before a fret has sunk.
	minSunk = 3
)

// judge tells what happened fret by fret, and sets every crown's verdict.
func (n *neck) judge(b *belief, called *calls, o Options) []Fret {
	var found []Fret
	for f := range n.frets {
		if r := n.judgeFret(f, b, called, o); r.Verdict != "" {
			found = append(found, r)
		}
	}
	return found
}

// across is a fret's crowns over its lanes.
type across struct{ t, r, u []float64 }

// motion is a straight movement of a whole fret, shift + tilt·t.
type motion struct{ shift, tilt float64 }

func (m motion) at(t float64) float64 { return m.shift + m.tilt*t }

func (n *neck) judgeFret(f int, b *belief, called *calls, o Options) Fret {
	at := n.at[f]
	var a across
	var sound []bool // its lanes that are not worn
	r := Fret{Fret: n.frets[f]}
	for _, c := range at {
		l := n.lanes[c.lane]
		a.t, a.r, a.u = append(a.t, l.t), append(a.r, l.rest[c.at]), append(a.u, l.err[c.at])
		worn := called.worn[c.lane][c.at]
		sound = append(sound, !worn)
		if worn {
			r.Worn = append(r.Worn, l.lane)
		}
	}
	var m motion
	if called.moved[f] {
		m = a.motion(sound)
		far := max(math.Abs(m.at(a.t[0])), math.Abs(m.at(a.t[len(a.t)-1])))
		if far >= o.LimitMM/2 {
			r.Verdict = Moved
			r.TrebleMM, r.BassMM = m.at(a.t[0]), m.at(a.t[len(a.t)-1])
			r.Ends = a.ends(sound)
		}
	}
	if len(r.Worn) > 0 && r.Verdict == "" {
		r.Verdict = Worn
		if len(r.Worn) > 1 {
			r.Ends = a.leaning(sound)
		}
	}
	for i, c := range at {
		l := n.lanes[c.lane]
		chance := b.moved[f] + b.worn[c.lane][c.at] + b.lifted[c.lane][c.at]
		switch {
		case called.worn[c.lane][c.at]:
			l.verdict[c.at] = Worn
		case r.Verdict == Moved && math.Abs(m.at(a.t[i])) > normal(doubtRisk)*a.meanU():
			l.verdict[c.at] = Moved
		case called.lifted[c.lane][c.at]:
			l.verdict[c.at] = Raised
		case chance > doubtChance || !within(a.r[i], a.u[i], o.LimitMM, o.Confidence):
			l.verdict[c.at] = InDoubt
		default:
			l.verdict[c.at] = Unchanged
		}
	}
	return r
}

// motion is how a fret moved that moved: alike in every lane, unless one end did
// by more than the other beyond noise, and rose.
func (a across) motion(sound []bool) motion {
	e := a.ends(sound)
	if e.Tilted && max(e.TrebleMM, e.BassMM) > 0 && e.TrebleMM+e.BassMM > 0 {
		return a.fit(sound, true)
	}
	return a.fit(sound, false)
}

// meanU is the uncertainty of the fret's mean change.
func (a across) meanU() float64 {
	w := 0.0
	for _, u := range a.u {
		w += 1 / (u * u)
	}
	return math.Sqrt(1 / w)
}

// normal is how far a normal error goes, either way, with a chance of p.
func normal(p float64) float64 { return distuv.UnitNormal.Quantile(1 - p/2) }

// within reports whether a change lies within the limit with the confidence.
func within(mm, u, limit, confidence float64) bool {
	n := distuv.UnitNormal
	return n.CDF((limit-mm)/u)-n.CDF((-limit-mm)/u) >= confidence
}
