package draft

import (
	"fmt"
	"testing"
)

// Stamps are of one stage, pass by pass, in order of time, each with its lane.
func TestState_Stamps(t *testing.T) {
	k := begun(t, openAt(t, t.TempDir()))
	first, second := begin(t, k, beam()), begin(t, k, beam())
	for i, at := range []Site{NewSite(1, 1), NewSite(1, 2), NewSite(2, 1)} {
		set(t, k, first, at, fmt.Sprintf("0.4%d", i))
	}
	set(t, k, second, NewSite(6, 1), "0.51")
	k.Read(func(s *State) {
		got := s.Stamps(0)
		if len(got) != 2 || len(got[0]) != 3 || len(got[1]) != 1 || got[1][0].Lane != 6 {
			t.Fatalf("%v", got)
		}
		for i, lane := range []float64{1, 1, 2} {
			if st := got[0][i]; st.Lane != lane || st.At.IsZero() || i > 0 && st.At.Before(got[0][i-1].At) {
				t.Errorf("%v", got[0])
			}
		}
		if later := s.Stamps(1); len(later) != 0 {
			t.Errorf("a stage that is not there: %v", later)
		}
	})
}
