package drift

import "math"

// EWMA charts the exponentially weighted moving average of the points of
// another chart: z = lambda × point + (1 − lambda) × the z before, from the
// chart's centre on. Limits stand width standard deviations of z from it; they
// widen over the first points, as z's own standard deviation does. Lower and
// Upper are the limits that a long run settles to.
//
// lambda lies in (0, 1], width is above 0; otherwise it panics.
// Source: Lucas & Saccucci, Technometrics 32 (1990) 1; NIST/SEMATECH
// e-Handbook 6.3.2.4. Checked by TestEWMA_NIST, TestEWMA_PistonRings.
func EWMA(of Chart, lambda, width float64) Chart {
	if !(lambda > 0 && lambda <= 1) || !(width > 0) {
		panic("drift: an EWMA needs a weight in (0, 1] and a width above 0")
	}
	n := len(of.Points)
	c := Chart{
		Kind: KindEWMA, Centre: of.Centre, Sigma: of.Sigma, First: of.First,
		Points: make([]float64, n), SD: make([]float64, n),
	}
	z, variance := of.Centre, 0.0
	for i, p := range of.Points {
		sd := of.SDAt(i)
		z = lambda*p + (1-lambda)*z
		variance = lambda*lambda*sd*sd + (1-lambda)*(1-lambda)*variance
		c.Points[i], c.SD[i] = z, math.Sqrt(variance)
	}
	c.setLimits(width, math.Inf(-1), math.Inf(1))
	settled := width * of.SDAt(n-1) * math.Sqrt(lambda/(2-lambda))
	c.Lower, c.Upper = c.Centre-settled, c.Centre+settled
	if n == 1 {
		c.Lowers, c.Uppers = []float64{c.Centre - width*c.SD[0]}, []float64{c.Centre + width*c.SD[0]}
	}
	c.signalBeyondLimits("average above its limit", "average below its limit")
	return c
}
