package readplan

import (
	"math"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// belief is a judge of its own for trials: each fret lies in one of several ways,
// weighed by what was read of it; set-ups by expectation and maximisation, their
// covariance by Louis (1982). It tells crowns that were not read from those of the
// same fret that were. It knows no misreads and no grooves.
type belief struct {
	lanes   []Lane
	x       [][]float64 // along each lane, −1 to 1
	chances []float64
	covs    []*mat.SymDense // of a fret's crowns, one for each way
	uMM     float64
	limitMM float64
	least   int // a lane is level only where so many of its crowns were read
	next    []Set
	known   *sync.Map // what ways make of readings, by the lanes read
}

func newBelief(t Trial, uMM float64, least int, next ...Set) *belief {
	const wholeFretMM = 0.150 // a hump must not be hidden: not what the shop usually does
	b := &belief{lanes: t.Lanes, uMM: uMM, limitMM: t.LimitMM, least: least, next: next, known: &sync.Map{}}
	for _, l := range t.Lanes {
		x := make([]float64, len(l.XMM))
		for i, v := range l.XMM {
			x[i] = (2*v - l.XMM[0] - l.XMM[len(x)-1]) / (l.XMM[len(x)-1] - l.XMM[0])
		}
		b.x = append(b.x, x)
	}
	shapes, shares := oddKinds()
	shapes = append([]Shape{t.Shop.usual()}, shapes...)
	b.chances = append(b.chances, 1-t.Shop.Odd)
	for _, s := range shares {
		b.chances = append(b.chances, t.Shop.Odd*s)
	}
	for _, s := range shapes {
		s.OffsetMM = wholeFretMM
		b.covs = append(b.covs, s.Cov(places(len(t.Lanes))))
	}
	return b
}

// row is one reading: a crown, by a set-up.
type row struct {
	lane, setup int
	x, value    float64
}

// way is what one way of lying makes of a fret's readings.
type way struct {
	prec   *mat.SymDense
	logDet float64
	gain   *mat.Dense // lanes × readings
	root   *mat.TriDense
}

func (b *belief) ways(rows []row) []way {
	key := ""
	for _, r := range rows {
		key += string(rune(r.lane))
	}
	if w, known := b.known.Load(key); known {
		return w.([]way)
	}
	var out []way
	for _, c := range b.covs {
		out = append(out, b.way(c, rows))
	}
	b.known.Store(key, out)
	return out
}

func (b *belief) way(cov *mat.SymDense, rows []row) way {
	n, lanes := len(rows), len(b.lanes)
	left := mat.NewSymDense(lanes, nil)
	left.CopySym(cov)
	if n == 0 {
		return way{root: rootOf(left)}
	}
	seen, cross := mat.NewSymDense(n, nil), mat.NewDense(lanes, n, nil)
	for i, r := range rows {
		for k := i; k < n; k++ {
			seen.SetSym(i, k, cov.At(r.lane, rows[k].lane))
		}
		seen.SetSym(i, i, seen.At(i, i)+b.uMM*b.uMM)
		for l := range lanes {
			cross.Set(l, i, cov.At(l, r.lane))
		}
	}
	var chol mat.Cholesky
	chol.Factorize(seen)
	w := way{logDet: chol.LogDet(), prec: mat.NewSymDense(n, nil), gain: mat.NewDense(lanes, n, nil)}
	_ = chol.InverseTo(w.prec)
	w.gain.Mul(cross, w.prec)
	var less mat.Dense
	less.Mul(w.gain, cross.T())
	for i := range lanes {
		for k := i; k < lanes; k++ {
			left.SetSym(i, k, left.At(i, k)-less.At(i, k))
		}
	}
	w.root = rootOf(left)
	return w
}

// judge is the Judge of a trial.
func (b *belief) judge(r []reading.Reading, _ bool) (Said, error) {
	frets := len(b.lanes[0].Frets)
	byFret := make([][]row, frets)
	setups := map[string]int{}
	read := map[Place]bool{}
	for _, o := range r {
		key := string(rune(int(o.Lane))) + o.Pass
		if _, known := setups[key]; !known {
			setups[key] = len(setups)
		}
		l, f := int(o.Lane)-1, o.Frets[0]-1
		byFret[f] = append(byFret[f], row{l, setups[key], b.x[l][f], o.Value})
		read[Place{o.Lane, o.Frets[0]}] = true
	}
	ways := make([][]way, frets)
	for f := range ways {
		ways[f] = b.ways(byFret[f])
	}
	theta, spread, weights := b.setups(byFret, ways, len(setups))
	v := b.verdicts(byFret, ways, weights, theta, spread)
	said := Said{Verdict: straight.Level}
	for l, lane := range b.lanes {
		count := 0
		for _, f := range lane.Frets {
			if read[Place{lane.Lane, f}] {
				count++
			}
		}
		if count < b.least && v[l] == straight.Level {
			v[l] = straight.InDoubt
		}
		if v[l] == straight.NotLevel || v[l] == straight.InDoubt && said.Verdict == straight.Level {
			said.Verdict = v[l]
		}
	}
	said.Next = b.next
	return said, nil
}

// residuals are a fret's readings without their set-ups.
func residuals(rows []row, theta []float64) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = r.value - theta[2*r.setup] - theta[2*r.setup+1]*r.x
	}
	return out
}

