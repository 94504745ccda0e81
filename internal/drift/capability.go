package drift

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Spec is what values are to keep: a least, a most, or both, and the value to
// aim at. Without Target it is the middle of both.
type Spec struct {
	Lower  num.Opt `json:"at_least"`
	Upper  num.Opt `json:"at_most"`
	Target num.Opt `json:"aim"`
}

// Asked says whether there is a limit to keep.
func (s Spec) Asked() bool { return s.Lower.Known() || s.Upper.Known() }

// Index is a capability index with its limits of confidence.
type Index struct {
	Value float64 `json:"value"`
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// Capability says how well a process keeps what is wanted. A nil index needs a
// limit that was not given.
type Capability struct {
	Spec
	Mean       float64 `json:"mean"`
	Sigma      float64 `json:"sigma_within"`  // within groups, or from moving ranges
	OverallSD  float64 `json:"sigma_overall"` // standard deviation of all values
	Confidence float64 `json:"confidence"`    // of the limits

	Cp      *Index `json:"cp"`  // width wanted over 6 sigma
	CpLower *Index `json:"cpl"` // mean's distance from the least over 3 sigma
	CpUpper *Index `json:"cpu"` // mean's distance from the most over 3 sigma
	Cpk     *Index `json:"cpk"` // the smaller of these
	Cpm     *Index `json:"cpm"` // Cp with the distance from the aim counted as scatter
	Pp      *Index `json:"pp"`  // Cp of the overall standard deviation
	Ppk     *Index `json:"ppk"` // Cpk of it

	Outside            int     `json:"values_outside"`       // values that do not keep what is wanted
	ExpectedOutsidePct float64 `json:"expected_outside_pct"` // of a normal process with this mean and sigma
}

// Capable works out capability indices of values, sigma being the standard
// deviation of one value that their control chart gave. Limits of confidence
// take sigma for a standard deviation of n − 1 degrees of freedom.
//
// values: 2 or more; sigma > 0 (ErrNoScatter); Lower below Upper, at least one
// given; confidence in (0, 1).
// Source: Cp by χ², Cpk after Bissell, Applied Statistics 39 (1990) 331, Cpm
// after Boyles, Journal of Quality Technology 23 (1991) 17; Montgomery,
// chapter 8. Checked by TestCapable_PistonRings.
func Capable(values []float64, sigma float64, w Spec, confidence float64) (Capability, error) {
	if err := checkFinite(values, 2); err != nil {
		return Capability{}, err
	}
	lower, hasLower := w.Lower.Get()
	upper, hasUpper := w.Upper.Get()
	switch {
	case !w.Asked():
		return Capability{}, fmt.Errorf("capability needs a lower or an upper limit")
	case hasLower && hasUpper && lower >= upper:
		return Capability{}, fmt.Errorf("the lower limit, %g, must be below the upper, %g", lower, upper)
	case !(sigma > 0):
		return Capability{}, ErrNoScatter
	}
	mean, overall := stat.MeanStdDev(values, nil)
	c := Capability{Spec: w, Mean: mean, Sigma: sigma, OverallSD: overall, Confidence: confidence}
	ci := interval{n: float64(len(values)), tail: (1 - confidence) / 2}
	c.CpLower, c.CpUpper = oneSided(mean, sigma, w, ci)
	c.Cpk = smaller(c.CpLower, c.CpUpper)
	if overall > 0 {
		c.Ppk = smaller(oneSided(mean, overall, w, ci))
	}
	if hasLower && hasUpper {
		width := upper - lower
		c.Cp = ci.ofWidth(width / (6 * sigma))
		if overall > 0 {
			c.Pp = ci.ofWidth(width / (6 * overall))
		}
		target := w.Target.Or((lower + upper) / 2)
		c.Target = num.Some(target)
		off := (mean - target) / sigma
		c.Cpm = ci.ofAim(width/(6*sigma*math.Sqrt(1+off*off)), off)
	}
	c.countOutside(values)
	return c, nil
}

// countOutside counts the values that miss what is wanted, and what share of a
// normal process would.
func (c *Capability) countOutside(values []float64) {
	lower, upper := c.Spec.Lower.Or(math.Inf(-1)), c.Spec.Upper.Or(math.Inf(1))
	for _, v := range values {
		if v < lower || v > upper {
			c.Outside++
		}
	}
	share := 0.0
	for _, side := range []*Index{c.CpLower, c.CpUpper} {
		if side != nil {
			share += phi(-3 * side.Value)
		}
	}
	c.ExpectedOutsidePct = 100 * share
}

// oneSided returns CpLower and CpUpper, nil where there is no such limit.
func oneSided(mean, sigma float64, w Spec, ci interval) (lower, upper *Index) {
	if v, ok := w.Lower.Get(); ok {
		lower = ci.ofSide((mean - v) / (3 * sigma))
	}
	if v, ok := w.Upper.Get(); ok {
		upper = ci.ofSide((v - mean) / (3 * sigma))
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
