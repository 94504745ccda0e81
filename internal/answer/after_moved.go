package answer

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
)

const (
	// falseMoves is the chance that anything is said to have moved on a neck where
	// nothing did, all crowns together.
	falseMoves = 0.01
	// holdsWithin is how many standard uncertainties the two sets may differ at a
	// crown for its readings before to count: less than what is said to have moved,
	// since a crown that moved a little unseen would be taken half-way.
	holdsWithin = 2.5
	// handFarOff is how many standard uncertainties what a hand took off a lane may
	// differ from what was planned, in proportion, before it counts as unknown.
	handFarOff = 3.0
	// leastCommon is how many crowns both sets must know in a lane to be compared:
	// with a line and a bow of its own fewer would fit anything.
	leastCommon = 6
)

// beyond is how many standard uncertainties lie beyond chance for n crowns
// together, by the bound of Bonferroni.
func beyond(n int) float64 {
	return math.Sqrt2 * math.Erfinv(1-falseMoves/float64(max(n, 1)))
}

// compare finds what came off one lane, crown by crown. Both sets see the lane only
// up to a line, and where the rod or the strings may be set otherwise, a bow.
func (v *levelling) compare(before, now findings.Lane, planned []float64) {
	var x, left, u []float64
	var all []*filing
	for i, f := range before.Frets {
		for k, g := range now.Frets {
			if f != g || v.first[f] {
				continue
			}
			c := &filing{planned: planned[i], u: math.Hypot(before.U[i], now.U[k])}
			if c.planned > 0 {
				c.u = math.Hypot(c.u, handMM)
			}
			all = append(all, c)
			x, left, u = append(x, before.X[i]), append(left, before.D[i]-planned[i]-now.D[k]), append(u, c.u)
			v.crowns[level.Place{Fret: f, Lane: before.Lane.Lane}] = c
		}
	}
	if len(all) < leastCommon {
		return
	}
	fit := robust(x, left, u, v.bowFree)
	if v.bowFree {
		v.bows[before.Lane.Lane] = fit
	}
	much := beyond(v.count())
	for i, c := range all {
		over := left[i] - fit.at(x[i])
		c.told, c.taken, c.far = true, c.planned+over, math.Abs(over) > much*c.u
		c.unsure = math.Abs(over) > holdsWithin*c.u
	}
	if !asPlanned(all) {
		for _, c := range all {
			c.unsure = c.unsure || c.planned > 0
		}
	}
}

// count is how many crowns the second set knows.
func (v *levelling) count() int {
	n := 0
	for _, l := range v.alone.Lanes {
		n += len(l.Frets)
	}
	return n
}

// asPlanned reports whether a lane's filed crowns lost what was planned, in
// proportion: a little too little on each is beyond chance together.
func asPlanned(all []*filing) bool {
	told, done := 0.0, 0.0
	for _, c := range all {
		if c.planned > 0 {
			w := c.planned / (c.u * c.u)
			told += w * c.planned
			done += w * c.taken
		}
	}
	return told == 0 || math.Abs(done/told-1)*math.Sqrt(told) <= handFarOff
}

// curve is a line with, or without, a bow.
type curve struct {
	middle, reach float64
	c             [3]float64
}

func (k curve) at(x float64) float64 {
	t := (x - k.middle) / k.reach
	return k.c[0] + t*(k.c[1]+t*k.c[2])
}

// bow is what of the curve a line through its ends does not explain.
func (k curve) bow(x float64) float64 {
	t := (x - k.middle) / k.reach
	return k.c[2] * (t*t - 1)
}

// robustRounds and robustFloor steer the fit of least absolute deviations by
// weights: enough rounds that nothing moves, and a distance, in standard
// uncertainties, below which a deviation weighs no more.
const (
	robustRounds = 40
	robustFloor  = 0.1
)

// robust is the curve with the least sum of absolute deviations over u, found by
// weighted least squares again and again: crowns that moved hardly draw it.
func robust(x, y, u []float64, bowFree bool) curve {
	first, last := x[0], x[len(x)-1]
	k := curve{middle: (first + last) / 2, reach: (last - first) / 2}
	terms := 2
	if bowFree {
		terms = 3
	}
	w := make([]float64, len(x))
	for i := range w {
		w[i] = 1 / (u[i] * u[i])
	}
	for range robustRounds {
		normal, right := mat.NewSymDense(terms, nil), mat.NewVecDense(terms, nil)
		for i := range x {
			t := (x[i] - k.middle) / k.reach
			p := [3]float64{1, t, t * t}
			for a := range terms {
				right.SetVec(a, right.AtVec(a)+w[i]*p[a]*y[i])
				for b := a; b < terms; b++ {
					normal.SetSym(a, b, normal.At(a, b)+w[i]*p[a]*p[b])
				}
			}
		}
		var c mat.VecDense
		if err := c.SolveVec(normal, right); err != nil {
			return k // never with crowns at three places or more
		}
		for a := range terms {
			k.c[a] = c.AtVec(a)
		}
		for i := range x {
			w[i] = 1 / (u[i] * math.Max(math.Abs(y[i]-k.at(x[i])), robustFloor*u[i]))
		}
	}
	return k
}
