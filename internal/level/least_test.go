package level

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

func one(x, d []float64) []Lane {
	frets := make([]int, len(x))
	for i := range frets {
		frets[i] = i + 1
	}
	return []Lane{{Lane: 1, Frets: frets, X: x, D: d}}
}

// A small profile solved as a linear program by an independent solver.
func TestLeast_SmallProfile(t *testing.T) {
	lanes := one([]float64{0, 10, 25, 45, 70, 100}, []float64{0, .012, .004, .021, -.006, .010})
	for zone, want := range map[float64]float64{0: .062428571, .01: .026285714, .02: .004857143, .025: 0} {
		p, err := Least(lanes, zone)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.TotalMM-want) > 1e-9 {
			t.Errorf("zone %v: %.9f, want %.9f", zone, p.TotalMM, want)
		}
		line := p.Lanes[0].Target
		if zone < .025 && (math.Abs(line.B+8.571429e-5) > 1e-11 || math.Abs(line.A-zone) > 1e-9) {
			t.Errorf("zone %v: line %v, want %v − 8.571429e-5·x", zone, line, zone)
		}
	}
}

// heronLanes are the readings of the Heron 22 as they stand, less the shape: a
// fall-away of 0.10 mm from fret 15, nothing set aside.
func heronLanes(t *testing.T) []Lane {
	t.Helper()
	rows := casetest.Rows(t, "../straight/testdata/heron-seated.csv")
	if len(rows) != 132 {
		t.Fatalf("%d rows", len(rows))
	}
	var m neck.Model
	m.Scale.Bass, m.Scale.Treble, m.Scale.Frets, m.Scale.Divisions = 640, 640, 22, 12
	m.Strings.Spread = neck.Pair{35, 51}
	m.Strings.Set = make([]neck.String, 6)
	m.Level.FallAway = &neck.FallAway{From: 15, Depth: neck.Pair{.1, .1}}
	layout, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	lanes := make([]Lane, 6)
	for _, row := range rows {
		lane, _ := strconv.Atoi(row["lane"])
		fret, _ := strconv.Atoi(row["fret"])
		if lane < 1 || lane > 6 {
			t.Fatal(row)
		}
		l := &lanes[lane-1]
		l.Lane = float64(lane)
		l.Frets = append(l.Frets, fret)
		l.X = append(l.X, layout.LaneX(fret, l.Lane))
		l.D = append(l.D, casetest.Number(t, row["reading"]))
	}
	for i := range lanes {
		for k, s := range layout.Shape(lanes[i].Lane, lanes[i].Frets) {
			lanes[i].D[k] -= s
		}
	}
	return lanes
}

// The Heron's totals, worked out two other ways (linear program, all lines).
func TestLeast_HeronSeated(t *testing.T) {
	p, err := Least(heronLanes(t), .03)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{.176978, .174209, .215755, .293990, .197255, .214925} {
		if got := p.Lanes[i].TotalMM; math.Abs(got-want) > 1e-6 {
			t.Errorf("lane %d: %.6f, want %.6f", i+1, got, want)
		}
	}
}

type stored struct {
	Solver string
	Lanes  []struct {
		X, D        []float64
		Zone, Total float64
	}
	Necks []struct {
		X     []float64
		D     [][]float64
		Zone  float64
		Total *float64
	}
}

func highs(t *testing.T) stored {
	t.Helper()
	b, err := os.ReadFile("testdata/highs.json")
	if err != nil {
		t.Fatal(err)
	}
	var s stored
	if err := json.Unmarshal(b, &s); err != nil {
		t.Fatal(err)
	}
	if len(s.Lanes) < 50 || len(s.Necks) < 9 {
		t.Fatalf("only %d lanes and %d necks", len(s.Lanes), len(s.Necks))
	}
	return s
}

// Answers of HiGHS (scipy) to the same lanes as plain linear programs.
func TestLeast_HiGHS(t *testing.T) {
	for k, c := range highs(t).Lanes {
		p, err := Least(one(c.X, c.D), c.Zone)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.TotalMM-c.Total) > 1e-9 {
			t.Errorf("lane %d: %.12f, HiGHS %.12f", k, p.TotalMM, c.Total)
		}
	}
}

// drawLane draws a lane; sometimes of whole numbers, where lines tie.
func drawLane(t *rapid.T, most int) ([]float64, []float64, float64) {
	n := rapid.IntRange(1, most).Draw(t, "n")
	whole := rapid.Bool().Draw(t, "whole numbers")
	x, d := make([]float64, n), make([]float64, n)
	at := 0.0
	for i := range x {
		if whole {
			at += float64(rapid.IntRange(1, 2).Draw(t, "dx"))
			d[i] = float64(rapid.IntRange(-4, 4).Draw(t, "d"))
		} else {
			at += rapid.Float64Range(1, 40).Draw(t, "dx")
			d[i] = rapid.Float64Range(-.05, .05).Draw(t, "d")
		}
		x[i] = at
	}
	if whole {
		return x, d, float64(rapid.IntRange(0, 4).Draw(t, "zone"))
	}
	return x, d, rapid.SampledFrom([]float64{0, .01, .03}).Draw(t, "zone")
}

