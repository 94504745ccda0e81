package drift

import (
	"errors"
	"math"
)

// ErrNoScatter: the values do not differ, so that nothing can be measured in
// standard deviations.
var ErrNoScatter = errors.New("the values do not differ from each other")

// Cusum is a pair of cumulative sums, in the unit of the values: High sums
// what the points stand above the target by more than the slack, Low what they
// stand below it by more; each starts anew from 0.
type Cusum struct {
	CusumDesign
	Target  float64    `json:"target"`
	Sigma   float64    `json:"sigma"` // standard deviation of a point (the last one's, where they differ)
	Limit   float64    `json:"limit"` // H × Sigma, where a sum signals
	High    Numbers    `json:"high"`
	Low     Numbers    `json:"low"`
	Signals SignalList `json:"signals"`
}

// CumulativeSum runs both sums over the points of a chart, from its centre. It
// signals at every point where a sum is above h standard deviations, the sums
// running on; the signal's Since is the first point of the run that brought it
// there, so that the change came at or just before it. HeadStart is where the
// sums start: 0, or h/2 for a fast initial response.
//
// k >= 0, h > 0 and 0 <= HeadStart <= h, else it panics. ErrNoScatter: a
// point's standard deviation is 0.
// Source: Page, Biometrika 41 (1954) 100; Montgomery, section 9.1; Lucas &
// Crosier, Technometrics 24 (1982) 199. Checked by TestCumulativeSum_NIST,
// TestCumulativeSum_Montgomery.
func CumulativeSum(of Chart, d CusumDesign) (Cusum, error) {
	k, h, headStart := d.K, d.H, d.HeadStart
	if !(k >= 0) || !(h > 0) || !(headStart >= 0 && headStart <= h) {
		panic("drift: a cumulative sum needs k >= 0, h > 0 and a head start within them")
	}
	n := len(of.Points)
	c := Cusum{
		CusumDesign: d, Target: of.Centre,
		High: make([]float64, n), Low: make([]float64, n),
	}
	// The sums run in standard deviations, so that groups of different size
	// weigh as they should.
	high, low := run{headStart, of.First}, run{headStart, of.First}
	for i, p := range of.Points {
		sd := of.SDAt(i)
		if !(sd > 0) {
			return Cusum{}, ErrNoScatter
		}
		z := (p - of.Centre) / sd
		high.add(z-k, of.First+i)
		low.add(-z-k, of.First+i)
		c.High[i], c.Low[i] = high.sum*sd, low.sum*sd
		if high.sum > h {
			c.Signals = append(c.Signals, Signal{Index: of.First + i, Rule: "sum above its limit", Since: high.since})
		}
		if low.sum > h {
			c.Signals = append(c.Signals, Signal{Index: of.First + i, Rule: "sum below its limit", Since: low.since})
		}
	}
	c.Sigma = of.SDAt(n - 1)
	c.Limit = h * c.Sigma
	return c, nil
}

// run is a sum that never goes below 0, and the point at which it last left 0.
type run struct {
	sum   float64
	since int
}

func (r *run) add(step float64, index int) {
	if r.sum == 0 {
		r.since = index
	}
	r.sum = math.Max(0, r.sum+step)
}
