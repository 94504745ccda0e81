package drift

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Wanted is what values are to keep: a least, a most, or both, and the value
// to aim at. nil where there is none; without Aim it is the middle of both.
type Wanted struct {
	Least, Most, Aim *float64
}

// Index is a capability index with its limits of confidence.
type Index struct {
	Value, Lower, Upper float64
}

// Capability says how well a process keeps what is wanted. A nil index needs a
// limit that was not given.
type Capability struct {
	Wanted     Wanted
	N          int
	Mean       float64
	Sigma      float64 // within groups, or from moving ranges
	Overall    float64 // standard deviation of all values
	Confidence float64 // of the limits

	Cp  *Index // width wanted over 6 sigma
	Cpl *Index // mean's distance from the least over 3 sigma
	Cpu *Index // mean's distance from the most over 3 sigma
	Cpk *Index // the smaller of these
	Cpm *Index // Cp with the distance from the aim counted as scatter
	Pp  *Index // Cp of the overall standard deviation
	Ppk *Index // Cpk of it

	Outside         int     // values that do not keep what is wanted
	ExpectedOutside float64 // share of a normal process with this mean and sigma
}

// Capable works out capability indices of values, sigma being the standard
// deviation of one value that their control chart gave. Limits of confidence
// take sigma for a standard deviation of n − 1 degrees of freedom.
//
// values: 2 or more; sigma > 0 (ErrNoScatter); Least below Most, at least one
// given; confidence in (0, 1).
// Source: Cp by χ², Cpk after Bissell, Applied Statistics 39 (1990) 331, Cpm
// after Boyles, Journal of Quality Technology 23 (1991) 17; Montgomery,
// chapter 8. Checked by TestCapable_PistonRings.
func Capable(values []float64, sigma float64, w Wanted, confidence float64) (Capability, error) {
	if err := checkFinite(values, 2); err != nil {
		return Capability{}, err
	}
	switch {
	case w.Least == nil && w.Most == nil:
		return Capability{}, fmt.Errorf("capability needs a least or a most value")
	case w.Least != nil && w.Most != nil && *w.Least >= *w.Most:
		return Capability{}, fmt.Errorf("the least value %g is not below the most, %g", *w.Least, *w.Most)
	case !(sigma > 0):
		return Capability{}, ErrNoScatter
	}
	mean, overall := stat.MeanStdDev(values, nil)
	c := Capability{
		Wanted: w, N: len(values), Mean: mean, Sigma: sigma, Overall: overall, Confidence: confidence,
	}
	ci := interval{n: float64(len(values)), tail: (1 - confidence) / 2}
	c.Cpl, c.Cpu = oneSided(mean, sigma, w, ci)
	c.Cpk = smaller(c.Cpl, c.Cpu)
	if overall > 0 {
		c.Ppk = smaller(oneSided(mean, overall, w, ci))
	}
	if w.Least != nil && w.Most != nil {
		width := *w.Most - *w.Least
		c.Cp = ci.ofWidth(width / (6 * sigma))
		if overall > 0 {
			c.Pp = ci.ofWidth(width / (6 * overall))
		}
		aim := (*w.Least + *w.Most) / 2
		if w.Aim != nil {
			aim = *w.Aim
		}
		c.Wanted.Aim = &aim
		off := (mean - aim) / sigma
		c.Cpm = ci.ofAim(width/(6*sigma*math.Sqrt(1+off*off)), off)
	}
	c.countOutside(values)
	return c, nil
}

// countOutside counts the values that miss what is wanted, and what share of a
// normal process would.
func (c *Capability) countOutside(values []float64) {
	for _, v := range values {
		if c.Wanted.Least != nil && v < *c.Wanted.Least || c.Wanted.Most != nil && v > *c.Wanted.Most {
			c.Outside++
		}
	}
	if c.Cpl != nil {
		c.ExpectedOutside += phi(-3 * c.Cpl.Value)
	}
	if c.Cpu != nil {
		c.ExpectedOutside += phi(-3 * c.Cpu.Value)
	}
}

// oneSided returns Cpl and Cpu, nil where there is no such limit.
func oneSided(mean, sigma float64, w Wanted, ci interval) (lower, upper *Index) {
	if w.Least != nil {
		lower = ci.ofSide((mean - *w.Least) / (3 * sigma))
	}
	if w.Most != nil {
		upper = ci.ofSide((*w.Most - mean) / (3 * sigma))
	}
	return lower, upper
}

// smaller returns the smaller of two indices, or the one there is.
func smaller(a, b *Index) *Index {
	if a == nil || b != nil && b.Value < a.Value {
		return b
	}
	return a
}

// interval makes two-sided limits of confidence for n values.
type interval struct {
	n, tail float64
}

// ofWidth: an index that varies as 1/sigma alone.
func (ci interval) ofWidth(v float64) *Index {
	lower, upper := ci.chi(ci.n - 1)
	return &Index{v, v * lower, v * upper}
}

// ofAim: the same, with the degrees of freedom that the distance from the aim,
// in sigmas, adds.
func (ci interval) ofAim(v, off float64) *Index {
	a := off * off
	lower, upper := ci.chi(ci.n * (1 + a) * (1 + a) / (1 + 2*a))
	return &Index{v, v * lower, v * upper}
}

// chi returns √(χ²/ν) at both tails.
func (ci interval) chi(nu float64) (lower, upper float64) {
	d := distuv.ChiSquared{K: nu}
	return math.Sqrt(d.Quantile(ci.tail) / nu), math.Sqrt(d.Quantile(1-ci.tail) / nu)
}

// ofSide: an index in which the mean varies too.
func (ci interval) ofSide(v float64) *Index {
	z := distuv.UnitNormal.Quantile(1 - ci.tail)
	half := z * math.Sqrt(1/(9*ci.n)+v*v/(2*(ci.n-1)))
	return &Index{v, v - half, v + half}
}
