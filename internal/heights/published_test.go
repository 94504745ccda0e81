package heights

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"ringtrue/internal/reading"
)

// plain is an adjustment of n unknowns with no lanes: what the solver does with
// equations alone.
func plain(t testing.TB, n int, rows []row) *system {
	t.Helper()
	s := &system{c: &crowns{index: map[place]int{}}, n: n, stride: n + mostAdded, coneAt: -1}
	for i := range rows {
		rows[i].on, rows[i].obs = true, i
	}
	s.rows = rows
	if err := s.solve(); err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, tol)
	}
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
	var rows []row
	for _, l := range legs {
		r := row{y: l.rise, u: 0.0007 * l.dist}
		for _, end := range []struct {
			point int
			sign  float64
		}{{l.from, -1}, {l.to, 1}} {
			if end.point == 4 {
				r.y -= end.sign * fixed
				continue
			}
			r.at, r.w = append(r.at, end.point-1), append(r.w, end.sign)
		}
		rows = append(rows, r)
	}
	s := plain(t, 3, rows)
	for i, want := range []float64{104.2350, 103.4868, 102.9588} {
		near(t, "height", s.x[i], want, 5e-5)
	}
	wantW := []float64{1.8798, 2.0853, .0044, 2.5918, .7224, .5903}
	wantR := []float64{.31403, .68648, .51121, .54656, .70735, .23438}
	for i := range s.rows {
		score, info := s.weighed(suspect{rows: []int{i}, col: []float64{1}})
		near(t, "normalised residual", math.Sqrt(score), wantW[i], 6e-5)
		near(t, "redundancy", info*s.rows[i].u*s.rows[i].u, wantR[i], 6e-6)
	}
}

// TestSolve_LevelLoop: the sample network of the GNU Gama 1.5.09 manual, each
// leg levelled both ways.
func TestSolve_LevelLoop(t *testing.T) {
	// Points 4, 3, 2 are unknown; 1a is 1000.
	legs := []struct {
		from, to int // −1: point 1a
		rise     float64
	}{{-1, 0, -1.225}, {0, 1, -.848}, {1, 2, 1.342}, {2, -1, .720}, {-1, 2, -.724}, {2, 1, -1.335}, {1, 0, .842}, {0, -1, 1.231}}
	var rows []row
	for _, l := range legs {
		r := row{y: l.rise, u: 0.005}
		if l.from >= 0 {
			r.at, r.w = append(r.at, l.from), append(r.w, -1)
		} else {
			r.y += 1000
		}
		if l.to >= 0 {
			r.at, r.w = append(r.at, l.to), append(r.w, 1)
		} else {
			r.y -= 1000
		}
		rows = append(rows, r)
	}
	s := plain(t, 3, rows)
	for i, want := range []float64{998.77513, 997.93325, 999.27487} {
		near(t, "height", s.x[i], want, 6e-6)
	}
	const unit = 5.42 / 5 // the sample states a posteriori deviations
	for i, want := range []float64{3.1, 3.5, 3.1} {
		near(t, "standard deviation, mm", 1000*math.Sqrt(s.cov[i*s.stride+i])*unit, want, 0.35)
	}
	for i := range s.rows {
		_, info := s.weighed(suspect{rows: []int{i}, col: []float64{1}})
		near(t, "redundancy", info*0.005*0.005, 0.625, 1e-9)
	}
}

// TestSolve_Norris: NIST StRD linear regression, certified values.
func TestSolve_Norris(t *testing.T) {
	x, y := columns(t, "metro_strd_norris.csv")
	var rows []row
	for i := range y {
		rows = append(rows, row{at: []int{0, 1}, w: []float64{1, x[i]}, y: y[i], u: 1})
	}
	s := plain(t, 2, rows)
	near(t, "intercept", s.x[0], -.262323073774029, 1e-9)
	near(t, "slope", s.x[1], 1.00211681802045, 1e-11)
	square := 0.0
	for i := range s.rows {
		square += s.left(&s.rows[i]) * s.left(&s.rows[i])
	}
	sd := math.Sqrt(square / float64(len(y)-2))
	near(t, "residual sd", sd, .884796396144373, 1e-9)
	near(t, "sd of intercept", sd*math.Sqrt(s.cov[0]), .232818234301152, 1e-9)
	near(t, "sd of slope", sd*math.Sqrt(s.cov[s.stride+1]), .429796848199937e-3, 1e-11)
}

// TestSolve_GUM_H3: thermometer calibration with covariance, JCGM 100:2008 H.3.
func TestSolve_GUM_H3(t *testing.T) {
	temperature, correction := columns(t, "metro_gum_h3_thermometer.csv")
	var rows []row
	for i := range temperature {
		rows = append(rows, row{at: []int{0, 1}, w: []float64{1, temperature[i] - 20}, y: correction[i], u: 0.0035})
	}
	s := plain(t, 2, rows)
	near(t, "intercept", s.x[0], -.1712, 6e-5)
	near(t, "slope", s.x[1], .00218, 6e-6)
	near(t, "u of intercept", math.Sqrt(s.cov[0]), .0029, 6e-5)
	near(t, "u of slope", math.Sqrt(s.cov[s.stride+1]), .00067, 6e-6)
	near(t, "correlation", s.cov[1]/math.Sqrt(s.cov[0]*s.cov[s.stride+1]), -.930, 6e-4)
	at30 := row{at: []int{0, 1}, w: []float64{1, 10}}
	near(t, "correction at 30", -s.left(&at30), -.1494, 6e-5)
	near(t, "its u", math.Sqrt(s.cross(&at30, &at30)), .0041, 6e-5)
}

