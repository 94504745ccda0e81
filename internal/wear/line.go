package wear

import "math"

// line is a + b·x.
type line struct{ a, b float64 }

func (l line) at(x float64) float64 { return l.a + l.b*x }

// lineCut is how many standard deviations off a crown may stand and still help
// to set its line. It lies below the guard, so that several crowns worn side by
// side at a lane's end do not pass for a tilt of the gauge; what noise puts
// beyond it (1 crown in 80) is judged by the guard like any other.
const lineCut = 2.5

// leastFree bounds how much of a crown's error its lane's line may take up.
const leastFree = 1e-3

// prepare works out each change's own standard deviation from that in the free
// datum, which a line through n crowns makes smaller by √(1 − h).
func (l *lane) prepare() {
	n := float64(len(l.x))
	mean, sxx := 0.0, 0.0
	for _, x := range l.x {
		mean += x / n
	}
	for _, x := range l.x {
		sxx += (x - mean) * (x - mean)
	}
	l.sigma, l.weight = make([]float64, len(l.x)), make([]float64, len(l.x))
	for i, x := range l.x {
		free := 1 - 1/n - (x-mean)*(x-mean)/sxx
		l.sigma[i] = l.u[i] / math.Sqrt(math.Max(free, leastFree))
		l.weight[i] = 1 / l.sigma[i]
	}
	l.rest = make([]float64, len(l.x))
	l.err = make([]float64, len(l.x))
	l.moved = make([]float64, len(l.x))
	l.verdict = make([]Verdict, len(l.x))
}

// cost is Σ min((c − line)²/σ², lineCut²).
func (l *lane) cost(c []float64, at line) (sum float64) {
	for i, x := range l.x {
		z := (c[i] - at.at(x)) / l.sigma[i]
		sum += math.Min(z*z, lineCut*lineCut)
	}
	return sum
}

// mostRounds bounds the refinement of a line; it settles in three or four.
const mostRounds = 12

// steady is the line of least truncated squares through changes c. It starts
// from the line of least squares and from the best line through two crowns
// (the line of least absolute deviations is one of those), and from each
// alternates between the crowns within lineCut and their weighted line.
func (l *lane) steady(c []float64) (best line, cost float64) {
	cost = math.Inf(1)
	for _, s := range []line{l.weighted(c, nil), l.throughTwo(c)} {
		at, sum := l.refine(c, s)
		if sum < cost-1e-12 {
			best, cost = at, sum
		}
	}
	return best, cost
}

// refine takes the weighted line of the crowns within lineCut, again and again.
func (l *lane) refine(c []float64, at line) (line, float64) {
	cost := l.cost(c, at)
	for range mostRounds {
		within := l.within(c, at)
		count := 0
		for _, in := range within {
			if in {
				count++
			}
		}
		if count < 2 {
			break
		}
		next := l.weighted(c, within)
		sum := l.cost(c, next)
		if !(sum < cost-1e-12) {
			break
		}
		at, cost = next, sum
	}
	return at, cost
}

// within tells the crowns that lie within lineCut of a line.
func (l *lane) within(c []float64, at line) []bool {
	in := make([]bool, len(l.x))
	for i, x := range l.x {
		in[i] = math.Abs(c[i]-at.at(x)) <= lineCut*l.sigma[i]
	}
	return in
}

// weighted is the weighted least-squares line of the crowns told; nil: all.
func (l *lane) weighted(c []float64, in []bool) line {
	var w, wx, wc float64
	for i, x := range l.x {
		if in == nil || in[i] {
			g := 1 / (l.sigma[i] * l.sigma[i])
			w, wx, wc = w+g, wx+g*x, wc+g*c[i]
		}
	}
	mx, mc := wx/w, wc/w
	var sxx, sxc float64
	for i, x := range l.x {
		if in == nil || in[i] {
			g := 1 / (l.sigma[i] * l.sigma[i])
			sxx, sxc = sxx+g*(x-mx)*(x-mx), sxc+g*(x-mx)*(c[i]-mc)
		}
	}
	if sxx == 0 {
		return line{mc, 0}
	}
	b := sxc / sxx
	return line{mc - b*mx, b}
}

// throughTwo is the line through two crowns with the least cost.
func (l *lane) throughTwo(c []float64) (best line) {
	least := math.Inf(1)
	for i := range l.x {
		for j := range i {
			b := (c[i] - c[j]) / (l.x[i] - l.x[j])
			at, sum := line{c[i] - b*l.x[i], b}, 0.0
			for k, x := range l.x {
				z := (c[k] - at.at(x)) * l.weight[k]
				if sum += math.Min(z*z, lineCut*lineCut); sum >= least {
					break
				}
			}
			if sum < least {
				best, least = at, sum
			}
		}
	}
	return best
}

// errors works out the standard deviation of each change from the line of the
// crowns told: smaller for those that set the line, larger for the others.
func (l *lane) errors(in []bool) {
	var w, wx, sxx float64
	for i, x := range l.x {
		if in[i] {
			g := 1 / (l.sigma[i] * l.sigma[i])
			w, wx = w+g, wx+g*x
		}
	}
	mean := wx / w
	for i, x := range l.x {
		if in[i] {
			sxx += (x - mean) * (x - mean) / (l.sigma[i] * l.sigma[i])
		}
	}
	for i, x := range l.x {
		own, ofLine := l.sigma[i]*l.sigma[i], 1/w
		if sxx > 0 {
			ofLine += (x - mean) * (x - mean) / sxx
		}
		if in[i] {
			l.err[i] = math.Sqrt(math.Max(own-ofLine, leastFree*own))
		} else {
			l.err[i] = math.Sqrt(own + ofLine)
		}
	}
}
