package heights

import "math"

// The scatter τ of the slope change from lane to lane is learned over a grid, in
// µm, its prior being lognormal.
const (
	tauFirst  = 0.35
	tauCount  = 17
	tauMedian = 0.7
	tauLogSD  = 1.0
)

// learn brings chances and scales up to date with the explanations.
func (n *net) learn() {
	n.learnGrooves()
	n.learnKinds()
	n.learnTau()
	n.mark()
}

// dentChance is the chance that a crown stands below its fret's curve in a
// groove, or above it on a burr.
func (f *fretNode) dentChance(l int, d direction) (p float64) {
	for i := range f.exps {
		e := &f.exps[i]
		switch {
		case f.comps[l][e.at[l]].dent != noDent:
			if (e.h[l] > e.s[l]) == bool(d) {
				p += e.chance
			}
		case e.kind >= freely && e.chance > unlikely:
			if off := f.alone(e, l); (off > 0) == bool(d) && off != 0 {
				p += e.chance
			}
		}
	}
	return p
}

// A crooked fret whose other crowns lie on a line is a dent by another name: one
// crown stands aloneUM or more off the line of the others, which keep to it within
// straightUM.
const (
	aloneUM    = 30.0
	straightUM = 8.0
	unlikely   = 0.01
)

// curveAt is an explanation's curve at a crown: the line of the others where that
// one stands alone.
func (f *fretNode) curveAt(e *explanation, l int) float64 {
	if e.kind >= freely && e.chance > unlikely && f.comps[l][e.at[l]].dent == noDent {
		if off := f.alone(e, l); off != 0 {
			return e.h[l] - off
		}
	}
	return e.s[l]
}

// alone is how far a crown stands off the line of its fret's others, where these
// lie on one; 0 where they do not, or it does too.
func (f *fretNode) alone(e *explanation, l int) float64 {
	t := f.prior.t
	n := float64(len(t) - 1)
	if n < 3 {
		return 0
	}
	var st, stt, sh, sth float64
	for i := range t {
		if i != l {
			st, stt, sh, sth = st+t[i], stt+t[i]*t[i], sh+e.h[i], sth+t[i]*e.h[i]
		}
	}
	slope := (n*sth - st*sh) / (n*stt - st*st)
	at := (sh - slope*st) / n
	for i := range t {
		if i != l && math.Abs(e.h[i]-at-slope*t[i]) > straightUM {
			return 0
		}
	}
	if off := e.h[l] - at - slope*t[l]; math.Abs(off) > aloneUM {
		return off
	}
	return 0
}

// direction is that of a dent.
type direction bool

const (
	downwards direction = false
	upwards   direction = true
)

// Neighbours of a crown that make a groove likelier: the same lane one, two and
// three frets off, and the next lane of the same fret.
const (
	besideFret1 = 1.0
	besideFret2 = 0.7
	besideFret3 = 0.4
	besideLane  = 0.6
	ownWeight   = 4.0 // of the chance before any reading
	// A crown less likely grooved than this tells its neighbours nothing: one read
	// twice or more, and one read once.
	heardGroove     = 0.1
	heardGrooveOnce = 0.3
	maxGroove       = 0.8
)

// learnGrooves makes a groove likelier beside grooves. Only what the readings say
// beyond the belief counts, else a lone dent would feed itself through
// neighbours that merely do not object.
func (n *net) learnGrooves() {
	beyond := make([]float64, len(n.c.list))
	for _, f := range n.frets {
		for l, i := range f.crowns {
			p := f.dentChance(l, downwards)
			least := math.Max(f.walkedPi[l], heardGroove)
			if f.beta[l] < grooveChance {
				least = math.Max(least, heardGrooveOnce)
			}
			beyond[i] = math.Max(0, (p-least)/(1-least))
		}
	}
	for _, f := range n.frets {
		for l, i := range f.crowns {
			sum, weight := ownWeight*f.beta[l], ownWeight
			add := func(other int, w float64) {
				sum += w * beyond[other]
				weight += w
			}
			for _, side := range []int{-1, 1} {
				for d, w := range []float64{besideFret1, besideFret2, besideFret3} {
					if k, known := n.c.index[place{f.fret + side*(d+1), n.c.list[i].lane}]; known && k >= 0 {
						add(k, w)
					}
				}
				if m := l + side; m >= 0 && m < len(f.crowns) {
					add(f.crowns[m], besideLane)
				}
			}
			f.pi[l] = math.Min(math.Max(sum/weight, f.beta[l]/2), maxGroove)
		}
	}
}

// kindWeight is how many frets the chances before any reading count for.
const kindWeight = 12.0

