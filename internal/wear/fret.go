package wear

import (
	"math"
	"slices"

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
	motion   motion
}

// Ends is where the straight line through a moved fret's own changes stands in
// the first and in the last lane compared, though the fret be told to have moved
// alike. Zero of a fret that did not move, or of fewer than three crowns.
type Ends struct {
	TrebleMM, BassMM   float64
	UTrebleMM, UBassMM float64
	Tilted             bool // the two differ by more than their noise, with 95 % confidence
}

const (
	// fitRisk is the chance with which a fret that sank alike in its lanes is not
	// taken as such, for the scatter of its lanes.
	fitRisk = 0.01
	// A change that a single crown's noise brings one time in a hundred is in
	// doubt, even where the largest of all crowns' noise would explain it.
	doubtRisk = 0.01
	// leastSunk is how many lanes must go down alike before a fret has sunk.
	leastSunk = 3
)

// crownAt is where a fret's crown stands in the neck.
type crownAt struct{ lane, at int }

// judge tells what happened fret by fret, and sets every crown's verdict.
func (n *neck) judge(o Options) []Fret {
	byFret := map[int][]crownAt{}
	var frets []int
	for i, l := range n.lanes {
		for k, f := range l.frets {
			if byFret[f] == nil {
				frets = append(frets, f)
			}
			byFret[f] = append(byFret[f], crownAt{i, k})
		}
	}
	slices.Sort(frets)
	var found []Fret
	for _, f := range frets {
		if r, changed := n.judgeFret(f, byFret[f], o); changed {
			found = append(found, r)
		}
	}
	return found
}

// noteMoves keeps what each fret moved; it reports whether that is news.
func (n *neck) noteMoves(found []Fret) (news bool) {
	const sameMM = 1e-4
	for i := range n.lanes {
		l := &n.lanes[i]
		for k, f := range l.frets {
			m := 0.0
			for _, x := range found {
				if x.Fret == f && x.Verdict == Moved {
					m = x.motion.at(l.t)
				}
			}
			news = news || math.Abs(m-l.moved[k]) > sameMM
			l.moved[k] = m
		}
	}
	return news
}

// across is a fret's crowns over its lanes.
type across struct{ t, r, u []float64 }

// motion is a straight movement of a whole fret, shift + tilt·t, and what it
// leaves unexplained.
type motion struct {
	shift, tilt float64
	cost        float64
	moves       bool
}

func (m motion) at(t float64) float64 { return m.shift + m.tilt*t }

func (n *neck) judgeFret(fret int, at []crownAt, o Options) (Fret, bool) {
	var a across
	for _, c := range at {
		l := &n.lanes[c.lane]
		a.t, a.r, a.u = append(a.t, l.t), append(a.r, l.rest[c.at]), append(a.u, l.err[c.at])
	}
	best := a.explain(n.guard, o.LimitMM/2)
	f := Fret{Fret: fret}
	if best.moves {
		f.Verdict, f.motion = Moved, best
		f.TrebleMM, f.BassMM = best.at(a.t[0]), best.at(a.t[len(a.t)-1])
	}
	var sound []bool // its lanes that moved with it and are not worn besides
	for i, c := range at {
		l := &n.lanes[c.lane]
		v := a.verdict(i, best, n.guard, o)
		l.verdict[c.at] = v
		sound = append(sound, v != Worn)
		if v == Worn {
			f.Worn = append(f.Worn, l.lane)
		}
	}
	switch {
	case best.moves:
		f.Ends = a.ends(sound)
	case len(f.Worn) > 1:
		f.Ends = a.leaning(sound)
	}
	if len(f.Worn) > 0 && !best.moves {
		f.Verdict = Worn
	}
	return f, f.Verdict != ""
}

