package board

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

func newJob(t *testing.T, readings []reading.Reading) *job {
	t.Helper()
	m, l := heron(t, nil)
	j := &job{m: m, l: l, readings: readings, a: &Answer{}}
	j.collect()
	return j
}

// TestAdjust_Pseudoinverse holds a lane read by a beam, twice, and by a bridge
// gauge against a second route: the least-squares solution of least length of the
// whole design, its straight line taken out.
func TestAdjust_Pseudoinverse(t *testing.T) {
	m, l := heron(t, nil)
	w := newWood(t, 3, m, l)
	readings := append(w.beam([]float64{2}, 1, 0.005, "a")[:15], w.beam([]float64{2}, 1, 0.008, "b")[9:]...)
	at := func(f int) float64 { return w.height(f, l.At(f, 2)) }
	for f := 4; f <= 12; f += 2 {
		x := func(f int) float64 { return l.LaneX(f, 2) }
		part := (x(f+2) - x(f)) / (x(f+2) - x(f-2))
		v := at(f) - part*at(f-2) - (1-part)*at(f+2) + 0.003*w.r.NormFloat64()
		readings = append(readings, reading.Reading{Method: reading.Bridge, Lane: 2, Frets: []int{f - 2, f, f + 2}, Value: v, U: 0.003})
	}
	j := newJob(t, readings)
	rows := make([]*row, len(j.rows))
	for i := range j.rows {
		rows[i] = &j.rows[i]
	}
	got, err := j.adjust(map[float64][]*row{2: rows})
	if err != nil {
		t.Fatal(err)
	}
	h := got[2]
	n := len(h.at)
	if n != 22 {
		t.Fatalf("%d slots determined, want 22", n)
	}
	design, y := mat.NewDense(len(rows), n+4, nil), mat.NewVecDense(len(rows), nil)
	for i, r := range rows {
		for k, p := range r.at {
			design.Set(i, p, r.weights[k]/r.u)
		}
		if r.setup != (reading.Setup{}) {
			k := n
			if r.setup.Pass == "b" {
				k += 2
			}
			design.Set(i, k, 1/r.u)
			design.Set(i, k+1, j.places.list[r.at[0]].x/100/r.u)
		}
		y.SetVec(i, r.value/r.u)
	}
	var svd mat.SVD
	if !svd.Factorize(design, mat.SVDThin) {
		t.Fatal("no singular values")
	}
	var x mat.Dense
	svd.SolveTo(&x, y, svd.Rank(1e-10))
	z := make([]float64, n)
	for i := range z {
		z[i] = x.At(i, 0)
	}
	num.Detrend(h.x, z)
	for i := range z {
		if math.Abs(z[i]-h.z[i]) > 1e-7 {
			t.Errorf("slot %d: %v, by the second route %v", i+1, h.z[i], z[i])
		}
	}
}

// TestAdjust_OnePass: one pass gives its own readings less their line, and the
// covariance u²·(I − hat matrix) of the free datum.
func TestAdjust_OnePass(t *testing.T) {
	m, l := heron(t, nil)
	j := newJob(t, newWood(t, 1, m, l).beam([]float64{4}, 1, 0.005, ""))
	rows := make([]*row, len(j.rows))
	for i := range j.rows {
		rows[i] = &j.rows[i]
	}
	got, err := j.adjust(map[float64][]*row{4: rows})
	if err != nil {
		t.Fatal(err)
	}
	h := got[4]
	n := float64(len(h.x))
	mean, sxx := 0.0, 0.0
	for _, v := range h.x {
		mean += v / n
	}
	for _, v := range h.x {
		sxx += (v - mean) * (v - mean)
	}
	for i := range h.x {
		for k := range h.x {
			want := -(1/n + (h.x[i]-mean)*(h.x[k]-mean)/sxx)
			if i == k {
				want++
			}
			if got := h.cov.At(i, k); math.Abs(got-want*25e-6) > 1e-11 {
				t.Fatalf("covariance of slots %d and %d: %v, want %v", i+1, k+1, got, want*25e-6)
			}
		}
	}
}

// TestJudge_TurnedBeam: a beam that is bowed itself, read both ways round, is told
// from the board where the turning shows it.
func TestJudge_TurnedBeam(t *testing.T) {
	m, l := heron(t, nil)
	own := func(x float64) float64 { s := (x - 36) / 424; return 0.12 * s * s * s } // its odd part shows
	ready := 0
	for seed := range uint64(10) {
		w := newWood(t, seed, m, l)
		var r []reading.Reading
		for _, turned := range []bool{false, true} {
			for _, k := range w.beam(three(), 1, 0.004, "") {
				x := l.CentreX(k.Frets[0])
				if k.Turned = turned; turned {
					k.Value -= own(x)
				} else {
					k.Value += own(x)
				}
				r = append(r, k)
			}
		}
		a, err := Judge(m, l, append(r, w.arch(five(), 40, 0.001)...))
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict == Ready {
			ready++
		}
		if a.Verdict == NotReady {
			t.Errorf("seed %d: the beam's own bow is taken for the board's: %+v", seed, a.Findings)
		}
	}
	if ready < 4 {
		t.Errorf("ready on %d of 10", ready)
	}
}

// TestJudge_Open: stretches that no two slots tie are named, and so are slots that
// a rocker tells a limit of only.
func TestJudge_Open(t *testing.T) {
	m, l := heron(t, nil)
	w := newWood(t, 2, m, l)
	r := withFive(three())(w)
	for i := range r {
		if r[i].Lane == 6 && r[i].Frets[0] > 12 {
			r[i].Pass = "b"
		}
	}
	r = append(r, reading.Reading{Method: reading.Rocker, Lane: 2, Frets: []int{5, 6, 7}, Answer: reading.Still, U: 0.005})
	a, err := Judge(m, l, r)
	if err != nil {
		t.Fatal(err)
	}
	untied, limits := 0, 0
	for _, o := range a.Open {
		switch {
		case o.Lane == 6 && o.Why == NotTied && o.Fret > 12:
			untied++
		case o.Lane == 2 && o.Fret == 6 && o.Why == OneSided:
			limits++
		}
	}
	if a.Verdict != InDoubt || untied != 10 || limits != 1 || len(a.Open) != 11 {
		t.Errorf("%s: %+v", a.Verdict, a.Open)
	}
}
