package wear

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

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
		return motion{wr / w, 0}
	}
	return motion{(wtt*wr - wt*wtr) / det, (w*wtr - wt*wr) / det}
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
	if n < minSunk || det <= 1e-9*w*w {
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