// columns reads the first two numeric columns of a published table.
func columns(t testing.TB, name string) (a, b []float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, rec := range all[1:] {
		var v []float64
		for _, cell := range rec {
			if x, err := strconv.ParseFloat(cell, 64); err == nil {
				v = append(v, x)
			}
		}
		if n := len(v); n >= 2 {
			a, b = append(a, v[n-2]), append(b, v[n-1])
		}
	}
	if len(a) < 5 {
		t.Fatalf("%s: %d rows", name, len(a))
	}
	return a, b
}

// TestCritical_Baarda: the square root of critical at Baarda's level (1968,
// from memory) and family-wise values (derived: Šidák's formula elsewhere).
func TestCritical_Baarda(t *testing.T) {
	near(t, "0.1 % of one reading", math.Sqrt(critical(1, 0.001)), 3.2905, 1e-4)
	for n, want := range map[int]float64{22: 3.0447, 44: 3.2473, 60: 3.3345, 132: 3.5478, 173: 3.6184, 264: 3.7263} {
		near(t, "family-wise", math.Sqrt(critical(n, 0.05)), want, 1e-4)
	}
}

// TestFrom_BridgeSurvey: every three neighbours of 22 frets on a 640 mm scale
// read once with u; the uncertainty in the free datum, and with one long edge.
// Derived values, worked out independently of this code.
func TestFrom_BridgeSurvey(t *testing.T) {
	const u = 0.003
	s := newSimulated(t, 1, 22, 6)
	s.bridge(1, u)
	l := s.estimate(t).Lanes[0]
	sum := 0.0
	for i := range l.Frets {
		sum += l.Cov.At(i, i)
	}
	for fret, want := range map[int]float64{1: 16.74, 12: 10.82, 22: 17.73} {
		near(t, "free datum", math.Sqrt(l.Cov.At(fret-1, fret-1))/u, want, want*1e-3)
	}
	near(t, "rms", math.Sqrt(sum/22)/u, 9.91, 0.01)

	for edge, want := range map[float64][2]float64{1: {.721, .814}, 5. / 3: {1.030, 1.279}, 10. / 3: {1.644, 2.283}} {
		s := newSimulated(t, 1, 22, 6)
		s.bridge(1, u)
		s.beam(1, u*edge, "long")
		l := s.estimate(t).Lanes[0]
		near(t, "with an edge, fret 12", math.Sqrt(l.Cov.At(11, 11))/u, want[0], 2e-3)
		near(t, "with an edge, fret 1", math.Sqrt(l.Cov.At(0, 0))/u, want[1], 2e-3)
	}
}

// redundancy is the share of a reading that the others check.
func redundancy(s *system, lane float64, fret int) float64 {
	for i := range s.rows {
		r := &s.rows[i]
		if r.obs >= 0 && s.obs[r.obs].lane == lane && s.obs[r.obs].frets[0] == fret {
			return 1 - s.cross(r, r)/(r.u*r.u)
		}
	}
	return math.NaN()
}

// TestRedundancy_Passes: p beam passes on a lane leave (p−1)/p·(1−h). Derived
// from the leverages h of the line, .223859 at fret 1 and .048318 at fret 12.
func TestRedundancy_Passes(t *testing.T) {
	for p, want := range map[int][2]float64{2: {.3881, .4758}, 3: {.5174, .6345}} {
		s := newSimulated(t, 2, 22, 1)
		for k := range p {
			s.beam(1, 0.004, strconv.Itoa(k))
		}
		sys := s.estimate(t).sys
		near(t, "fret 1", redundancy(sys, 1, 1), want[0], 1e-4)
		near(t, "fret 12", redundancy(sys, 1, 12), want[1], 1e-4)
	}
}

// TestRedundancy_Lanes: six lanes, one pass each, a straight line across each
// fret (what stiff bends amount to): fret 12, lanes 1 to 3. Derived elsewhere.
func TestRedundancy_Lanes(t *testing.T) {
	s := newSimulated(t, 3, 22, 6)
	for _, lane := range s.lanes {
		s.beam(lane, 0.004, "")
	}
	in := Input{Layout: s.layout, Readings: s.out}
	obs, _, _ := observations(in)
	c, kept, _ := determined(in, obs, nil)
	sys, err := new(Estimate).adjust(c, kept, map[reading.Method]float64{}, 1e-6)
	if err != nil {
		t.Fatal(err)
	}
	for lane, want := range map[float64]float64{1: .4532, 2: .6707, 3: .7795} {
		near(t, "redundancy", redundancy(sys, lane, 12), want, 2e-4)
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
		near(t, "parabola", p[k], want, 1e-12)
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
		near(t, "the parabola's error", p[0]-1.2, c.errorMM, 1e-5)
		for _, radius := range []float64{0, 1.3} {
			top, _, _, err := crownTop(touches, radius)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "the circle's top", top, 1.2, 1e-9)
		}
	}
	// Symmetric touches about the apex, radius known: u/√3; fitted: u.
	touches = touches[:0]
	for _, x := range []float64{-.3, 0, .3} {
		touches = append(touches, touch{t: x, z: 1.2 - 1.3 + math.Sqrt(1.3*1.3-x*x), u: 0.004})
	}
	_, u, _, _ := crownTop(touches, 1.3)
	near(t, "u, radius known", u, 0.004/math.Sqrt(3), 1e-9)
	_, u, _, _ = crownTop(touches, 0)
	near(t, "u, radius fitted", u, 0.004, 1e-4)
}
