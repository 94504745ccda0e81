package wear

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/casetest"
)

// bridgeCov is the covariance of a lane's crowns read by a bridge over each three
// neighbours, good to sd: Cov = P·(AᵀA)⁺·P·sd², A the second differences and P
// what a lane's line leaves.
func bridgeCov(sd float64) *mat.SymDense {
	a := mat.NewDense(frets-2, frets, nil)
	for k := range frets - 2 {
		x := [3]float64{fretX(k + 1), fretX(k + 2), fretX(k + 3)}
		w := (x[2] - x[1]) / (x[2] - x[0])
		a.SetRow(k, append(append(make([]float64, k), -w, 1, w-1), make([]float64, frets-3-k)...))
	}
	var n mat.SymDense
	n.SymOuterK(1/(sd*sd), a.T())
	var x []float64
	for f := 1; f <= frets; f++ {
		x = append(x, fretX(f))
	}
	g := lines(x)
	const weight = 1e6 // holds each line at 0; its share is taken off again
	for i := range frets {
		for j := i; j < frets; j++ {
			n.SetSym(i, j, n.At(i, j)+weight*(g[0][i]*g[0][j]+g[1][i]*g[1][j]))
		}
	}
	var chol mat.Cholesky
	var c mat.SymDense
	if !chol.Factorize(&n) || chol.InverseTo(&c) != nil {
		panic("singular")
	}
	for i := range frets {
		for j := i; j < frets; j++ {
			c.SetSym(i, j, c.At(i, j)-(g[0][i]*g[0][j]+g[1][i]*g[1][j])/weight)
		}
	}
	return &c
}

