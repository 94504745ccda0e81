package wear

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// guardDraws is how many unchanged necks the guard is drawn from: its level is
// then true to a percentage point or so.
const guardDraws = 1000

// tests are the quantities that a neck which did not change keeps small, all of
// them once a bow is taken out, and each over its standard deviation: each
// crown's change in its lane's free datum; each crown's against all the others as
// they were (Baarda's w), and that of each patch of neighbouring crowns together,
// since wear comes in patches; and each end of each fret.
type tests struct {
	n       *neck
	bows    []float64   // covariance of what the bows do, q × q
	byInf   [][]float64 // info·bow of each lane, m × q
	free    [][]float64 // one over the standard deviation of each crown's free change
	ends    [][2]float64
	patches []patch
	grid    [][]int // of each lane, the crown at each of the neck's frets, −1 where none
	prefix  [][]float64
	work    []float64
}

// patch is a run of lanes and of frets, and one over its standard deviation.
type patch struct {
	lane, lanes, fret, frets int
	per                      float64
}

// The largest patch: as wide and as long as playing wears.
const (
	patchLanes = 4
	patchFrets = 5
)

// noise is what the largest of the tests stays within on an unchanged neck: with
// the confidence asked for, and with one that leaves a fifth of the risk; and how
// large it is on this neck.
type noise struct{ guard, far, largest float64 }

// strictness is the part of the risk that is left where a neck is in doubt though
// no crown of it is.
const strictness = 0.2

func (n *neck) noise(confidence float64) noise {
	t := n.tests()
	rng := rand.New(rand.NewPCG(17, 4))
	most := make([]float64, guardDraws)
	d, known := n.room(), n.room()
	for k := range most {
		for i, l := range n.lanes {
			xi := make([]float64, l.rank)
			for j := range xi {
				xi[j] = rng.NormFloat64()
			}
			times(l.roots[0], xi, d[i])
			times(l.roots[1], xi, known[i])
		}
		most[k] = t.largest(d, known)
	}
	slices.Sort(most)
	point := func(p float64) float64 { return most[min(guardDraws-1, int(math.Ceil(p*guardDraws))-1)] }
	for i, l := range n.lanes {
		copy(d[i], l.d)
		times(l.info, l.d, known[i])
	}
	return noise{point(confidence), point(1 - (1-confidence)*strictness), t.largest(d, known)}
}

// room is a number for each crown.
func (n *neck) room() [][]float64 {
	out := make([][]float64, len(n.lanes))
	for i, l := range n.lanes {
		out[i] = make([]float64, l.m())
	}
	return out
}

func (n *neck) tests() *tests {
	q := len(n.bows)
	t := &tests{n: n, bows: make([]float64, q*q), free: n.room(), work: make([]float64, 2*q)}
	for k, b := range n.bows {
		t.bows[k*q+k] = 1 / (b.priorMM * b.priorMM)
	}
	for i, l := range n.lanes {
		known := make([]float64, l.m()*q)
		for i := range l.m() {
			timesT(l.bow, l.info[i*l.m():(i+1)*l.m()], known[i*q:(i+1)*q])
			for k := range q {
				for j := range q {
					t.bows[k*q+j] += l.bow[i*q+k] * known[i*q+j]
				}
			}
		}
		t.byInf = append(t.byInf, known)
		row := make([]int, len(n.frets))
		for f := range row {
			row[f] = -1
		}
		t.grid, t.prefix = append(t.grid, row), append(t.prefix, make([]float64, len(n.frets)+1))
		for f, at := range n.at {
			for _, c := range at {
				if c.lane == i {
					row[f] = c.at
				}
			}
		}
	}
	if q > 0 && !invert(t.bows, q) {
		clear(t.bows)
	}
	t.scaleFree()
	t.scaleEnds()
	t.layPatches()
	return t
}

// scaleFree works out the standard deviations of the free changes.
func (t *tests) scaleFree() {
	q := len(t.n.bows)
	for i, l := range t.n.lanes {
		bow := slices.Clone(l.bow)
		if q > 0 {
			unline(l.lines, bow, q)
		}
		for j := range l.m() {
			t.free[i][j] = per(l.variance(j) - t.quad(bow[j*q:j*q+q]))
		}
	}
}

