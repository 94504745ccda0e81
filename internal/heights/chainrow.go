package heights

import "math"

// rowN is a reading: Σ w·state = value ± u.
type rowN struct {
	at       []int
	w        []float64
	value    float64
	u        float64
	misread  float64
	bound    bound
	weight   float64 // precision in the least-squares problem, 1/µm²
	pull     float64 // and its right side
	good     float64
	residual float64 // against what the rest says
	spread   float64 // and its standard deviation
}

// start takes a reading at its word.
func (r *rowN) start() {
	if r.bound == exact {
		r.weight = 1 / (r.u * r.u)
		r.pull = r.weight * r.value
	}
}

// touches counts the readings of a crown alone.
func (k *chain) touches(crown int) (n int) {
	p := k.c.list[crown]
	for _, o := range k.obs {
		if len(o.frets) == 1 && o.lane == p.lane && o.frets[0] == p.fret && o.bound == exact {
			n++
		}
	}
	return n
}

func (k *chain) layRows() {
	surface := k.bareSurface()
	first := len(k.c.list)
	for _, o := range k.obs {
		r := rowN{u: micro * o.u, misread: misreadChance, bound: o.bound, value: micro * o.value, good: 1}
		share := 0.0
		for j, f := range o.frets {
			i := k.c.index[place{f, o.lane}]
			r.at, r.w = append(r.at, k.at[i]), append(r.w, o.weights[j])
			r.value -= o.weights[j] * k.shape[i]
			share += o.weights[j] * surface[i]
		}
		if at, known := k.setups[o.pass]; known {
			x := k.scaledX(k.c.index[place{o.frets[0], o.lane}])
			r.at, r.w = append(r.at, first+at, first+at+1), append(r.w, 1, x)
			if at, known := k.shapeAt[o.method]; known {
				for j, v := range OwnShape(x) {
					r.at, r.w = append(r.at, first+at+j), append(r.w, o.sign*v)
				}
			}
		}
		if k.kappaAt >= 0 {
			r.at, r.w = append(r.at, first+k.kappaAt), append(r.w, share)
		}
		r.misread *= o.topDoubt()
		k.rows = append(k.rows, r)
	}
}

// seen is what state says of a row's quantity: its mean and variance.
func (k *chain) seen(r *rowN) (mean, variance float64) {
	for a, p := range r.at {
		mean += r.w[a] * k.mean[p]
		row := k.cov[p*k.n : (p+1)*k.n]
		t := 0.0
		for b, q := range r.at {
			t += r.w[b] * row[q]
		}
		variance += r.w[a] * t
	}
	return mean, variance
}

// unchecked is the part of a reading that the rest leaves unchecked above which
// it is taken as it is.
const unchecked = 0.99

// judgeReadings sets each reading's weight from what all the others say of it.
func (k *chain) judgeReadings() {
	for i := range k.rows {
		r := &k.rows[i]
		mean, v := k.seen(r)
		part := r.weight * v
		r.spread = math.NaN()
		if part > unchecked {
			continue
		}
		variance := v / (1 - part) // without the reading itself
		mean -= variance * (r.pull - r.weight*mean)
		r.residual, r.spread = r.value-mean, math.Sqrt(r.u*r.u+variance)
		if r.bound == exact {
			z := r.residual / r.spread
			good := math.Log1p(-r.misread) - z*z/2 - math.Log(r.spread) - halfLogTwoPi
			bad := math.Log(r.misread / misreadRange)
			p := 1 / (1 + math.Exp(bad-good))
			r.good = r.good + chainDamping*(p-r.good)
			r.weight = r.good / (r.u * r.u)
			r.pull = r.weight * r.value
			continue
		}
		r.oneSided(mean, variance)
	}
}

// oneSided replaces a bound by the Gaussian with the moments of a normal cut off
// there.
func (r *rowN) oneSided(mean, variance float64) {
	z := (r.value - mean) / r.spread
	sign := 1.0
	if r.bound == atLeast {
		z, sign = -z, -1
	}
	below := math.Max(0.5*math.Erfc(-z/math.Sqrt2), 1e-300)
	r.good = (1 - r.misread) * below / ((1-r.misread)*below + r.misread/2)
	ratio := math.Exp(-z*z/2-halfLogTwoPi) / below
	if z < -30 {
		ratio = -z
	}
	m := mean - sign*variance*ratio/r.spread
	v := variance - variance*variance*ratio*(z+ratio)/(r.spread*r.spread)
	if v <= 0 || v >= variance || r.good < 0.5 {
		r.weight, r.pull = 0, 0
		return
	}
	weight := 1/v - 1/variance
	pull := m/v - mean/variance
	r.weight += chainDamping * (weight - r.weight)
	r.pull += chainDamping * (pull - r.pull)
}
