package heard

import (
	"math"

	"ringtrue/internal/num"
)

// Of the search for the series of partials.
const (
	startsOfB            = 9
	leastB, mostB        = 3e-6, 1.5e-3
	startCents           = 60 // the pitch lies within so much of the coarse one
	stepCents            = 2
	scored               = 12 // partials that choose the pitch
	maxPartials          = 40
	maxMisses            = 6
	refitFrom            = 4
	dropSigma            = 4.0
	within               = 2.0 // cents off the law that a partial may lie
	fitRounds, growRound = 12, 3
	huberSigma           = 2.0
)

// When the inharmonicity may be told.
const (
	toldPartials = 12
	toldMisfit   = 1.5 // cents
)

// partial is one peak of a series.
type partial struct {
	n  int
	hz float64
}

// series is partials on the law f_n = n·f0·√(1 + B·n²).
type series struct {
	partials []partial
	f0, b    float64
	cents    []float64 // each partial's misfit
	uB       float64   // relative standard uncertainty of b, from the misfit
}

// at is the law's partial n.
func (s *series) at(n int) float64 { return law(s.f0, s.b, n) }

func law(f0, b float64, n int) float64 { return float64(n) * f0 * math.Sqrt(1+b*float64(n*n)) }

// seriesIn finds the partials of a string near a pitch. Each of nine starting values
// of B takes the pitch with the most height over the floor and grows upward; the
// one with the most partials on its law is kept. nil: fewer than two partials.
func seriesIn(s *spectrum, nearHz float64) *series {
	var best *series
	most := math.Inf(-1)
	for k := range startsOfB {
		b := leastB * math.Pow(mostB/leastB, float64(k)/(startsOfB-1))
		g := grow(s, start(s, nearHz, b), b)
		score := 0.0
		for _, c := range g.cents {
			if math.Abs(c) <= within {
				score++
			} else {
				score -= 0.5
			}
		}
		if len(g.partials) >= 2 && score > most {
			best, most = g, score
		}
	}
	return best
}

// start is the pitch near another whose first partials rise most from the floor.
func start(s *spectrum, nearHz, b float64) float64 {
	best, most := nearHz, math.Inf(-1)
	for c := -startCents; c <= startCents; c += stepCents {
		f0, sum := nearHz*math.Exp2(float64(c)/1200), 0.0
		for n := 1; n <= scored; n++ {
			if f := law(f0, b, n); f < s.topHz {
				sum += math.Max(0, s.over(f))
			}
		}
		if sum > most {
			best, most = f0, sum
		}
	}
	return best
}

// grow takes partials from the first one up, refitting the law as they come.
func grow(s *spectrum, f0, b float64) *series {
	g := &series{f0: f0, b: b}
	misses := 0
	for n := 1; n <= maxPartials && misses < maxMisses; n++ {
		f := g.at(n)
		if f > s.topHz {
			break
		}
		hz, ok := s.peak(f, s.reachHz(f))
		if !ok {
			misses++
			continue
		}
		g.partials = append(g.partials, partial{n, hz})
		if len(g.partials) < refitFrom {
			continue
		}
		if r, sigma := g.fit(growRound); math.Abs(r[len(r)-1]) > dropSigma*sigma {
			g.partials = g.partials[:len(g.partials)-1]
			g.fit(growRound)
			misses++
			continue
		}
		misses = 0
	}
	if len(g.partials) >= refitFrom {
		g.fit(fitRounds)
	}
	for _, p := range g.partials {
		g.cents = append(g.cents, 1200*math.Log2(p.hz/g.at(p.n)))
	}
	return g
}

// hzDoubt and centDoubt are how well a peak's frequency is taken to be known.
const (
	hzDoubt      = 0.03
	leastSigma   = 0.1 // residuals are never taken for smaller than this share of it
	centAsFactor = 5.778e-4
)

// fit finds f0 and B by least squares of (f/n)² = f0² + f0²·B·n², linear in n², each
// partial by the doubt of its frequency, Huber's weights from 2 robust sigma on.
// Equal weights in Hz would let the topmost partials decide and pull the pitch.
// It gives the residuals, in doubts, and their robust sigma.
func (g *series) fit(rounds int) (residuals []float64, sigma float64) {
	m := len(g.partials)
	x, y, w, huber := make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
	for i, p := range g.partials {
		n := float64(p.n)
		x[i], y[i], huber[i] = n*n, p.hz*p.hz/(n*n), 1
		w[i] = n * n / (2 * p.hz) / math.Hypot(hzDoubt, centAsFactor*p.hz)
	}
	residuals, size := make([]float64, m), make([]float64, m)
	var at, slope, xx float64
	for range rounds {
		at, slope, xx = line(x, y, w, huber)
		for i := range residuals {
			residuals[i] = (y[i] - at - slope*x[i]) * w[i]
			size[i] = math.Abs(residuals[i])
		}
		sigma = math.Max(leastSigma, 1.4826*num.Median(size))
		for i := range huber {
			huber[i] = math.Min(1, huberSigma*sigma/math.Max(size[i], 1e-12))
		}
	}
	if at > 0 {
		g.f0, g.b = math.Sqrt(at), math.Max(0, slope/at)
		if slope > 0 {
			g.uB = sigma / math.Sqrt(xx) / slope
		}
	}
	return residuals, sigma
}

// line is the weighted straight line y = at + slope·x, and the information on its slope.
func line(x, y, w, huber []float64) (at, slope, information float64) {
	var sw, sx, sy float64
	for i := range x {
		v := w[i] * w[i] * huber[i]
		sw, sx, sy = sw+v, sx+v*x[i], sy+v*y[i]
	}
	mx, my := sx/sw, sy/sw
	var xx, xy float64
	for i := range x {
		v := w[i] * w[i] * huber[i]
		xx, xy = xx+v*(x[i]-mx)*(x[i]-mx), xy+v*(x[i]-mx)*(y[i]-my)
	}
	if xx <= 0 {
		return my, 0, 0
	}
	slope = xy / xx
	return my - slope*mx, slope, xx
}

// misfit is the robust scatter of the partials about their law, in cents.
func (g *series) misfit() float64 {
	size := make([]float64, len(g.cents))
	for i, c := range g.cents {
		size[i] = math.Abs(c)
	}
	return 1.4826 * num.Median(size)
}

// inharmonicity is B, where enough partials lie on its law.
func (g *series) inharmonicity() num.Opt {
	if len(g.partials) < toldPartials || g.misfit() > toldMisfit || g.b <= 0 {
		return num.Opt{}
	}
	return num.Some(g.b)
}