func (t *tests) scaleEnds() {
	q := len(t.n.bows)
	for _, at := range t.n.at {
		var end [2]float64
		for side := range end {
			total, own := make([]float64, q), 0.0
			for _, c := range at {
				l := t.n.lanes[c.lane]
				w := l.share(side)
				own += w * w * l.info[c.at*l.m()+c.at]
				for k := range q {
					total[k] += w * t.byInf[c.lane][c.at*q+k]
				}
			}
			end[side] = per(own - t.quad(total))
		}
		t.ends = append(t.ends, end)
	}
}

// layPatches lists every run of neighbouring lanes and frets.
func (t *tests) layPatches() {
	q := len(t.n.bows)
	for first := range t.n.lanes {
		for f := range t.n.frets {
			for frets := 1; frets <= patchFrets && f+frets <= len(t.n.frets); frets++ {
				total, own := make([]float64, q), 0.0
				for lanes := 1; lanes <= patchLanes && first+lanes <= len(t.n.lanes); lanes++ {
					at := first + lanes - 1
					l := t.n.lanes[at]
					for _, i := range t.grid[at][f : f+frets] {
						if i < 0 {
							continue
						}
						for k := range q {
							total[k] += t.byInf[at][i*q+k]
						}
						for _, j := range t.grid[at][f : f+frets] {
							if j >= 0 {
								own += l.info[i*l.m()+j]
							}
						}
					}
					t.patches = append(t.patches, patch{first, lanes, f, frets, per(own - t.quad(total))})
				}
			}
		}
	}
}

// per is one over a standard deviation; 0 where there is none.
func per(variance float64) float64 {
	if !(variance > 0) {
		return 0
	}
	return 1 / math.Sqrt(variance)
}

// share is a lane's part in the treble (0) or the bass (1) end of a fret.
func (l *lane) share(side int) float64 {
	if side == 0 {
		return 0.5 - l.t
	}
	return 0.5 + l.t
}

// quad is aᵀ·(covariance of the bows)·a.
func (t *tests) quad(a []float64) (v float64) {
	q := len(a)
	for i := range a {
		for j := range a {
			v += a[i] * t.bows[i*q+j] * a[j]
		}
	}
	return v
}

// largest is the largest of the tests for changes d, known being info·d. Both
// are overwritten.
func (t *tests) largest(d, known [][]float64) (most float64) {
	n, q := t.n, len(t.n.bows)
	right, by := t.work[:q], t.work[q:]
	clear(right)
	for i, l := range n.lanes {
		timesT(l.bow, known[i], right)
	}
	times(t.bows, right, by)
	for i, l := range n.lanes {
		for j := range d[i] {
			for k, b := range by {
				d[i][j] -= b * l.bow[j*q+k]
				known[i][j] -= b * t.byInf[i][j*q+k]
			}
		}
		unline(l.lines, d[i], 1)
		for j, v := range d[i] {
			most = max(most, math.Abs(v)*t.free[i][j])
		}
		for f, j := range t.grid[i] {
			t.prefix[i][f+1] = t.prefix[i][f]
			if j >= 0 {
				t.prefix[i][f+1] += known[i][j]
			}
		}
	}
	for f, at := range n.at {
		var s [2]float64
		for _, c := range at {
			for side := range s {
				s[side] += n.lanes[c.lane].share(side) * known[c.lane][c.at]
			}
		}
		most = max(most, math.Abs(s[0])*t.ends[f][0], math.Abs(s[1])*t.ends[f][1])
	}
	return max(most, t.largestPatch())
}

func (t *tests) largestPatch() (most float64) {
	s := 0.0
	for _, p := range t.patches {
		if p.lanes == 1 {
			s = 0
		}
		row := t.prefix[p.lane+p.lanes-1]
		s += row[p.fret+p.frets] - row[p.fret]
		most = max(most, math.Abs(s)*p.per)
	}
	return most
}

// sees works out the change that the readings would show nine times in ten.
func (n *neck) sees(r *Result) {
	const nineInTen = 0.9
	z := r.CriticalValue + distuv.UnitNormal.Quantile(nineInTen)
	for _, l := range n.lanes {
		for i := range l.x {
			r.LargestUMM = max(r.LargestUMM, math.Sqrt(l.variance(i)))
			r.SeesFromMM = max(r.SeesFromMM, z*l.uOne[0][i])
			r.SeesToMM = max(r.SeesToMM, z*l.uOne[1][i])
		}
	}
	r.SeesMM = z * r.LargestUMM
}
