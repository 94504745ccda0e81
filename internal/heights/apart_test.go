package heights

import (
	"testing"

	"ringtrue/internal/casetest"
)

// TestFrom_LanesApart: taken apart, each lane's answer is what it gives alone.
func TestFrom_LanesApart(t *testing.T) {
	s := newSimulated(t, 9, 22, 6)
	s.press()
	for _, lane := range s.lanes {
		s.beam(lane, 0.004, "a")
		s.beam(lane, 0.004, "b")
	}
	apart, err := From(Input{Layout: s.layout, Readings: s.out, LanesApart: true})
	if err != nil {
		t.Fatal(err)
	}
	for k, lane := range s.lanes {
		alone := *s
		alone.out = nil
		for _, r := range s.out {
			if r.Lane == lane {
				alone.out = append(alone.out, r)
			}
		}
		l := alone.estimate(t).Lanes[0]
		for i := range l.Z {
			casetest.Near(t, "height", apart.Lanes[k].Z[i], l.Z[i], 0.0015)
		}
		for b := range apart.Lanes {
			if v := apart.CovBetween(k, 3, b, 5); b != k && v != 0 {
				t.Errorf("lanes %d and %d share an error of %g mm²", k+1, b+1, v)
			}
		}
	}
}

// TestFrom_ManyLanes: readings between the lanes by the hundred are answered.
func TestFrom_ManyLanes(t *testing.T) {
	s := newSimulated(t, 10, 12, 6)
	for i := range 60 {
		lane := 1 + 5*float64(i)/59
		for f := 1; f <= 12; f++ {
			s.z[place{f, lane}] = 0
		}
		s.beam(lane, 0.004, "a")
	}
	if e := s.estimate(t); len(e.Lanes) != 60 {
		t.Errorf("%d lanes", len(e.Lanes))
	}
}