// readBy reads a neck by a gauge of a covariance.
func readBy(r *rand.Rand, cov *mat.SymDense, height func(int, float64) float64) []Lane {
	out := stage(r, 0, height)
	var eigen mat.EigenSym
	if !eigen.Factorize(cov, true) {
		panic("no roots")
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	for i := range out {
		out[i].Cov = cov
		for k, value := range eigen.Values(nil) {
			xi := math.Sqrt(max(0, value)) * r.NormFloat64()
			for j := range out[i].ZMM {
				out[i].ZMM[j] += xi * v.At(j, k)
			}
		}
	}
	return out
}

// together adds two covariances' information: a crown read by both gauges.
func together(a, b *mat.SymDense) *mat.SymDense {
	var x, y, s mat.Dense
	s.Add(a, b)
	if x.Solve(&s, b) != nil { // a·(a+b)⁻¹·b
		panic("singular")
	}
	y.Mul(a, &x)
	out := mat.NewSymDense(frets, nil)
	for i := range frets {
		for j := i; j < frets; j++ {
			out.SetSym(i, j, (y.At(i, j)+y.At(j, i))/2)
		}
	}
	return out
}

// Whatever reads the two stages, and be it different gauges, a neck that did not
// change is hardly ever called changed, nor one whose rod was turned.
func TestCompare_EveryGauge(t *testing.T) {
	casetest.OneByOne(t)
	bridge, beam, edge := bridgeCov(0.003), diagonal(frets, 0.005), diagonal(frets, 0.006)
	tried := necks() / 4
	noisy, called, doubt, all := 0, 0, 0, 0
	for _, c := range []struct {
		name          string
		before, after *mat.SymDense
	}{
		{"bridge", bridge, bridge}, {"beam and bridge", together(beam, bridge), together(beam, bridge)},
		{"bridge, then beam", bridge, beam}, {"edge, then bridge", edge, bridge}, {"beam, then edge", beam, edge},
	} {
		r := rand.New(rand.NewPCG(41, 1))
		for k := range tried {
			s := seat(r)
			got := compare(t, readBy(r, c.before, s), readBy(r, c.after, plus(s, bowed(float64(k%3-1)*0.1, 22))))
			all++
			noisy += one(got.Changed)
			doubt += one(got.InDoubt)
			if count(got, Worn)+count(got, Moved)+count(got, Raised) > 0 {
				called++
				t.Logf("%s, neck %d: %+v", c.name, k, got.Frets)
			}
		}
	}
	n := float64(all)
	t.Logf("of %d necks that did not change %d were noisier than the guard, %d in doubt, %d with a crown called", all, noisy, doubt, called)
	if float64(noisy) > n*0.05+3*math.Sqrt(n*0.05*0.95) || float64(called) > 0.03*n || doubt > noisy {
		t.Error("more false alarms than stated")
	}
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// patchy wears half of the twenty crowns at frets 1 to 5 in lanes 1 to 4 by half
// to one and a half of a figure.
func patchy(r *rand.Rand, mm float64) func(int, float64) float64 {
	deep := map[[2]int]float64{}
	for k, i := range r.Perm(20) {
		if k < 10 {
			deep[[2]int{1 + i%5, 1 + i/5}] = mm * (0.5 + r.Float64())
		}
	}
	return func(f int, l float64) float64 { return -deep[[2]int{f, int(l)}] }
}

// Patchy wear is found, at its depth, and its neighbours are not blamed: by two
// passes of a beam good to 0.005 mm at each stage, whether the rod was turned or
// not, and by a bridge good to 0.003.
func TestCompare_Patches(t *testing.T) {
	casetest.OneByOne(t)
	beam, bridge := diagonal(frets, 0.005/math.Sqrt2), bridgeCov(0.003)
	for _, c := range []struct {
		name          string
		before, after *mat.SymDense
		mm, bow       float64
		least         float64
	}{
		{"beam, 0.02", beam, beam, 0.02, 0, 0.40},
		{"beam, 0.03, the rod turned", beam, beam, 0.03, 0.1, 0.70},
		{"beam, 0.05", beam, beam, 0.05, 0, 0.92},
		{"bridge, 0.05", bridge, bridge, 0.05, 0, 0.5},
	} {
		r := rand.New(rand.NewPCG(5, 9))
		found, worn, blamed, bias := 0, 0, 0, 0.0
		const tried = 8
		for range tried {
			s, w := seat(r), patchy(r, c.mm)
			got := compare(t, readBy(r, c.before, s), readBy(r, c.after, plus(plus(s, w), bowed(c.bow, 22))))
			wrong := false
			for _, x := range got.Changes {
				switch d := w(x.Fret, x.Lane); {
				case d < 0:
					worn++
					found += one(x.Verdict == Worn)
					bias += x.MM - d
				case x.Verdict == Worn || x.Verdict == Moved || x.Verdict == Raised:
					wrong = true
				}
			}
			blamed += one(wrong)
		}
		t.Logf("%s: found %d of %d, %+.1f µm off, sound crowns blamed on %d of %d necks", c.name, found, worn, 1e3*bias/float64(worn), blamed, tried)
		if float64(found) < c.least*float64(worn) {
			t.Errorf("%s: found %d of %d, want %.0f %%", c.name, found, worn, 100*c.least)
		}
		if c.before == beam && math.Abs(bias) > 0.003*float64(worn) {
			t.Errorf("%s: %.1f µm off", c.name, 1e3*bias/float64(worn))
		}
		if blamed > 1 {
			t.Errorf("%s: sound crowns blamed on %d of %d necks", c.name, blamed, tried)
		}
	}
}

// What a gauge would miss is said, and at which stage: a bridge misses wear that
// a beam shows.
func TestCompare_Sees(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	s := seat(r)
	bridge, beam := bridgeCov(0.003), diagonal(frets, 0.005)
	good, rough := compare(t, readBy(r, beam, s), readBy(r, beam, s)), compare(t, readBy(r, beam, s), readBy(r, bridge, s))
	if good.SeesMM > 0.04 || math.Abs(good.SeesMM/good.LargestUMM-good.CriticalValue-1.2816) > 1e-3 {
		t.Errorf("%+v", good.SeesMM)
	}
	if rough.SeesMM < 0.05 || rough.SeesFromMM > 0.04 || rough.SeesToMM < 0.05 {
		t.Errorf("sees %.3f, %.3f at the first stage, %.3f at the second", rough.SeesMM, rough.SeesFromMM, rough.SeesToMM)
	}
}
