package findings

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// shop are the gauges that a shop has.
type shop []readplan.Gauge

// shopOf are the gauges that can read a whole lane: first those that the readings
// were taken with, each as sure as the middle one of its readings says; then a straight edge,
// which every shop has, and the others.
func shopOf(readings []reading.Reading) shop {
	us, leaves := map[reading.Method][]float64{}, map[reading.Method][]float64{}
	for _, r := range readings {
		u := r.U
		if r.NoGo != nil {
			u = math.Hypot((*r.NoGo-r.Value)/math.Sqrt(12), r.U)
			if !slices.Contains(leaves[r.Method], r.Lane) {
				leaves[r.Method] = append(leaves[r.Method], r.Lane)
			}
		}
		us[r.Method] = append(us[r.Method], u)
	}
	var used, others shop
	for _, m := range reading.AlongLane() {
		if u := us[m]; len(u) > 0 {
			slices.Sort(u)
			used = append(used, readplan.Gauge{Method: m, UMM: u[len(u)/2], Used: true, Own: true, Leaves: leaves[m]})
		} else if s := m.Spec(); s.Found != reading.Seldom {
			others = append(others, readplan.Gauge{Method: m, UMM: s.Usual(), Own: s.Found == reading.Everywhere})
		}
	}
	return append(used, others...)
}

// shop are the gauges that a neck's shop has. Lanes judged by brackets were felt with
// leaves, also where a gap of 0 left the leaf unsaid.
func (n *Neck) shop(readings []reading.Reading) shop {
	s := shopOf(readings)
	for i, g := range s {
		for _, l := range n.Lanes {
			if g.Method == reading.Edge && l.Brackets != nil && !slices.Contains(g.Leaves, l.Lane.Lane) {
				s[i].Leaves = append(s[i].Leaves, l.Lane.Lane)
			}
		}
	}
	return s
}

// u is the standard uncertainty of a reading of a method.
func (s shop) u(m reading.Method) float64 {
	for _, g := range s {
		if g.Method == m {
			return g.UMM
		}
	}
	return m.Spec().Usual()
}

// doubt is the neck as its readings leave it: every crown with its height, the
// covariance of all, and what is open. A crown that is not determined is taken to lie
// like the others; like one whose readings were all set aside it must be read.
func (n *Neck) doubt() (readplan.Doubt, error) {
	lanes := n.allLanes()
	d := readplan.Doubt{LimitMM: n.Model.Level.Zone, Seed: seed}
	frets := n.all()
	cov := mat.NewSymDense(len(lanes)*len(frets), nil)
	scatter := n.scatterMM()
	type known struct{ lane, at int } // places in Lanes and in the lane
	var places []known
	all := make([]readplan.Lane, len(lanes))
	for l, lane := range lanes {
		all[l] = readplan.Lane{Lane: lane, Frets: frets}
		at := slices.IndexFunc(n.Lanes, func(j Lane) bool { return j.Lane.Lane == lane })
		if at < 0 || n.Lanes[at].Verdict == straight.InDoubt {
			d.Open = append(d.Open, l)
		}
		var free []float64
		if at >= 0 {
			free = inFreeDatum(n.Lanes[at].X, n.Lanes[at].D)
		}
		for _, f := range frets {
			all[l].XMM = append(all[l].XMM, n.Layout.LaneX(f, lane))
			k := known{at, -1}
			if at >= 0 {
				k.at = n.Lanes[at].at(f)
			}
			height := 0.0
			if k.at >= 0 {
				height = free[k.at]
			}
			if k.at < 0 || n.Lanes[at].Aside[k.at] {
				d.Missing = append(d.Missing, readplan.Place{Lane: lane, Fret: f})
			}
			d.HeightMM = append(d.HeightMM, height)
			places = append(places, k)
		}
	}
	for i, p := range places {
		if p.at < 0 {
			cov.SetSym(i, i, scatter*scatter)
			continue
		}
		for j := i; j < len(places); j++ {
			if q := places[j]; q.at >= 0 {
				cov.SetSym(i, j, n.covBetween(p.lane, p.at, q.lane, q.at))
			}
		}
	}
	var err error
	d.Known, err = readplan.NewKnown(all, cov)
	return d, err
}

// inFreeDatum takes the line of least squares out of a lane, as it is taken out of
// the covariance.
func inFreeDatum(x, d []float64) []float64 {
	a, b := stat.LinearRegression(x, d, nil, false)
	out := make([]float64, len(d))
	for i := range d {
		out[i] = d[i] - a - b*x[i]
	}
	return out
}

// allLanes are the neck's own lanes and others that were read, ascending.
func (n *Neck) allLanes() []float64 {
	var out []float64
	for l := 1; l <= n.Layout.Strings(); l++ {
		out = append(out, float64(l))
	}
	for _, l := range n.Lanes {
		out = append(out, l.Lane.Lane)
	}
	for _, u := range n.Estimate.Undetermined {
		out = append(out, u.Lane)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// scatterMM is how far crowns usually stand off their lane, as the determined ones
// show: no less than a twentieth of the limit, and an eighth where none is known.
func (n *Neck) scatterMM() float64 {
	var off []float64
	for _, l := range n.Lanes {
		for _, v := range l.Off {
			off = append(off, math.Abs(v))
		}
	}
	if len(off) == 0 {
		return n.Model.Level.Zone / 8
	}
	slices.Sort(off)
	return math.Max(off[len(off)/2]/halfNormal, n.Model.Level.Zone/20)
}

// halfNormal is the median of the size of a standard normal number.
const halfNormal = 0.6744897501960817
