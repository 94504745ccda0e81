package heights

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
)

// plain is an adjustment of n unknowns with no frets: what the solver does with
// equations alone.
func plain(t testing.TB, n int, rows []rowN) *chain {
	t.Helper()
	k := &chain{net: &net{c: &crowns{index: map[place]int{}}, kappaAt: -1}, n: n, rows: rows, cov: make([]float64, n*n), mean: make([]float64, n)}
	for i := range k.rows {
		k.rows[i].good, k.rows[i].misread = 1, 1e-300
		k.rows[i].start()
	}
	if err := k.solve(); err != nil {
		t.Fatal(err)
	}
	return k
}

// TestSnoop_LevelNet: heights, redundancy and normalised residuals of a level
// net with one fixed point. Source: OSGeoLab BME tutorial "Level network
// adjustment and data snooping"; the digits beyond print were worked out
// independently.
func TestSnoop_LevelNet(t *testing.T) {
	const fixed = 101.345
	legs := []struct {
		from, to   int
		rise, dist float64
	}{{1, 2, -.749, 1.1}, {1, 3, -1.274, 1.8}, {1, 4, -2.890, 1.4}, {2, 3, -.530, 1.5}, {2, 4, -2.141, 1.9}, {3, 4, -1.614, .9}}
	var rows []rowN
	for _, l := range legs {
		r := rowN{value: l.rise, u: 0.0007 * l.dist}
		for _, end := range []struct {
			point int
			sign  float64
		}{{l.from, -1}, {l.to, 1}} {
			if end.point == 4 {
				r.value -= end.sign * fixed
				continue
			}
			r.at, r.w = append(r.at, end.point-1), append(r.w, end.sign)
		}
		rows = append(rows, r)
	}
	s := plain(t, 3, rows)
	for i, want := range []float64{104.2350, 103.4868, 102.9588} {
		casetest.Near(t, "height", s.mean[i], want, 5e-5)
	}
	wantW := []float64{1.8798, 2.0853, .0044, 2.5918, .7224, .5903}
	wantR := []float64{.31403, .68648, .51121, .54656, .70735, .23438}
	redundancy := checked(s)
	s.judgeReadings()
	for i := range s.rows {
		casetest.Near(t, "normalised residual", math.Abs(s.rows[i].residual/s.rows[i].spread), wantW[i], 6e-5)
		casetest.Near(t, "redundancy", redundancy[i], wantR[i], 6e-6)
	}
}

// checked is the part of each reading that the others check (Baarda's r).
func checked(k *chain) []float64 {
	out := make([]float64, len(k.rows))
	for i := range k.rows {
		_, v := k.seen(&k.rows[i])
		out[i] = 1 - k.rows[i].weight*v
	}
	return out
}

// TestSolve_LevelLoop: the sample network of the GNU Gama 1.5.09 manual, each
// leg levelled both ways.
func TestSolve_LevelLoop(t *testing.T) {
	// Points 4, 3, 2 are unknown; 1a is 1000.
	legs := []struct {
		from, to int // −1: point 1a
		rise     float64
	}{{-1, 0, -1.225}, {0, 1, -.848}, {1, 2, 1.342}, {2, -1, .720}, {-1, 2, -.724}, {2, 1, -1.335}, {1, 0, .842}, {0, -1, 1.231}}
	var rows []rowN
	for _, l := range legs {
		r := rowN{value: l.rise, u: 0.005}
		if l.from >= 0 {
			r.at, r.w = append(r.at, l.from), append(r.w, -1)
		} else {
			r.value += 1000
		}
		if l.to >= 0 {
			r.at, r.w = append(r.at, l.to), append(r.w, 1)
		} else {
			r.value -= 1000
		}
		rows = append(rows, r)
	}
	s := plain(t, 3, rows)
	for i, want := range []float64{998.77513, 997.93325, 999.27487} {
		casetest.Near(t, "height", s.mean[i], want, 6e-6)
	}
	const unit = 5.42 / 5 // the sample states a posteriori deviations
	for i, want := range []float64{3.1, 3.5, 3.1} {
		casetest.Near(t, "standard deviation, mm", 1000*math.Sqrt(s.cov[i*s.n+i])*unit, want, 0.35)
	}
	for _, r := range checked(s) {
		casetest.Near(t, "redundancy", r, 0.625, 1e-7)
	}
}

// TestSolve_Norris: NIST StRD linear regression, certified values.
func TestSolve_Norris(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_norris")
	x, y := casetest.Numbers(t, c["x"]), casetest.Numbers(t, c["y"])
	var rows []rowN
	for i := range y {
		rows = append(rows, rowN{at: []int{0, 1}, w: []float64{1, x[i]}, value: y[i], u: 1})
	}
	s := plain(t, 2, rows)
	casetest.Near(t, "intercept", s.mean[0], -.262323073774029, 1e-9)
	casetest.Near(t, "slope", s.mean[1], 1.00211681802045, 1e-11)
	square := 0.0
	for i := range s.rows {
		mean, _ := s.seen(&s.rows[i])
		square += (s.rows[i].value - mean) * (s.rows[i].value - mean)
	}
	sd := math.Sqrt(square / float64(len(y)-2))
	casetest.Near(t, "residual sd", sd, .884796396144373, 1e-9)
	casetest.Near(t, "sd of intercept", sd*math.Sqrt(s.cov[0]), .232818234301152, 1e-9)
	casetest.Near(t, "sd of slope", sd*math.Sqrt(s.cov[s.n+1]), .429796848199937e-3, 1e-11)
}

