package heights

import (
	"math"
	"math/bits"

	"ringtrue/internal/num"
)

// component is one way to explain a crown's readings: some of them kept, the
// others misread, on a crown with or without a dent.
type component struct {
	mean, variance float64 // of the kept readings, µm; variance +Inf where none is kept
	log            float64 // ln weight
	kept           uint64  // bits of the crown's readings
	dent           dent
}

// one is a reading of one crown less its set-up, µm.
type one struct{ value, u, misread float64 }

// maxSubsets is how many readings of a crown are tried in every subset; of more,
// those farthest from the median are tried.
const maxSubsets = 5

// agreeing is how far readings may differ, in their joint uncertainty, with no
// thought of a misread among them.
const agreeing = 3.0

// components lists the ways to explain a crown's readings, groove and burrs
// the chances of a groove and of a burr, into room.
func components(readings []one, groove, burrs float64, room []component) []component {
	var chances [dents]float64
	d := depths()
	chances[shallow], chances[deep] = math.Log(groove*d[shallow].share), math.Log(groove*d[deep].share)
	chances[burr] = math.Log(burrs)
	chances[noDent] = math.Log1p(-groove - burrs)
	out := room[:0]
	for _, kept := range subsets(readings) {
		c := weigh(readings, kept)
		for k := noDent; k < dents; k++ {
			if k != noDent && kept == 0 {
				break // nothing tells of a dent there
			}
			e := c
			e.dent = k
			e.log += chances[k]
			out = append(out, e)
		}
	}
	return out
}

// subsets are the sets of readings that may be the good ones.
func subsets(readings []one) []uint64 {
	n := len(readings)
	all := uint64(1)<<n - 1
	odd := all
	if n > 1 {
		odd = odds(readings)
	}
	out := []uint64{all}
	if n == 0 {
		return out
	}
	if odd == 0 {
		return append(out, 0)
	}
	for sub := odd; sub > 0; sub = (sub - 1) & odd {
		if sub != all {
			out = append(out, all&^sub)
		}
	}
	return append(out, 0)
}

// odds are the readings that differ from another by more than chance, the
// farthest few of them.
func odds(readings []one) (odd uint64) {
	for i, a := range readings {
		for j, b := range readings[:i] {
			if math.Abs(a.value-b.value) > agreeing*math.Hypot(a.u, b.u) {
				odd |= 1<<i | 1<<j
			}
		}
	}
	for bits.OnesCount64(odd) > maxSubsets { // let be the one nearest to the median
		m := medianOf(readings)
		near, at := math.Inf(1), 0
		for i, r := range readings {
			if odd>>i&1 == 1 && math.Abs(r.value-m) < near {
				near, at = math.Abs(r.value-m), i
			}
		}
		odd &^= 1 << at
	}
	return odd
}

func medianOf(readings []one) float64 {
	v := make([]float64, len(readings))
	for i, r := range readings {
		v[i] = r.value
	}
	return num.Median(v)
}

// weigh is the component of one set of kept readings, with no dent.
func weigh(readings []one, kept uint64) component {
	c := component{kept: kept, variance: math.Inf(1)}
	sum, weight := 0.0, 0.0
	for i, r := range readings {
		if kept>>i&1 == 0 {
			c.log += math.Log(r.misread / misreadRange)
			continue
		}
		p := 1 / (r.u * r.u)
		sum += p * r.value
		weight += p
		c.log += math.Log1p(-r.misread) - math.Log(r.u) - halfLogTwoPi
	}
	if weight == 0 {
		return c
	}
	c.mean, c.variance = sum/weight, 1/weight
	c.log += halfLogTwoPi + 0.5*math.Log(c.variance)
	for i, r := range readings {
		if kept>>i&1 == 1 {
			w := (r.value - c.mean) / r.u
			c.log -= w * w / 2
		}
	}
	return c
}

const halfLogTwoPi = 0.9189385332046727