func TestLeast_AllLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, d, zone := drawLane(t, 14)
		p, err := Least(one(x, d), zone)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := leastByKinks(x, d, zone)
		if math.Abs(p.TotalMM-want) > 1e-11*(1+want) {
			t.Fatalf("total %v, all lines %v", p.TotalMM, want)
		}
		if m := leastMaxByScan(x, d, zone); math.Abs(p.MaxMM-m) > 1e-8*(1+m) {
			t.Fatalf("largest %v, least of those that tie %v", p.MaxMM, m)
		}
		var s Solver
		if line, total := s.Target(x, d, zone); line != p.Lanes[0].Target || math.Abs(total-p.TotalMM) > 1e-12 {
			t.Fatalf("the solver says %v, %v, the plan %v, %v", line, total, p.Lanes[0].Target, p.TotalMM)
		}
		for i, r := range p.Lanes[0].RemoveMM {
			over := d[i] - r - p.Lanes[0].Target.At(x[i])
			if over > 1e-11 || over < -zone-1e-11 {
				t.Fatalf("crown %d ends %v above the target", i, over)
			}
		}
	})
}

// TestLeast_Dual proves optima by weak duality: multipliers that our answer does
// not know of, found by gonum's simplex on the dual program.
func TestLeast_Dual(t *testing.T) {
	solved := 0
	for k := range 60 {
		r := seeded(uint64(k))
		l := fretted(r, 3+k%7, 1, .02, 1)[0]
		const zone = .015
		n := len(l.X)
		// most Σλd − Σμ(d+Z) with Σλ = Σμ, Σλx = Σμx, λ + s = 1; gonum wants least.
		c := make([]float64, 3*n)
		a := mat.NewDense(n+2, 3*n, nil)
		b := make([]float64, n+2)
		for i := range n {
			c[i], c[n+i] = -l.D[i], l.D[i]+zone
			a.Set(0, i, 1)
			a.Set(0, n+i, -1)
			a.Set(1, i, l.X[i]/648)
			a.Set(1, n+i, -l.X[i]/648)
			a.Set(2+i, i, 1)
			a.Set(2+i, 2*n+i, 1)
			b[2+i] = 1
		}
		value, _, err := lp.Simplex(c, a, b, 1e-12, nil)
		if err != nil {
			continue // gonum's simplex gives up on some degenerate programs
		}
		solved++
		p, err := Least([]Lane{l}, zone)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.TotalMM+value) > 1e-10 {
			t.Errorf("lane %d: %.12f, dual %.12f", k, p.TotalMM, -value)
		}
	}
	if solved < 30 {
		t.Errorf("gonum solved %d only", solved)
	}
}

// Offset, tilt, mirror and scale change nothing but the scale.
func TestLeast_Invariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		l := fretted(seeded(seed), 24, 1, .012, 3)[0]
		p, err := Least([]Lane{l}, .03)
		if err != nil {
			t.Fatal(err)
		}
		a, b := rapid.Float64Range(-5, 5).Draw(t, "a"), rapid.Float64Range(-.01, .01).Draw(t, "b")
		scale := rapid.Float64Range(.01, 100).Draw(t, "scale")
		n := len(l.X)
		x, d := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 700 - l.X[n-1-i]
			d[i] = scale * (a + b*x[i] + l.D[n-1-i])
		}
		q, err := Least(one(x, d), scale*.03)
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			if got, want := q.Lanes[0].RemoveMM[n-1-i], scale*p.Lanes[0].RemoveMM[i]; math.Abs(got-want) > 1e-9*(1+scale) {
				t.Fatalf("crown %d: %v, want %v", i, got, want)
			}
		}
	})
}

func TestLeast_BadInput(t *testing.T) {
	good := one([]float64{0, 1, 2}, []float64{0, 0, 0})
	for name, c := range map[string]struct {
		change func(*Lane)
		zone   float64
		want   error
	}{
		"lengths":    {func(l *Lane) { l.D = l.D[:2] }, .03, ErrLength},
		"empty":      {func(l *Lane) { *l = Lane{Lane: 1} }, .03, ErrLength},
		"order of x": {func(l *Lane) { l.X = []float64{0, 2, 2} }, .03, ErrOrder},
		"frets":      {func(l *Lane) { l.Frets = []int{1, 3, 3} }, .03, ErrOrder},
		"NaN":        {func(l *Lane) { l.D = []float64{0, math.NaN(), 0} }, .03, ErrNotFinite},
		"Inf":        {func(l *Lane) { l.X = []float64{0, 1, math.Inf(1)} }, .03, ErrNotFinite},
		"Y NaN":      {func(l *Lane) { l.Y = []float64{0, math.NaN(), 0} }, .03, ErrNotFinite},
		"Y Inf":      {func(l *Lane) { l.Y = []float64{0, 0, math.Inf(-1)} }, .03, ErrNotFinite},
		"Y length":   {func(l *Lane) { l.Y = []float64{0, 1} }, .03, ErrLength},
		"zone":       {func(*Lane) {}, -.01, ErrZone},
		"zone NaN":   {func(*Lane) {}, math.NaN(), ErrZone},
	} {
		lanes := []Lane{good[0]}
		c.change(&lanes[0])
		if _, err := Least(lanes, c.zone); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestFlatWidth(t *testing.T) {
	for _, c := range []struct{ radius, remove, want float64 }{
		{1.2, .05, 2 * math.Sqrt(.1175)}, // 0.6856
		{1.2, 0, 0}, {1.2, -1, 0}, {0, .1, 0}, {1.2, 1.2, 2.4}, {1.2, 5, 2.4},
	} {
		if got := FlatWidth(c.radius, c.remove); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("FlatWidth(%v, %v) = %v, want %v", c.radius, c.remove, got, c.want)
		}
	}
}