// TestSolve_GUM_H3: thermometer calibration with covariance, JCGM 100:2008 H.3.
func TestSolve_GUM_H3(t *testing.T) {
	c := casetest.Columns(t, "metro_gum_h3_thermometer")
	temperature, correction := casetest.Numbers(t, c["t"]), casetest.Numbers(t, c["b"])
	var rows []rowN
	for i := range temperature {
		rows = append(rows, rowN{at: []int{0, 1}, w: []float64{1, temperature[i] - 20}, value: correction[i], u: 0.0035})
	}
	s := plain(t, 2, rows)
	casetest.Near(t, "intercept", s.mean[0], -.1712, 6e-5)
	casetest.Near(t, "slope", s.mean[1], .00218, 6e-6)
	casetest.Near(t, "u of intercept", math.Sqrt(s.cov[0]), .0029, 6e-5)
	casetest.Near(t, "u of slope", math.Sqrt(s.cov[s.n+1]), .00067, 6e-6)
	casetest.Near(t, "correlation", s.cov[1]/math.Sqrt(s.cov[0]*s.cov[s.n+1]), -.930, 6e-4)
	at30 := rowN{at: []int{0, 1}, w: []float64{1, 10}}
	mean, variance := s.seen(&at30)
	casetest.Near(t, "correction at 30", mean, -.1494, 6e-5)
	casetest.Near(t, "its u", math.Sqrt(variance), .0041, 6e-5)
}

// TestFrom_BridgeSurvey: every three neighbours of 22 frets on a 640 mm scale
// read once with u; the uncertainty in the free datum, and with one long edge.
// Derived values, worked out independently of this code.
func TestFrom_BridgeSurvey(t *testing.T) {
	const u = 0.0001 // fine enough for what is believed of a fret to weigh nothing
	s := newSimulated(t, 1, 22, 6)
	s.bridge(1, u)
	l := s.estimate(t).Lanes[0]
	sum := 0.0
	for i := range l.Frets {
		sum += l.Cov.At(i, i)
	}
	for fret, want := range map[int]float64{1: 16.74, 12: 10.82, 22: 17.73} {
		casetest.Near(t, "free datum", math.Sqrt(l.Cov.At(fret-1, fret-1))/u, want, want*1e-3)
	}
	casetest.Near(t, "rms", math.Sqrt(sum/22)/u, 9.91, 0.01)

	for edge, want := range map[float64][2]float64{1: {.721, .814}, 5. / 3: {1.030, 1.279}, 10. / 3: {1.644, 2.283}} {
		s := newSimulated(t, 1, 22, 6)
		s.bridge(1, u)
		s.beam(1, u*edge, "long")
		l := s.estimate(t).Lanes[0]
		casetest.Near(t, "with an edge, fret 12", math.Sqrt(l.Cov.At(11, 11))/u, want[0], 2e-3)
		casetest.Near(t, "with an edge, fret 1", math.Sqrt(l.Cov.At(0, 0))/u, want[1], 2e-3)
	}
}

// TestCrownTop_Parabola: the apex through three touches, and what the circle
// makes of the touches on which a parabola errs. Derived.
func TestCrownTop_Parabola(t *testing.T) {
	var touches []touch
	for _, x := range []float64{-1, 0, 1} {
		touches = append(touches, touch{t: x, z: 1.2 - 0.4*(x-.13)*(x-.13), u: 0.004})
	}
	p, err := parabola(touches)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{1.2, .13, 1.25} {
		casetest.Near(t, "parabola", p[k], want, 1e-12)
	}
	for _, c := range []struct{ reach, apex, errorMM float64 }{{.3, .1, .14e-3}, {.5, .1, .48e-3}, {.5, .25, 2.47e-3}, {.8, .2, 6.75e-3}} {
		touches = touches[:0]
		for _, x := range []float64{-c.reach, 0, c.reach} {
			d := x - c.apex
			touches = append(touches, touch{t: x, z: 1.2 - 1.3 + math.Sqrt(1.3*1.3-d*d), u: 0.004})
		}
		p, err := parabola(touches)
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, "the parabola's error", p[0]-1.2, c.errorMM, 1e-5)
		for _, radius := range []float64{0, 1.3} {
			top, _, _, _, err := crownTop(touches, radius)
			if err != nil {
				t.Fatal(err)
			}
			casetest.Near(t, "the circle's top", top, 1.2, 1e-9)
		}
	}
	// Symmetric touches about the apex, radius known: u/√3; fitted: u.
	touches = touches[:0]
	for _, x := range []float64{-.3, 0, .3} {
		touches = append(touches, touch{t: x, z: 1.2 - 1.3 + math.Sqrt(1.3*1.3-x*x), u: 0.004})
	}
	_, u, _, _, _ := crownTop(touches, 1.3)
	casetest.Near(t, "u, radius known", u, 0.004/math.Sqrt(3), 1e-9)
	_, u, _, _, _ = crownTop(touches, 0)
	casetest.Near(t, "u, radius fitted", u, 0.004, 1e-4)
}
