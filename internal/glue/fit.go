package glue

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
	"ringtrue/internal/wood"
)

// Verdict is what a push-out test can say.
type Verdict string

// Verdicts.
const (
	Fitted     Verdict = "fitted"
	NotEnough  Verdict = "not enough readings"
	NoPlateau  Verdict = "plateau not reached"
	NoStrength Verdict = "no force"
)

// What a fit needs: two readings more than the curve has parameters would leave
// its range without an end, so three, at times enough to see it bend.
const (
	LeastReadings = 6
	LeastTimes    = 4
)

// share is the part of the full force that is waited for.
const share = 0.9

// Confidence is that of a Fit's Range.
const Confidence = 0.95

// Fit is the curve F = F∞/(1 + (t50/t)^m) through pushed-out frets, by least
// squares, and the wait until 90 % of F∞.
type Fit struct {
	Verdict  Verdict
	Readings int
	Times    int
	FullN    float64   // F∞
	HalfMin  float64   // t50
	Power    float64   // m
	ScatterN float64   // of single readings about the curve, as a standard deviation
	WaitMin  float64   // until 90 % of F∞, likely
	Range    wood.Span // of WaitMin, 19 times in 20, in min; Low 0: already there at the first reading; High +Inf: no end
	LastMin  float64   // the last reading's time
}

// Bounds of the search: how steep the curve may be, and how far beyond the
// readings its wait may lie.
const (
	flattest = 0.25
	steepest = 8.0
	before   = 20.0
	beyond   = 1e4
	gridWait = 80
	gridM    = 14
)

// FitTest fits a test. The range is where the best sum of squares, over all m and
// F∞, stays within F(1, n−3) at 95 % of the least one (the likelihood profile of
// normal errors of one size; Bates and Watts 1988, section 6.1, from memory).
func FitTest(readings []Push) Fit {
	f := Fit{Readings: len(readings), Verdict: NotEnough}
	times := map[float64]bool{}
	most := 0.0
	for _, r := range readings {
		times[r.Minutes] = true
		f.LastMin, most = math.Max(f.LastMin, r.Minutes), math.Max(most, r.ForceN)
	}
	f.Times = len(times)
	switch {
	case f.Readings < LeastReadings || f.Times < LeastTimes:
		return f
	case most <= 0:
		f.Verdict = NoStrength
		return f
	}
	p := newProfile(readings)
	f.take(p)
	switch {
	case !(f.Range.High <= f.LastMin):
		f.Verdict = NoPlateau
	default:
		f.Verdict = Fitted
	}
	return f
}

// take finds the best curve and the range of its wait.
func (f *Fit) take(p *profile) {
	grid, best := p.grid, slices.Index(p.rss, slices.Min(p.rss))
	lo, hi := grid[max(0, best-1)], grid[min(len(grid)-1, best+1)]
	at := num.Least(func(x float64) float64 { v, _ := p.best(x); return v }, lo, hi, 1e-6)
	least, m := p.best(at)
	if least > p.rss[best] {
		at = grid[best]
		least, m = p.best(at)
	}
	f.WaitMin, f.Power = math.Exp(at), m
	f.HalfMin = math.Exp(at) * math.Pow(share/(1-share), -1/m)
	f.FullN = p.full(at, m)
	left := float64(len(p.u) - 3)
	f.ScatterN = math.Sqrt(least / left)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: left}.Quantile(0.5 + Confidence/2)
	limit := least*(1+t*t/left) + 1e-12*p.sum
	f.Range = wood.Span{Low: p.cross(at, limit, -1), Likely: f.WaitMin, High: p.cross(at, limit, +1)}
}

// profile is the least sum of squares for each wait, the logarithm of it in min.
type profile struct {
	u, y      []float64 // log times, forces
	sum       float64   // of the squares of the forces
	grid, rss []float64
}

func newProfile(readings []Push) *profile {
	p := &profile{}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range readings {
		u := math.Log(r.Minutes)
		p.u, p.y = append(p.u, u), append(p.y, r.ForceN)
		p.sum += r.ForceN * r.ForceN
		lo, hi = math.Min(lo, u), math.Max(hi, u)
	}
	lo, hi = lo-math.Log(before), hi+math.Log(beyond)
	for i := range gridWait + 1 {
		x := lo + (hi-lo)*float64(i)/gridWait
		v, _ := p.best(x)
		p.grid, p.rss = append(p.grid, x), append(p.rss, v)
	}
	return p
}

// shape is the part of F∞ at a reading: 1/(1 + (wait/t)^m·(1 − s)/s).
func shape(u, wait, m float64) float64 {
	return 1 / (1 + math.Exp(m*(wait-u))*(1-share)/share)
}

// full is the F∞ that fits best, never below 0.
func (p *profile) full(wait, m float64) float64 {
	gy, gg := 0.0, 0.0
	for i, u := range p.u {
		g := shape(u, wait, m)
		gy, gg = gy+g*p.y[i], gg+g*g
	}
	if gg == 0 {
		return 0
	}
	return math.Max(0, gy/gg)
}

func (p *profile) squares(wait, m float64) float64 {
	full, sum := p.full(wait, m), 0.0
	for i, u := range p.u {
		d := p.y[i] - full*shape(u, wait, m)
		sum += d * d
	}
	return sum
}

// best is the least sum of squares at a wait, and its m.
func (p *profile) best(wait float64) (least, m float64) {
	lo, hi := math.Log(flattest), math.Log(steepest)
	of := func(x float64) float64 { return p.squares(wait, math.Exp(x)) }
	k, least := 0, math.Inf(1)
	for i := range gridM + 1 {
		if v := of(lo + (hi-lo)*float64(i)/gridM); v < least {
			k, least = i, v
		}
	}
	step := (hi - lo) / gridM
	x := num.Least(of, max(lo, lo+step*float64(k-1)), min(hi, lo+step*float64(k+1)), 1e-5)
	if v := of(x); v < least {
		return v, math.Exp(x)
	}
	return least, math.Exp(lo + step*float64(k))
}

// cross is where the profile leaves the limit for the last time on one side, as a
// time in min: 0 or +Inf where it never does.
func (p *profile) cross(at, limit float64, side int) float64 {
	n := len(p.grid)
	i := 0
	if side > 0 {
		i = n - 1
	}
	if p.rss[i] <= limit {
		return math.Exp(math.Inf(side))
	}
	for j := i - side; j >= 0 && j < n && float64(side)*(p.grid[j]-at) > 0; j -= side {
		if p.rss[j] <= limit {
			return p.between(p.grid[j], p.grid[j+side], limit)
		}
		i = j
	}
	return p.between(at, p.grid[i], limit)
}

func (p *profile) between(in, out, limit float64) float64 {
	x, err := num.Root(func(x float64) float64 { v, _ := p.best(x); return v - limit }, in, out, 1e-5)
	if err != nil {
		return math.Exp(out)
	}
	return math.Exp(x)
}

// ForceN is the curve's force after so many minutes.
func (f Fit) ForceN(minutes float64) float64 {
	return f.FullN * shape(math.Log(minutes), math.Log(f.WaitMin), f.Power)
}
