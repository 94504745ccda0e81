package answer

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/heights"
	"ringtrue/internal/text"
)

// 0.402 typed tenfold in the first lane: from the third reading of the pass on
// `frets` names it, and it alone, wherever it stands; of two readings that
// contradict each other it says so.
func TestFrets_GrossFromThirdReadingOn(t *testing.T) {
	for at := range 22 {
		r := example(t, "heron.toml", "heron-seated.csv")
		all := r.Readings
		all[at].Value *= 10
		for _, n := range []int{2, 3, 4, 6, 22, 44} {
			if n <= at {
				continue
			}
			r.Readings = all[:n]
			got := answer(t, r).Recheck
			if n == 2 {
				if len(got) != 1 || got[0].Fret != 2 || !strings.Contains(got[0].Why, "it and fret 1 contradict each other") {
					t.Errorf("at %d of two: %+v", at, got)
				}
				continue
			}
			if len(got) != 1 || got[0].Fret != at+1 || got[0].Lane != 1 || got[0].ReadingMM != all[at].Value || got[0].Line != all[at].Line ||
				got[0].ExpectedMM < 0.2 || got[0].ExpectedMM > 0.6 || got[0].Pass != all[at].Pass || got[0].Method != "beam" || got[0].Why == "" {
				t.Errorf("at %d of %d: %+v", at, n, got)
			}
			// It has no part in what is said of the neck.
			a := answer(t, r)
			open := slices.ContainsFunc(a.Undetermined, func(u Undetermined) bool { return u.Fret == at+1 && u.Lane == 1 && u.Why == text.ReadingLooksWrong })
			for _, c := range a.Crowns {
				if math.Abs(c.OffMM) > 0.2 {
					t.Errorf("at %d of %d: %+v", at, n, c)
				}
				if c.Fret == at+1 && c.Lane == 1 {
					open = open || c.Verdict == "in doubt"
				}
			}
			for _, f := range a.Frets {
				if f.Fret == at+1 && n < 22 {
					t.Errorf("at %d of %d: %+v", at, n, f)
				}
			}
			if !open && n > 3 && n <= 22 {
				t.Errorf("at %d of %d: the crown is not left open: %+v", at, n, a.Undetermined)
			}
		}
		if at < 8 {
			continue
		}
		if got := withGross(nil, r.Model, r.Layout, all[:22]); len(got) != 1 {
			t.Errorf("at %d: %+v", at, got)
		}
		all[at].Stands = true // the maker keeps it
		if got := withGross(nil, r.Model, r.Layout, all[:22]); len(got) != 0 {
			t.Errorf("at %d, kept: %+v", at, got)
		}
	}
}

// What the estimate does not set aside itself is left out of it, and the places
// of the other readings stay what they are.
func TestWithoutGross_PlacesStay(t *testing.T) {
	r := example(t, "heron.toml", "heron-seated.csv")
	all := r.Readings[:44]
	all[3].Value += 3.35
	all[30].Value += 0.12
	calls := 0
	e, err := withoutGross(r.Model, r.Layout, all, func(in heights.Input) (*heights.Estimate, error) {
		calls++
		e, err := heights.From(in)
		if calls == 1 { // as if it had seen nothing
			e.Misreads = nil
		}
		if calls == 2 && len(in.Readings) != 44 {
			t.Errorf("%d readings", len(in.Readings))
		}
		return e, err
	})
	if err != nil || calls != 2 {
		t.Fatal(calls, err)
	}
	if n := len(e.Misreads); n == 0 || e.Misreads[n-1].Reading != 3 || e.Misreads[n-1].Fret != 4 || e.Misreads[n-1].Why == "" {
		t.Errorf("%+v", e.Misreads)
	}
	for _, x := range e.Misreads {
		if at := all[x.Reading]; at.Lane != x.Lane || at.Frets[0] != x.Fret {
			t.Errorf("%+v is of %+v", x, at)
		}
	}
}

// Nothing is added to what the estimate names, nor said twice.
func TestFrets_GrossAddsNothingToExamples(t *testing.T) {
	for _, name := range []string{"heron-seated.csv", "heron-levelled.csv", "heron-refitted.csv", "heron-feelers.csv", "heron-shop.csv"} {
		r := example(t, "heron.toml", name)
		n, err := judged(t.Context(), r.Model, r.Layout, r.Readings)
		if err != nil {
			t.Fatal(err)
		}
		was := rechecks(n, r.Readings)
		if got := withGross(was, r.Model, r.Layout, r.Readings); len(got) != len(was) {
			t.Errorf("%s: %+v, the estimate names %+v", name, got, was)
		}
	}
}
