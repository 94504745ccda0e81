package straight

import (
	"errors"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// TestYardstick_IsTheLanesRule: level is said by both or by neither; not level nearly
// always by both, since a yardstick draws no critical value of its own.
func TestYardstick_IsTheLanesRule(t *testing.T) {
	const n, u = 22, 0.004
	r := rand.New(rand.NewPCG(31, 7))
	said := map[Verdict]int{}
	const trials = 120
	same := 0
	for trial := range trials {
		x, z := make([]float64, n), make([]float64, n)
		cov := mat.NewSymDense(n, nil)
		for i := range x {
			x[i], z[i] = float64(20*i), (0.001+0.00015*float64(trial))*r.NormFloat64()
			cov.SetSym(i, i, u*u)
		}
		y, err := NewYardstick(x, cov, 0.03)
		if err != nil {
			t.Fatal(err)
		}
		want, err := LaneVerdict(x, z, cov, 0.03, 9)
		if err != nil {
			t.Fatal(err)
		}
		said[want.Verdict]++
		got := y.Verdict(z)
		if got == want.Verdict {
			same++
		}
		if got == Level != (want.Verdict == Level) || got == NotLevel && want.Verdict == Level {
			t.Errorf("trial %d: %s, LaneVerdict says %s", trial, got, want.Verdict)
		}
	}
	if len(said) != 3 {
		t.Errorf("the trials saw %v only", said)
	}
	if same < trials*95/100 {
		t.Errorf("only %d of %d verdicts are the same", same, trials)
	}
}

func TestYardstick_Faults(t *testing.T) {
	cov := mat.NewSymDense(3, nil)
	if _, err := NewYardstick([]float64{0, 1}, cov, 1); !errors.Is(err, ErrTooFew) {
		t.Error(err)
	}
	if _, err := NewYardstick([]float64{0, 1, 2, 3}, cov, 1); !errors.Is(err, ErrCovariance) {
		t.Error(err)
	}
}
