package readplan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// doubtful is a straight neck read by a bridge, whose estimate carries one long wave.
func doubtful(t *testing.T) Doubt {
	t.Helper()
	lanes, across := sixLanes()
	all := []float64{1, 2, 3, 4, 5, 6}
	k, err := Prior(lanes, across, Shape{OffsetMM: 0.150, TiltMM: 0.060, KinkMM: 0.0007}).FreeDatum().
		After(Set{Method: reading.Bridge, Lanes: all, Frets: run(1, 22, 1), UMM: 0.003})
	if err != nil {
		t.Fatal(err)
	}
	d := Doubt{Known: k, LimitMM: 0.030, Seed: 1, Open: []int{0, 1, 2, 3, 4, 5}}
	for range lanes {
		for i := range 22 {
			x := float64(i)/10.5 - 1
			d.HeightMM = append(d.HeightMM, 0.010*(1.5*x*x-0.5))
		}
	}
	return d
}

// TestDoubt_After: without a reading every lane stays in doubt; with sure ones none.
func TestDoubt_After(t *testing.T) {
	d := doubtful(t)
	none, err := d.After(200)
	if err != nil || none.Doubt != 6 || none.Settles != 0 {
		t.Errorf("nothing read: %+v, %v", none, err)
	}
	sure := Set{Method: reading.Beam, Lanes: []float64{1, 2, 3, 4, 5, 6}, Frets: run(1, 22, 1), UMM: 0.0005}
	if o, err := d.After(200, sure); err != nil || o.Settles < 0.95 {
		t.Errorf("all read by a sure gauge: %+v, %v", o, err)
	}
	some := sure
	some.Lanes = []float64{3}
	one, err := d.After(200, some)
	if err != nil || one.Doubt >= none.Doubt || one.Settles > 0.5 {
		t.Errorf("one inner lane read: %+v, %v", one, err)
	}
	d.Missing = []Place{{Lane: 4, Fret: 9}}
	if o, err := d.After(200, some); err != nil || o.Settles != 0 {
		t.Errorf("a crown that stays open: %+v, %v", o, err)
	}
	if o, err := d.After(200, sure); err != nil || o.Settles < 0.9 {
		t.Errorf("a crown that is read: %+v, %v", o, err)
	}
}

// TestBest: a straight edge along the outer lanes is chosen before the bridge once
// more; choices take longer and settle more; without an open lane there is none.
func TestBest(t *testing.T) {
	d := doubtful(t)
	gauges := []Gauge{{Method: reading.Bridge, UMM: 0.003, Used: true, Own: true}, {Method: reading.Edge, UMM: 0.006, Own: true}, {Method: reading.Beam, UMM: 0.005}}
	best, err := d.Best(gauges, nil, Times{}, 3)
	if err != nil || len(best) == 0 || len(best) > 3 {
		t.Fatalf("%+v, %v", best, err)
	}
	if s := best[0].Sets[0]; s.Method != reading.Edge || !slices.Equal(s.Lanes, []float64{1, 6}) {
		t.Errorf("%+v", best[0])
	}
	for i := 1; i < len(best); i++ {
		if best[i].Settles <= best[i-1].Settles {
			t.Errorf("%+v", best)
		}
	}
	gauges[1].Leaves = []float64{1, 6}
	if best, err = d.Best(gauges, nil, Times{}, 1); err != nil || best[0].Sets[0].Method == reading.Edge {
		t.Errorf("the same leaves again: %+v, %v", best, err)
	}
	before := Set{Method: reading.Beam, Lanes: []float64{1, 2, 3, 4, 5, 6}, Frets: run(1, 22, 1), UMM: 0.003}
	if best, err = d.Best(gauges, []Set{before}, Times{}, 1); err != nil || best[0].Settles < 0.9 {
		t.Errorf("after a sure set: %+v, %v", best, err)
	}
	d.Open = nil
	if best, err = d.Best(gauges, nil, Times{}, 3); err != nil || best != nil {
		t.Errorf("nothing open: %+v, %v", best, err)
	}
}

// TestScatterOf finds the scatter of frets under readings of the same size, long
// waves that the readings do not see notwithstanding.
func TestScatterOf(t *testing.T) {
	const n, u = 200, 0.002
	r := rand.New(rand.NewPCG(8, 8))
	for _, s := range []float64{0.001, 0.004, 0.012} {
		cov := mat.NewSymDense(n, nil)
		v := make([]float64, n)
		wave := 0.05 * r.NormFloat64()
		for i := range n {
			v[i] = s*r.NormFloat64() + u*r.NormFloat64() + wave*math.Sin(3*float64(i)/n)
			for j := i; j < n; j++ {
				cov.SetSym(i, j, 0.0025*math.Sin(3*float64(i)/n)*math.Sin(3*float64(j)/n))
			}
			cov.SetSym(i, i, cov.At(i, i)+u*u)
		}
		if got := scatterOf(v, cov); got < 0.6*s || got > 1.5*s {
			t.Errorf("scatter %v, found %v", s, got)
		}
	}
}

// TestTruths: drawn necks err by the covariance where frets scatter widely, and less
// along waves that only chance would make where they do not.
func TestTruths(t *testing.T) {
	d := doubtful(t)
	for i := range d.HeightMM {
		d.HeightMM[i] = 0
	}
	const draws = 400
	errs := d.truths(draws)
	_, before := d.Known.Uncertainty()
	sum := 0.0
	for i := range draws {
		for _, v := range errs.RawRowView(i) {
			sum += v * v / float64(draws*len(d.HeightMM))
		}
	}
	if rms := math.Sqrt(sum); rms > before/3 {
		t.Errorf("frets that hardly scatter: drawn necks err by %.4f mm rms, the covariance says %.4f", rms, before)
	}
}

// TestLearn: the shop's scatter and share of odd frets come back, without what the
// readings add.
func TestLearn(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	across := places(6)
	var frets []FretOff
	for i := range 3000 {
		f := FretOff{MeanMM: 0.005*r.NormFloat64() + 0.004/math.Sqrt(6)*r.NormFloat64(), TiltMM: 0.002*r.NormFloat64() + 0.004/math.Sqrt(2.8)*r.NormFloat64(), UMM: 0.004}
		if i%10 == 0 {
			f.TiltMM += 0.08
		}
		frets = append(frets, f)
	}
	s, ok := Learn(frets, across, 136)
	if !ok || s.Necks != 136 || math.Abs(s.FretMM-0.005) > 0.0008 || math.Abs(s.TiltMM-0.002) > 0.0008 || math.Abs(s.Odd-0.1) > 0.015 {
		t.Errorf("%+v, %v", s, ok)
	}
	if _, ok := Learn(frets[:59], across, 3); ok {
		t.Error("59 frets are taken for enough")
	}
}