// learnKinds brings the chances of the kinds and the tilt of usual frets up to
// date.
func (n *net) learnKinds() {
	var seen [kinds]float64
	tilt := 0.0
	for _, f := range n.frets {
		for i := range f.exps {
			e := &f.exps[i]
			seen[e.kind] += e.chance
			if e.kind == usual {
				slope := slopeOf(f.prior.t, e.s)
				tilt += e.chance * slope * slope
			}
		}
	}
	for k, v := range shapes() {
		n.scales.chance[k] = (kindWeight*v.chance + seen[k]) / (kindWeight + float64(len(n.frets)))
	}
	n.learnRough()
	const own, square = 4.0, 144.0 // 4 frets of 6 µm
	t := math.Sqrt((tilt + square) / (seen[usual] + own))
	n.scales.tilt = math.Min(math.Max(t, usualTiltMin), usualTiltMax)
}

// roughOwn is how many neighbours the chance of a rough fret anywhere counts for.
const roughOwn = 2.0

// learnRough makes a fret likelier to be rough beside rough ones: wear and careless
// dressing go over several frets.
func (n *net) learnRough() {
	for _, f := range n.frets {
		f.nowRough = 0
		for i := range f.exps {
			if f.exps[i].kind == rough {
				f.nowRough += f.exps[i].chance
			}
		}
	}
	global := n.scales.chance[rough]
	for i, f := range n.frets {
		sum, weight := roughOwn*global, roughOwn
		for d, w := range []float64{besideFret1, besideFret2, besideFret3} {
			for _, k := range []int{i - d - 1, i + d + 1} {
				if k >= 0 && k < len(n.frets) {
					sum += w * n.frets[k].nowRough
					weight += w
				}
			}
		}
		f.rough = sum / weight / global
	}
}

func slopeOf(t, z []float64) float64 {
	var mt, mz, stt, stz float64
	for i := range t {
		mt += t[i] / float64(len(t))
		mz += z[i] / float64(len(t))
	}
	for i := range t {
		stt += (t[i] - mt) * (t[i] - mt)
		stz += (t[i] - mt) * (z[i] - mz)
	}
	if stt == 0 {
		return 0
	}
	return stz / stt
}

// learnTau is the posterior mean of ln τ, from the best explanations of frets that
// lie as usual or are only badly seated.
func (n *net) learnTau() {
	if len(n.c.lanes) < 3 || n.c.apart {
		return
	}
	n.scales.tau = tauFrom(n.scales, n.curveLikelihood)
}

// tauFrom is the posterior mean of ln τ over the grid, other scales as they are.
func tauFrom(s scales, likelihood func(*scales) float64) float64 {
	logs, best := [tauCount]float64{}, math.Inf(-1)
	for i := range logs {
		s.tau = tauAt(i)
		z := math.Log(s.tau/tauMedian) / tauLogSD
		logs[i] = -z*z/2 + likelihood(&s)
		best = math.Max(best, logs[i])
	}
	sum, weight := 0.0, 0.0
	for i, l := range logs {
		p := math.Exp(l - best)
		sum += p * math.Log(tauAt(i))
		weight += p
	}
	return math.Exp(sum / weight)
}

func tauAt(i int) float64 { return tauFirst * math.Pow(2, float64(i)/2) }

// curveLikelihood is the ln likelihood of the best explanations' crown means
// under other scales.
func (n *net) curveLikelihood(s *scales) (sum float64) {
	d := depths()
	priors := map[*lanesPrior]*[2][]float64{}
	for _, f := range n.frets {
		e := &f.exps[0]
		if len(f.crowns) < 3 || e.kind != usual && e.kind != seat {
			continue
		}
		m := len(f.crowns)
		both := priors[f.prior]
		if both == nil {
			both = &[2][]float64{make([]float64, m*m), make([]float64, m*m)}
			f.prior.curve(usual, s, both[0])
			f.prior.curve(seat, s, both[1])
			priors[f.prior] = both
		}
		cov := both[0]
		if e.kind == seat {
			cov = both[1]
		}
		var room [maxSmall * maxSmall]float64
		var y [maxSmall]float64
		k := 0
		var lanes [maxSmall]int
		for l := range min(m, maxSmall) {
			if c := f.comps[l][e.at[l]]; !math.IsInf(c.variance, 1) {
				lanes[k], y[k] = l, c.mean-d[c.dent].mean
				k++
			}
		}
		for i := range k {
			c := f.comps[lanes[i]][e.at[lanes[i]]]
			for j := range k {
				room[i*k+j] = cov[lanes[i]*m+lanes[j]]
			}
			room[i*k+i] += c.variance + d[c.dent].sd*d[c.dent].sd
		}
		logDet, ok := factor(room[:k*k], k)
		if !ok {
			continue
		}
		forward(room[:k*k], k, y[:k])
		sum -= logDet / 2
		for _, v := range y[:k] {
			sum -= v * v / 2
		}
	}
	return sum
}

// maxSmall is more than any neck's lanes: 18 whole ones and as many between.
const maxSmall = 40
