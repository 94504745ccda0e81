package wear

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The information is the covariance's inverse, blind to lines: their product is
// the projector square to a lane's lines.
func TestInform_Inverse(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	s := seat(r)
	n, err := pair(readBy(r, bridgeCov(0.003), s), readBy(r, diagonal(frets, 0.005), s))
	if err != nil {
		t.Fatal(err)
	}
	l := n.lanes[2]
	if !l.inform() || l.rank != frets-2 {
		t.Fatalf("rank %d", l.rank)
	}
	for i := range frets {
		row := make([]float64, frets)
		timesT(l.cov, l.info[i*frets:(i+1)*frets], row)
		for j, v := range row {
			want := -l.lines[0][i]*l.lines[0][j] - l.lines[1][i]*l.lines[1][j]
			if i == j {
				want++
			}
			if math.Abs(v-want) > 1e-7 {
				t.Fatalf("%d, %d: %g, want %g", i, j, v, want)
			}
		}
	}
}

// Crowns added and taken away again leave what was known, and what is known with
// a crown's slab is the inverse of the covariance with its variance added.
func TestSampled_SetAndClear(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	s := seat(r)
	n := laid(t, readBy(r, bridgeCov(0.003), s), readBy(r, diagonal(frets, 0.005), s), nil)
	x := n.newSampler(options(), 1)
	l := &x.lanes[0]
	l.set(4, wore)
	l.set(7, lifted)
	with := mat.NewDense(frets, frets, nil)
	for i := range frets {
		for j := range frets {
			v := l.cov[i*frets+j] + 1e4*(l.lines[0][i]*l.lines[0][j]+l.lines[1][i]*l.lines[1][j])
			if i == j && (i == 4 || i == 7) {
				_, slabbed := slab(map[int]kind{4: wore, 7: lifted}[i])
				v += slabbed
			}
			with.Set(i, j, v)
		}
	}
	var inverse mat.Dense
	if err := inverse.Inverse(with); err != nil {
		t.Log(err) // ill conditioned by the lines' variance alone
	}
	for i := range frets {
		for j := range frets {
			if got, want := l.know[i*frets+j], inverse.At(i, j); math.Abs(got-want) > 1e-4*math.Sqrt(l.info[i*frets+i]*l.info[j*frets+j]) {
				t.Fatalf("%d, %d: %g, want %g", i, j, got, want)
			}
		}
	}
	l.clear(4)
	l.clear(7)
	for i := range l.know {
		if math.Abs(l.know[i]-l.info[i]) > 1e-6*l.info[0] {
			t.Fatal("a crown set and cleared is not forgotten")
		}
	}
	if math.Abs(l.det) > 1e-9 {
		t.Errorf("ln det %g", l.det)
	}
}

// laid is a neck ready to be sampled.
func laid(t *testing.T, before, after []Lane, bowEnds []float64) *neck {
	t.Helper()
	n, err := pair(before, after)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range n.lanes {
		l.inform()
	}
	n.layBows(bowEnds)
	return n
}

// On one lane of seven crowns far apart from each other the chances are those of
// all 3⁷ explanations added up, each weighed through its own dense density.
func TestSample_AllExplanations(t *testing.T) {
	const m = 7
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 5))
		one := Lane{Lane: 1, Cov: diagonal(m, 0.004)}
		two := Lane{Lane: 1, Cov: diagonal(m, 0.004)}
		for k := range m {
			f := 1 + 20*k // no crown is another's neighbour
			for _, l := range []*Lane{&one, &two} {
				l.Frets, l.XMM, l.ZMM = append(l.Frets, f), append(l.XMM, float64(50*k)), append(l.ZMM, 0.005*r.NormFloat64())
			}
		}
		two.ZMM[2] -= 0.025
		two.ZMM[5] -= 0.015
		n := laid(t, []Lane{one}, []Lane{two}, nil)
		got := n.sample(options())
		want := addedUp(n.lanes[0], n.newSampler(options(), 1))
		for j := range m {
			if math.Abs(got.worn[0][j]-want[j]) > 0.04 {
				t.Errorf("seed %d, crown %d: worn with %.3f, all explanations give %.3f", seed, j, got.worn[0][j], want[j])
			}
		}
	}
}

// addedUp are the chances of wear from all explanations of a lane. A crown that is
// worn upwards, the others as they are, is none.
func addedUp(l *lane, s *sampler) []float64 {
	m, count := l.m(), 1
	for range m {
		count *= 3
	}
	worn, all := make([]float64, m), 0.0
	for code := range count {
		c := mat.NewSymDense(m, nil)
		d := mat.NewVecDense(m, nil)
		kinds := make([]kind, m)
		ln := 0.0
		for i, k := 0, code; i < m; i, k = i+1, k/3 {
			kinds[i] = kind(k % 3)
			d.SetVec(i, l.d[i])
			for j := i; j < m; j++ {
				c.SetSym(i, j, l.cov[i*m+j]+(l.lines[0][i]*l.lines[0][j]+l.lines[1][i]*l.lines[1][j]))
			}
			if kinds[i] != still {
				mean, v := slab(kinds[i])
				d.SetVec(i, l.d[i]-mean)
				c.SetSym(i, i, c.At(i, i)+v)
				ln += s.odds(0, i)[kinds[i]-wore]
			}
		}
		var chol mat.Cholesky
		if !chol.Factorize(c) {
			panic("singular")
		}
		var x mat.VecDense
		if chol.SolveVecTo(&x, d) != nil {
			panic("singular")
		}
		possible := true
		for i, k := range kinds {
			if k == still {
				continue
			}
			mean, v := slab(k) // the crown's mean change given all
			change := mean + v*x.AtVec(i)
			possible = possible && (k == wore) == (change < 0)
		}
		if !possible {
			continue
		}
		p := math.Exp(ln - (mat.Dot(d, &x)+chol.LogDet())/2)
		all += p
		for i, k := range kinds {
			if k == wore {
				worn[i] += p
			}
		}
	}
	for i := range worn {
		worn[i] /= all
	}
	return worn
}