// weigh is each way's chance for a fret, and its precision times the residuals.
func (b *belief) weigh(ways []way, res []float64) (chances []float64, scores [][]float64) {
	logs := make([]float64, len(ways))
	for k, w := range ways {
		logs[k] = math.Log(b.chances[k]) - w.logDet/2
		score := make([]float64, len(res))
		for i := range res {
			for j := range res {
				score[i] += w.prec.At(i, j) * res[j]
			}
		}
		logs[k] -= floats.Dot(res, score) / 2
		scores = append(scores, score)
	}
	all := floats.LogSumExp(logs)
	for _, l := range logs {
		chances = append(chances, math.Exp(l-all))
	}
	return chances, scores
}

// setups finds every set-up's offset and tilt, and the root of their covariance.
func (b *belief) setups(byFret [][]row, ways [][]way, count int) (theta []float64, root *mat.TriDense, weights [][]float64) {
	theta = make([]float64, 2*count)
	weights = make([][]float64, len(byFret))
	const rounds = 12
	var chol mat.Cholesky
	missing := 0.9 // part of what the unknown ways take off the information
	for round := 0; round < rounds; round++ {
		info, right := mat.NewSymDense(2*count, nil), mat.NewVecDense(2*count, nil)
		for f, rows := range byFret {
			if len(rows) == 0 {
				weights[f] = b.chances
				continue
			}
			var scores [][]float64
			weights[f], scores = b.weigh(ways[f], residuals(rows, theta))
			mean := make([]float64, len(rows))
			for k, s := range scores {
				floats.AddScaled(mean, weights[f][k], s)
			}
			for i, p := range rows {
				for d, xp := range [2]float64{1, p.x} {
					at := 2*p.setup + d
					right.SetVec(at, right.AtVec(at)+xp*mean[i])
					for j, q := range rows {
						v := 0.0
						for k, s := range scores {
							v += weights[f][k] * ways[f][k].prec.At(i, j)
							if round == rounds-1 {
								v -= missing * weights[f][k] * (s[i] - mean[i]) * (s[j] - mean[j])
							}
						}
						for e, xq := range [2]float64{1, q.x} {
							if to := 2*q.setup + e; at <= to {
								info.SetSym(at, to, info.At(at, to)+v*xp*xq)
							}
						}
					}
				}
			}
		}
		for i := range 2 * count {
			info.SetSym(i, i, info.At(i, i)+0.01) // 0 ± 10 mm
		}
		if !chol.Factorize(info) {
			if missing /= 2; missing < 0.05 {
				missing = 0
			}
			round--
			continue
		}
		if round < rounds-1 {
			var step mat.VecDense
			_ = chol.SolveVecTo(&step, right)
			floats.Add(theta, step.RawVector().Data)
		}
	}
	cov := mat.NewSymDense(2*count, nil)
	_ = chol.InverseTo(cov)
	return theta, rootOf(cov), weights
}

// verdicts draws necks as they may be, and judges each lane by the mean neck and
// the scatter of the zones drawn.
func (b *belief) verdicts(byFret [][]row, ways [][]way, weights [][]float64, theta []float64, spread *mat.TriDense) []straight.Verdict {
	const draws = 80
	lanes, frets := len(b.lanes), len(byFret)
	r := rand.New(rand.NewPCG(11, 7))
	z, mean, zones := mat.NewDense(lanes, frets, nil), mat.NewDense(lanes, frets, nil), mat.NewDense(lanes, draws, nil)
	free, g := make([]float64, len(theta)), make([]float64, lanes)
	for d := range draws {
		for i := range free {
			free[i] = r.NormFloat64()
		}
		drawn := make([]float64, len(theta))
		mat.NewVecDense(len(drawn), drawn).MulVec(spread, mat.NewVecDense(len(free), free))
		floats.Add(drawn, theta)
		for f, rows := range byFret {
			w := ways[f][pickOf(weights[f], r.Float64())]
			for i := range g {
				g[i] = r.NormFloat64()
			}
			res := residuals(rows, drawn)
			for l := range lanes {
				v := 0.0
				for k := range l + 1 {
					v += w.root.At(l, k) * g[k]
				}
				for i, e := range res {
					v += w.gain.At(l, i) * e
				}
				z.Set(l, f, v)
			}
		}
		mean.Add(mean, z)
		for l := range lanes {
			q, _ := straight.Zone(b.lanes[l].XMM, z.RawRowView(l))
			zones.Set(l, d, q.WidthMM)
		}
	}
	mean.Scale(1.0/draws, mean)
	out := make([]straight.Verdict, lanes)
	for l := range out {
		q, _ := straight.Zone(b.lanes[l].XMM, mean.RawRowView(l))
		wide := floats.Sum(zones.RawRowView(l)) / draws
		sd := 0.0
		for _, v := range zones.RawRowView(l) {
			sd += (v - wide) * (v - wide) / draws
		}
		sd = math.Sqrt(sd)
		switch {
		case q.WidthMM+1.645*sd <= b.limitMM:
			out[l] = straight.Level
		case q.WidthMM-2*(wide-q.WidthMM)-2.326*sd > b.limitMM:
			out[l] = straight.NotLevel
		default:
			out[l] = straight.InDoubt
		}
	}
	return out
}

func pickOf(chances []float64, share float64) int {
	for i, c := range chances {
		if share -= c; share < 0 {
			return i
		}
	}
	return 0
}
