package readplan

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// small is a neck of three lanes and seven frets with a random covariance.
func small(t *testing.T) *Known {
	t.Helper()
	r := rand.New(rand.NewPCG(3, 4))
	var lanes []Lane
	for l := range 3 {
		lane := Lane{Lane: float64(l + 1)}
		for f := 1; f <= 7; f++ {
			lane.Frets, lane.XMM = append(lane.Frets, f), append(lane.XMM, 40*float64(f)-float64(f*f)+float64(l))
		}
		lanes = append(lanes, lane)
	}
	root := mat.NewDense(21, 21, nil)
	for i := range 21 {
		for j := range 21 {
			root.Set(i, j, 0.01*r.NormFloat64())
		}
	}
	cov := mat.NewSymDense(21, nil)
	cov.SymOuterK(1, root)
	k, err := NewKnown(lanes, cov)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func differ(a, b *mat.SymDense) (most float64) {
	for i := range a.SymmetricDim() {
		for j := range a.SymmetricDim() {
			most = math.Max(most, math.Abs(a.At(i, j)-b.At(i, j)))
		}
	}
	return most
}

// TestAfter_NormalEquations: the same by a second route: all crowns and each
// set-up's offset and tilt as unknowns of one adjustment.
func TestAfter_NormalEquations(t *testing.T) {
	k := small(t)
	sets := []Set{
		{Method: reading.Beam, Lanes: []float64{1, 3}, Frets: []int{1, 2, 4, 7}, UMM: 0.004, Passes: 2},
		{Method: reading.Edge, Lanes: []float64{2}, Frets: []int{2, 3, 5, 6, 7}, UMM: 0.006},
		{Method: reading.Bridge, Lanes: []float64{1, 2}, Frets: []int{1, 2, 3, 4, 5, 6, 7}, Reach: 2, UMM: 0.003},
		{Method: reading.Rocker, Lanes: []float64{3}, Frets: []int{3, 4, 5}, UMM: 0.005},
	}
	setups := 0
	for _, s := range sets {
		setups += s.Setups()
	}
	n := 21 + 2*setups
	info := mat.NewSymDense(n, nil)
	var inverse mat.Dense
	if err := inverse.Inverse(k.Cov); err != nil {
		t.Fatal(err)
	}
	for i := range 21 {
		for j := i; j < 21; j++ {
			info.SetSym(i, j, (inverse.At(i, j)+inverse.At(j, i))/2)
		}
	}
	add := func(row []float64, u float64) {
		for i := range n {
			for j := i; j < n; j++ {
				info.SetSym(i, j, info.At(i, j)+row[i]*row[j]/(u*u))
			}
		}
	}
	next := 21
	for _, s := range sets {
		for range max(1, s.Passes) {
			for _, lane := range s.Lanes {
				l := int(lane) - 1
				x := k.Lanes[l].XMM
				for _, p := range s.Places() {
					row := make([]float64, n)
					at := func(i int) *float64 { return &row[7*l+p[i]-1] }
					switch s.Method {
					case reading.Bridge, reading.Rocker:
						w := (x[p[2]-1] - x[p[1]-1]) / (x[p[2]-1] - x[p[0]-1])
						scale := 1.0
						if s.Method == reading.Rocker {
							scale = 1 / (1 - w)
						}
						*at(0), *at(1), *at(2) = -w*scale, scale, -(1-w)*scale
					default:
						*at(0), row[next], row[next+1] = 1, 1, x[p[0]-1]/100
					}
					add(row, s.UMM)
				}
				if s.Setups() > 0 {
					next += 2
				}
			}
		}
	}
	var all mat.Dense
	if err := all.Inverse(info); err != nil {
		t.Fatal(err)
	}
	got, err := k.After(sets...)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 21 {
		for j := range 21 {
			if math.Abs(got.Cov.At(i, j)-all.At(i, j)) > 1e-10 {
				t.Fatalf("crowns %d and %d: %g, by the normal equations %g mm²", i, j, got.Cov.At(i, j), all.At(i, j))
			}
		}
	}
}

// TestAfter_Properties: passes add up, in any order, and a line added to a lane
// changes nothing that any gauge sees.
func TestAfter_Properties(t *testing.T) {
	k := small(t)
	beam := Set{Method: reading.Beam, Lanes: []float64{1, 2}, Frets: []int{1, 3, 4, 6}, UMM: 0.004}
	three := beam
	three.Passes = 3
	after := func(k *Known, s ...Set) *Known {
		t.Helper()
		a, err := k.After(s...)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	edge := Set{Method: reading.Edge, Lanes: []float64{3}, Frets: []int{1, 2, 3, 7}, UMM: 0.006}
	if d := differ(after(k, three).Cov, after(k, beam, beam, beam).Cov); d > 1e-12 {
		t.Errorf("three passes differ by %g from one three times", d)
	}
	if d := differ(after(after(k, edge), beam).Cov, after(k, beam, edge).Cov); d > 1e-12 {
		t.Errorf("one after the other differs by %g from both at once", d)
	}
	if d := differ(after(k, Set{Method: reading.Beam, Lanes: []float64{1}, Frets: []int{2, 5}, UMM: 0.001}).Cov, k.Cov); d > 1e-15 {
		t.Errorf("two crowns of a pass are its set-up's: %g", d)
	}
	lines := mat.NewSymDense(21, nil)
	lines.CopySym(k.Cov)
	for l, lane := range k.Lanes {
		for i := range 7 {
			for j := i; j < 7; j++ {
				lines.SetSym(7*l+i, 7*l+j, lines.At(7*l+i, 7*l+j)+0.1+1e-5*lane.XMM[i]*lane.XMM[j])
			}
		}
	}
	tilted, err := NewKnown(k.Lanes, lines)
	if err != nil {
		t.Fatal(err)
	}
	if d := differ(after(tilted, beam, edge).FreeDatum().Cov, after(k, beam, edge).FreeDatum().Cov); d > 1e-9 {
		t.Errorf("lines added to lanes change the rest by %g", d)
	}
	if d := differ(k.FreeDatum().FreeDatum().Cov, k.FreeDatum().Cov); d > 1e-15 {
		t.Errorf("the free datum of a free datum differs by %g", d)
	}
}

func TestAfter_Faults(t *testing.T) {
	k := small(t)
	for what, s := range map[string]Set{
		"no such lane":   {Method: reading.Beam, Lanes: []float64{4}, Frets: []int{1, 2, 3}, UMM: 0.005},
		"no such fret":   {Method: reading.Beam, Lanes: []float64{1}, Frets: []int{1, 2, 9}, UMM: 0.005},
		"no uncertainty": {Method: reading.Beam, Lanes: []float64{1}, Frets: []int{1, 2, 3}},
	} {
		if _, err := k.After(s); !errors.Is(err, ErrReadings) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, err := NewKnown(k.Lanes, mat.NewSymDense(20, nil)); !errors.Is(err, ErrReadings) {
		t.Error(err)
	}
}
