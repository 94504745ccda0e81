package straight

import (
	"encoding/json"
	"math"
	"os"
	"sort"
	"strconv"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// atLeast lets a table fail that is shorter than it was.
func atLeast(t *testing.T, n int, rows []casetest.Row) []casetest.Row {
	t.Helper()
	if len(rows) < n {
		t.Fatalf("%d rows, at least %d wanted", len(rows), n)
	}
	return rows
}

func mustZone(t *testing.T, x, z []float64) ZoneResult {
	t.Helper()
	r, err := Zone(x, z)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// J. C. Moody, The Tool Engineer, October 1955: an autocollimator survey; a line's
// heights are the sums of its readings (0.1″) over 4 inches of mirror foot. The
// zones were found by linear programming.
func TestZone_Moody1955(t *testing.T) {
	const perTenthSecond = math.Pi / 180 / 3600 / 10 * 4 * 25400 // µm a step
	lines := map[string][]float64{}
	for _, row := range atLeast(t, 126, casetest.Published(t, "metro_moody1955_worksheets")) {
		z := lines[row["line"]]
		if len(z) == 0 {
			z = []float64{0}
		} else {
			z = append(z, z[len(z)-1]+perTenthSecond*casetest.Number(t, row["reading_corrected"]))
		}
		lines[row["line"]] = z
	}
	for name, want := range map[string]struct{ ends, zone float64 }{
		"NW_SE": {1.921026, 1.921026},
		"NE_SE": {1.187095, 1.149332},
		"SE_SW": {3.374109, 3.374109},
		"NW_SW": {1.354569, 1.206798},
	} {
		z := lines[name]
		x := make([]float64, len(z))
		low, high := 0.0, 0.0
		for i := range x {
			x[i] = float64(i)
			off := z[i] - z[len(z)-1]*x[i]/float64(len(z)-1)
			low, high = math.Min(low, off), math.Max(high, off)
		}
		casetest.Near(t, name+", ends at zero", high-low, want.ends, 1e-6)
		casetest.Near(t, name+", zone", mustZone(t, x, z).WidthMM, want.zone, 1e-6)
	}
}

// The independent implementation of Moody's method: its heights along a line
// give the same zone as the readings do (unit 1e-5 inch; 4 inches a step).
func TestZone_MoodyHeights(t *testing.T) {
	lines := map[string][2][]float64{}
	for _, row := range atLeast(t, 126, casetest.Published(t, "metro_moody1955_heights")) {
		l := lines[row["line"]]
		l[0] = append(l[0], casetest.Number(t, row["index"]))
		l[1] = append(l[1], casetest.Number(t, row["z_1e5_inch"])*0.254) // µm
		lines[row["line"]] = l
	}
	casetest.Near(t, "NW_SE", mustZone(t, lines["NW_SE"][0], lines["NW_SE"][1]).WidthMM, 1.921026, 2e-5)
	casetest.Near(t, "SE_SW", mustZone(t, lines["SE_SW"][0], lines["SE_SW"][1]).WidthMM, 3.374109, 2e-5)
}

// Public course notes: autocollimator on a base of 100 mm, 0.5 µm a second of
// arc, +2 and −1 µm off the line through the ends; the first reading is the
// datum for slope.
func TestZone_AutocollimatorCourse(t *testing.T) {
	rows := atLeast(t, 7, casetest.Published(t, "metro_autocollimator_course_example"))
	x, z := []float64{0}, []float64{0}
	for i, row := range rows[1:] {
		seconds := (casetest.Number(t, row["fwd_sec"]) + casetest.Number(t, row["bwd_sec"])) / 2
		x, z = append(x, float64(i+1)), append(z, z[i]+0.5*seconds)
	}
	low, high := 0.0, 0.0
	for i := range z {
		off := z[i] - z[len(z)-1]*x[i]/x[len(x)-1]
		low, high = math.Min(low, off), math.Max(high, off)
	}
	casetest.Near(t, "above the ends", high, 2, 1e-9)
	casetest.Near(t, "below the ends", low, -1, 1e-9)
	casetest.Near(t, "zone", mustZone(t, x, z).WidthMM, 3, 1e-9)
}

// Second differences −2 −4 0 5 (after the double sum: 0 3 4 1 −2 0).
func TestZone_SecondDifferences(t *testing.T) {
	x, z := []float64{0, 1, 2, 3, 4, 5}, []float64{0, 3, 4, 1, -2, 0}
	for i, want := range []float64{-2, -4, 0, 5} {
		casetest.Near(t, "second difference", z[i]-2*z[i+1]+z[i+2], want, 1e-12)
	}
	casetest.Near(t, "zone", mustZone(t, x, z).WidthMM, 5, 1e-12)
}

// Best lines in Chebyshev's sense, known in closed form; the zone is twice the
// error. The places where the error is largest are among the points.
func TestZone_MinimaxLines(t *testing.T) {
	sinh := math.Sinh(1)
	for name, c := range map[string]struct {
		f         func(float64) float64
		low, high float64
		touch     float64
		slope     float64
		err, tol  float64
	}{
		"root":        {math.Sqrt, 0, 1, .25, 1, 1. / 8, 1e-12},
		"square":      {func(x float64) float64 { return x * x }, 0, 1, .5, 1, 1. / 8, 1e-12},
		"exponential": {math.Exp, -1, 1, math.Log(sinh), sinh, 0.278801586, 1e-9},
	} {
		x := []float64{c.touch}
		for k := range 41 {
			v := c.low + (c.high-c.low)*float64(k)/40
			if math.Abs(v-c.touch) > 1e-9 {
				x = append(x, v)
			}
		}
		sort.Float64s(x)
		z := make([]float64, len(x))
		for i, v := range x {
			z[i] = c.f(v)
		}
		r := mustZone(t, x, z)
		casetest.Near(t, name, r.WidthMM/2, c.err, c.tol)
		casetest.Near(t, name+", slope", r.Slope, c.slope, 1e-9)
	}
	x, z := make([]float64, 24), make([]float64, 24)
	for i := range x {
		x[i] = float64(i) / 23
		z[i] = x[i] * x[i]
	}
	casetest.Near(t, "square on 24 points", mustZone(t, x, z).WidthMM/2, 132./1058, 1e-12)
}

// W. F. Eddy, ACM TOMS 3 (1977) 411, points of Algorithm 523; number of corners,
// area and least width are ours, by trying all directions.
func TestHull_Eddy1977(t *testing.T) {
	var points [][2]float64
	for _, row := range atLeast(t, 20, casetest.Published(t, "metro_eddy1977_hull_points")) {
		points = append(points, [2]float64{casetest.Number(t, row["x"]), casetest.Number(t, row["y"])})
	}
	around := ring(points)
	if len(around) != 12 {
		t.Errorf("%d corners, 12 wanted", len(around))
	}
	area, width := 0.0, math.Inf(1)
	for i, p := range around {
		q := around[(i+1)%len(around)]
		area += (p[0]*q[1] - q[0]*p[1]) / 2
		far := 0.0
		for _, r := range points {
			far = math.Max(far, num.Turn(p, q, r)/math.Hypot(q[0]-p[0], q[1]-p[1]))
		}
		width = math.Min(width, far)
	}
	casetest.Near(t, "area", area, 11.985800, 1e-8)
	casetest.Near(t, "width across", width, 3.860803025, 1e-8)
}

func TestZone_HiGHS(t *testing.T) {
	for k, c := range highs(t) {
		if len(c.X) < 3 {
			continue
		}
		casetest.Near(t, "lane "+strconv.Itoa(k), mustZone(t, c.X, c.Z).WidthMM, c.Zone, 1e-9)
	}
}

func TestReferenceLine_HiGHS(t *testing.T) {
	for k, c := range highs(t) {
		a, b, err := ReferenceLine(c.X, c.Z)
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, "lane "+strconv.Itoa(k), sumOff(c.X, c.Z, a, b), c.Sum, 1e-9)
	}
}

type storedLane struct {
	X, Z      []float64
	Zone, Sum float64
}

// highs are answers of HiGHS (scipy) to plain linear programs.
func highs(t *testing.T) []storedLane {
	t.Helper()
	b, err := os.ReadFile("testdata/highs.json")
	if err != nil {
		t.Fatal(err)
	}
	var s struct{ Lanes []storedLane }
	if err := json.Unmarshal(b, &s); err != nil {
		t.Fatal(err)
	}
	if len(s.Lanes) < 40 {
		t.Fatalf("only %d lanes", len(s.Lanes))
	}
	return s.Lanes
}

// A small profile solved as linear programs by an independent solver.
func TestSmallProfile(t *testing.T) {
	x, z := []float64{0, 10, 25, 45, 70, 100}, []float64{0, .012, .004, .021, -.006, .010}
	casetest.Near(t, "zone", mustZone(t, x, z).WidthMM, .024857143, 1e-9)
	a, b, err := ReferenceLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "a", a, .002, 1e-12)
	casetest.Near(t, "b", b, .00008, 1e-14)
	casetest.Near(t, "sum", sumOff(x, z, a, b), .0402, 1e-12)
}