// verdict judges one crown, its fret's motion being known.
func (a across) verdict(i int, m motion, guard float64, o Options) Verdict {
	rest := a.r[i] - m.at(a.t[i])
	switch {
	case rest < -guard*a.u[i]:
		return Worn
	case m.moves && math.Abs(m.at(a.t[i])) > normal(doubtRisk)*a.meanU():
		return Moved
	case !m.moves && rest > guard*a.u[i]:
		return Raised
	case math.Abs(a.r[i]) > normal(doubtRisk)*a.u[i] || !within(a.r[i], a.u[i], o.LimitMM, o.Confidence):
		return InDoubt
	}
	return Unchanged
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

// explain finds what explains a fret's changes best: no motion, each crown for
// itself; a rise of the whole fret or of one end; or the whole of it gone down
// alike. A motion counts as one more thing to believe, as a worn crown does; one
// of less than leastMM at either end is left to the crowns.
func (a across) explain(k, leastMM float64) motion {
	best := motion{}
	for i := range a.r {
		z := a.r[i] / a.u[i]
		best.cost += math.Min(z*z, k*k)
	}
	for _, m := range []motion{a.rise(k, false), a.rise(k, true), a.sink(k)} {
		far := math.Max(math.Abs(m.at(a.t[0])), math.Abs(m.at(a.t[len(a.t)-1])))
		if m.moves && m.cost < best.cost && far >= leastMM {
			best = m
		}
	}
	return best
}

// sink is the whole fret gone down alike in every lane.
func (a across) sink(k float64) motion {
	n := len(a.r)
	if n < leastSunk {
		return motion{}
	}
	m := a.fit(nil, false)
	left := 0.0
	for i := range a.r {
		z := (a.r[i] - m.shift) / a.u[i]
		left += z * z
	}
	m.cost = left + k*k
	m.moves = m.shift < -k*a.meanU() && left <= distuv.ChiSquared{K: float64(n - 1)}.Quantile(1-fitRisk)
	return m
}

// rise is the fret come up, as a whole or (tilted) at one end; single lanes may
// be worn besides, which lie below it.
func (a across) rise(k float64, tilted bool) motion {
	n := len(a.r)
	if n < 2 || tilted && n < 3 {
		return motion{}
	}
	price := k * k
	if tilted { // as unlikely by chance, with two numbers to choose
		price = -2 * math.Log(2*distuv.UnitNormal.CDF(-k))
	}
	best := motion{cost: math.Inf(1)}
	try := func(in []bool) {
		m := a.fit(in, tilted)
		if !a.lifts(m, k) {
			return
		}
		m.moves, m.cost = true, price
		for i := range a.r {
			z := (a.r[i] - m.at(a.t[i])) / a.u[i]
			if z < 0 {
				z = math.Max(z, -k)
			}
			m.cost += z * z
		}
		if m.cost < best.cost {
			best = m
		}
	}
	try(nil)
	for i := range n { // from each pair of lanes, the lanes not below their line
		for j := range i {
			pick := make([]bool, n)
			pick[i], pick[j] = true, true
			m := a.fit(pick, tilted)
			for q := range pick {
				pick[q] = a.r[q]-m.at(a.t[q]) > -k*a.u[q]
			}
			try(pick)
		}
	}
	if math.IsInf(best.cost, 1) {
		return motion{}
	}
	return best
}

// lifts reports whether a motion is a rise: one end surely up, neither down.
func (a across) lifts(m motion, k float64) bool {
	first, last := m.at(a.t[0]), m.at(a.t[len(a.t)-1])
	own := 0.0 // an end is known about as well as its own lane
	for _, u := range a.u {
		own = math.Max(own, u)
	}
	return math.Max(first, last) > k*a.meanU() && math.Min(first, last) > -2*own
}

// fit is the weighted motion of the lanes told; nil: of all.
func (a across) fit(in []bool, tilted bool) motion {
	var w, wt, wr, wtt, wtr float64
	for i := range a.r {
		if in == nil || in[i] {
			g := 1 / (a.u[i] * a.u[i])
			w, wt, wr = w+g, wt+g*a.t[i], wr+g*a.r[i]
			wtt, wtr = wtt+g*a.t[i]*a.t[i], wtr+g*a.t[i]*a.r[i]
		}
	}
	if w == 0 {
		return motion{}
	}
	det := w*wtt - wt*wt
	if !tilted || det <= 1e-9*w*w {
		return motion{shift: wr / w}
	}
	return motion{shift: (wtt*wr - wt*wtr) / det, tilt: (w*wtr - wt*wr) / det}
}

// leaning are the ends where every crown, the worn ones too, lies on one slanted
// line: an end pressed or filed down looks so, and grooves seldom do.
// They are taken for that only where the line fits better than grooves of one
// depth under the lanes that are not sound.
func (a across) leaning(sound []bool) Ends {
	all := make([]bool, len(a.r))
	for i := range all {
		all[i] = true
	}
	e := a.ends(all)
	if !e.Tilted {
		return Ends{}
	}
	m, left := a.fit(nil, true), 0.0
	for i := range a.r {
		z := (a.r[i] - m.at(a.t[i])) / a.u[i]
		left += z * z
	}
	if left > a.grooved(sound) || left > (distuv.ChiSquared{K: float64(len(a.r) - 2)}).Quantile(1-fitRisk) {
		return Ends{}
	}
	return e
}

// grooved is the misfit of grooves of one depth under the lanes that are not
// sound, the others unchanged.
func (a across) grooved(sound []bool) float64 {
	worn := make([]bool, len(sound))
	for i, ok := range sound {
		worn[i] = !ok
	}
	depth, left := a.fit(worn, false).shift, 0.0
	for i, r := range a.r {
		if worn[i] {
			r -= depth
		}
		left += r * r / (a.u[i] * a.u[i])
	}
	return left
}

// ends are the ends of the straight line through the lanes told.
func (a across) ends(in []bool) Ends {
	var w, wt, wtt float64
	n := 0
	for i := range a.r {
		if in[i] {
			g := 1 / (a.u[i] * a.u[i])
			w, wt, wtt, n = w+g, wt+g*a.t[i], wtt+g*a.t[i]*a.t[i], n+1
		}
	}
	det := w*wtt - wt*wt
	if n < leastSunk || det <= 1e-9*w*w {
		return Ends{}
	}
	m := a.fit(in, true)
	first, last := a.t[0], a.t[len(a.t)-1]
	u := func(t float64) float64 { return math.Sqrt((wtt - 2*t*wt + t*t*w) / det) }
	const sure = 1.96 // 95 % confidence, either way
	return Ends{
		TrebleMM: m.at(first), BassMM: m.at(last), UTrebleMM: u(first), UBassMM: u(last),
		Tilted: math.Abs(m.tilt*(last-first)) > sure*math.Abs(last-first)*math.Sqrt(w/det),
	}
}
