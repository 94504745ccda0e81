package straight

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/casetest"
)

// fretX are the places of n frets on a scale of 640 mm.
func fretX(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 640 * -math.Expm1(-float64(i+1)/12*math.Ln2)
	}
	return x
}

// shapes are lanes whose zone is exactly 1.
func shapes(x []float64, r *rand.Rand) map[string][]float64 {
	n := len(x)
	first, span := x[0], x[n-1]-x[0]
	make1 := func(f func(i int, t float64) float64) []float64 {
		z := make([]float64, n)
		for i, xi := range x {
			z[i] = f(i, (xi-first)/span)
		}
		w := zone(x, z).WidthMM
		for i := range z {
			z[i] /= w
		}
		return z
	}
	return map[string][]float64{
		"one high crown": make1(func(i int, _ float64) float64 {
			if i == n/2 {
				return 1
			}
			return 0
		}),
		"one low crown near the end": make1(func(i int, _ float64) float64 {
			if i == n-3 {
				return -1
			}
			return 0
		}),
		"bow":    make1(func(_ int, t float64) float64 { return -4 * t * (1 - t) }),
		"s":      make1(func(_ int, t float64) float64 { return math.Sin(2 * math.Pi * t) }),
		"kink":   make1(func(_ int, t float64) float64 { return math.Max(0, t-0.6) }),
		"random": make1(func(int, float64) float64 { return r.NormFloat64() }),
		"comb":   make1(func(i int, _ float64) float64 { return float64(i % 2) }),
	}
}

// covariances are those of crowns with errors of about 1, in the free datum.
func covariances(x []float64) map[string]*mat.SymDense {
	n := len(x)
	plain := func(f func(i, j int) float64) *mat.SymDense {
		s := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				s.SetSym(i, j, f(i, j))
			}
		}
		return s
	}
	same := func(i, j int) float64 {
		if i == j {
			return 1
		}
		return 0
	}
	return map[string]*mat.SymDense{
		"independent": plain(same),
		"one pass":    freeDatum(x, plain(same)),
		"neighbours": freeDatum(x, plain(func(i, j int) float64 {
			return math.Pow(0.7, math.Abs(float64(i-j)))
		})),
		"chained": freeDatum(x, plain(func(i, j int) float64 { // a random walk
			return 0.3 * float64(min(i, j)+1)
		})),
		"half known": freeDatum(x, plain(func(i, j int) float64 {
			if i == j && i%2 == 0 {
				return 0.04
			}
			return same(i, j)
		})),
	}
}

// freeDatum takes mean and slope out of the errors: S·Σ·Sᵀ.
func freeDatum(x []float64, cov *mat.SymDense) *mat.SymDense {
	n := len(x)
	a := mat.NewDense(n, 2, nil)
	for i, xi := range x {
		a.Set(i, 0, 1)
		a.Set(i, 1, xi-x[n/2])
	}
	var ata, inv, p, s mat.Dense
	ata.Mul(a.T(), a)
	if err := inv.Inverse(&ata); err != nil {
		panic(err)
	}
	p.Product(a, &inv, a.T())
	s.Apply(func(i, j int, v float64) float64 {
		if i == j {
			return 1 - v
		}
		return -v
	}, &p)
	var full mat.Dense
	full.Product(&s, cov, s.T())
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	return out
}

// tally counts verdicts over fresh readings of one true lane.
func tally(t *testing.T, x, truth []float64, cov *mat.SymDense, limit float64, trials int, seed uint64) map[Verdict]float64 {
	t.Helper()
	e, err := newNoise(cov, len(x))
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 99))
	said := map[Verdict]float64{}
	rank, _ := e.root.Dims()
	for k := range trials {
		z := append([]float64(nil), truth...)
		for row := range rank {
			g := r.NormFloat64()
			for i, v := range e.root.RawRowView(row) {
				z[i] += g * v
			}
		}
		j, err := LaneVerdict(x, z, cov, limit, uint64(k))
		if err != nil {
			t.Fatal(err)
		}
		said[j.Verdict] += 1 / float64(trials)
	}
	return said
}

func scaled(z []float64, by float64) []float64 {
	out := make([]float64, len(z))
	for i, v := range z {
		out[i] = v * by
	}
	return out
}

func scaledCov(c *mat.SymDense, by float64) *mat.SymDense {
	var out mat.SymDense
	out.ScaleSym(by, c)
	return &out
}

// Published rule: JCGM 106:2012 asks for a stated probability of a wrong word;
// here 5 %, read as at most 6 % over the shapes tried.
func TestLaneVerdict_AtTheLimit(t *testing.T) {
	const limit, trials, most = 0.030, 300, 0.06
	x := fretX(22)
	r := rand.New(rand.NewPCG(5, 5))
	lanes := shapes(x, r)
	level, notLevel, kinds, whole := 0.0, 0.0, 0.0, 0.0
	for errors, cov := range covariances(x) {
		for shape, z := range lanes {
			for _, u := range []float64{0.002, 0.004} {
				// A kind at a true 7.5 % is seen in at most 1 of its first 100 lanes 4 times
				// in 1000: one that is need not be tried on.
				said := tally(t, x, scaled(z, limit), scaledCov(cov, u*u), limit, trials/3, 1)
				if casetest.Long() || max(said[Level], said[NotLevel]) > 0.0101 {
					said = tally(t, x, scaled(z, limit), scaledCov(cov, u*u), limit, trials, 1)
					whole++
				}
				level, notLevel, kinds = level+said[Level], notLevel+said[NotLevel], kinds+1
				// 300 trials at a true 5 % read 7.5 % or more three times in 100.
				if said[Level] > most+0.015 || said[NotLevel] > most+0.015 {
					t.Errorf("%s, %s, u %.3f: level %.3f, not level %.3f",
						errors, shape, u, said[Level], said[NotLevel])
				}
			}
		}
	}
	t.Logf("%.0f lanes of %.0f kinds: level %.1f %%, not level %.1f %%", trials*(kinds+2*whole)/3, kinds, 100*level/kinds, 100*notLevel/kinds)
	if !(level/kinds <= most && notLevel/kinds <= most) {
		t.Errorf("of all: level %.3f, not level %.3f", level/kinds, notLevel/kinds)
	}
}

func TestLaneVerdict_FarFromTheLimit(t *testing.T) {
	const limit, u, trials = 0.030, 0.003, 100
	x := fretX(22)
	r := rand.New(rand.NewPCG(6, 6))
	lanes := shapes(x, r)
	least := 1.0
	for errors, cov := range covariances(x) {
		for shape, z := range lanes {
			for by, want := range map[float64]Verdict{1. / 3: Level, 2: NotLevel} {
				said := tally(t, x, scaled(z, by*limit), scaledCov(cov, u*u), limit, trials, 2)
				least = min(least, said[want])
				if said[want] < 0.95 {
					t.Errorf("%s, %s, %.2f of the limit: %q in %.3f only",
						errors, shape, by, want, said[want])
				}
			}
		}
	}
	t.Logf("the right word in %.0f %% of each kind, or more", 100*least)
}