// The Heron's readings as they stand, less the fall-away; values found by linear
// programming and by trying all lines.
func TestHeronSeated(t *testing.T) {
	var m neck.Model
	m.Scale.Bass, m.Scale.Treble, m.Scale.Frets, m.Scale.Divisions = 640, 640, 22, 12
	m.Strings.Spread = neck.Pair{35, 51}
	m.Strings.Set = make([]neck.String, 6)
	m.Level.FallAway = &neck.FallAway{From: 15, Depth: neck.Pair{.1, .1}}
	layout, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	frets := make([]int, 22)
	for i := range frets {
		frets[i] = i + 1
	}
	lanes := map[string][]float64{}
	for _, row := range atLeast(t, 132, casetest.Rows(t, "testdata/heron-seated.csv")) {
		lanes[row["lane"]] = append(lanes[row["lane"]], casetest.Number(t, row["reading"]))
	}
	for k, want := range []struct {
		zone, sum float64
		on        [2]int
	}{
		{.091861, .225407, [2]int{3, 18}}, {.093425, .235060, [2]int{2, 18}},
		{.096005, .259921, [2]int{2, 18}}, {.116044, .288329, [2]int{2, 17}},
		{.099524, .200407, [2]int{2, 12}}, {.100281, .180393, [2]int{3, 20}},
	} {
		name, lane := "lane "+strconv.Itoa(k+1), float64(k+1)
		x := make([]float64, 22)
		z := lanes[strconv.Itoa(k+1)]
		for i, s := range layout.Shape(lane, frets) {
			x[i] = layout.LaneX(i+1, lane)
			z[i] -= s
		}
		casetest.Near(t, name+", zone", mustZone(t, x, z).WidthMM, want.zone, 1e-6)
		a, b, err := ReferenceLine(x, z)
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, name+", sum", sumOff(x, z, a, b), want.sum, 1e-6)
		for _, f := range want.on {
			casetest.Near(t, name+", fret "+strconv.Itoa(f), z[f-1]-a-b*x[f-1], 0, 1e-12)
		}
	}
}

// Rousseeuw and Leroy (1987), p. 26, Belgian telephone calls: all lines between
// (−5.547143, .1157143) and (−8.1, .1622222) have the least sum, 84.4.
func TestReferenceLine_TelefTies(t *testing.T) {
	var x, z []float64
	for _, row := range atLeast(t, 24, casetest.Published(t, "metro_robust_telef")) {
		x, z = append(x, casetest.Number(t, row["year"])), append(z, casetest.Number(t, row["calls"]))
	}
	ends := [2][2]float64{{-5.547142857142857, .11571428571428571}, {-8.1, .16222222222222222}}
	for _, e := range ends {
		casetest.Near(t, "sum at an end", sumOff(x, z, e[0], e[1]), 84.4, 1e-9)
	}
	a, b, err := ReferenceLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "sum", sumOff(x, z, a, b), 84.4, 1e-9)
	squares := func(a, b float64) (s float64) {
		for i := range x {
			s += (z[i] - a - b*x[i]) * (z[i] - a - b*x[i])
		}
		return s
	}
	best := math.Inf(1)
	for k := range 1001 {
		s := float64(k) / 1000
		best = math.Min(best, squares(ends[0][0]+s*(ends[1][0]-ends[0][0]), ends[0][1]+s*(ends[1][1]-ends[0][1])))
	}
	if q := squares(a, b); q > best*(1+1e-9) || q < best*(1-1e-3) {
		t.Errorf("sum of squares %v, least of the lines that tie %v", q, best)
	}
	casetest.Near(t, "slope, the steepest that ties", b, ends[1][1], 1e-9)
}

func sumOff(x, z []float64, a, b float64) float64 {
	s := 0.0
	for i := range x {
		s += math.Abs(z[i] - a - b*x[i])
	}
	return s
}

// JCGM 106:2012 table 1: the one-sided points of the normal.
func TestBeyond_JCGM106Table1(t *testing.T) {
	for p, z := range map[float64]float64{.8: .84, .9: 1.28, .95: 1.64, .99: 2.33, .999: 3.09} {
		// Where 1 − Φ(z′) = 1 − p exactly, z′ prints as z.
		low, high := 0.0, 5.0
		for range 60 {
			if mid := (low + high) / 2; Beyond(mid, 1) > 1-p {
				low = mid
			} else {
				high = mid
			}
		}
		casetest.Near(t, "z", low, z, .006)
	}
}

// JCGM 106:2012 clause 7: a Zener diode against one limit, an oil's viscosity
// between two.
func TestConformanceProbability_JCGM106(t *testing.T) {
	casetest.Near(t, "Zener", 1-Beyond(5.47-5.40, .05), .92, .005)
	level, high, low := ConformanceProbability(13.6-14.4, 1.8, 16.3-12.5)
	casetest.Near(t, "oil", level, .66, .005)
	casetest.Near(t, "in all", level+high+low, 1, 1e-12)
}
