package setup

import (
	"errors"
	"strings"
	"testing"

	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
)

// row6 is a string for each of these actions, string 1 first, all 0.6 mm over fret 1.
func row6(action ...float64) (all []Measured) {
	for i, mm := range action {
		all = append(all, Measured{String: i + 1, FirstMM: num.Some(0.6), ActionMM: num.Some(mm)})
	}
	return all
}

func guitar() Limits { return LimitsOf(640, []float64{1.4, 1.8}, 12) }

// What no neck has is asked about, by string and place, beside what the others have.
func TestQuestion_Slips(t *testing.T) {
	with := func(all []Measured, change func(*Measured)) []Measured {
		change(&all[0])
		return all
	}
	usual := []float64{2.1, 2.1, 2.2, 2.2, 2.3, 2.4}
	for name, x := range map[string]struct {
		all  []Measured
		want string
	}{
		"usual":         {row6(usual...), ""},
		"at the limit":  {row6(6, 6, 6, 6, 6, 6), ""},
		"a comma":       {row6(20, 2.1, 2.2, 2.2, 2.3, 2.4), "string 1 over fret 12: 20 mm? The others have 2.1 to 2.4 mm. Type it again"},
		"all of them":   {row6(20, 20, 20, 20, 20, 20), "every string over fret 12: 20 mm? It is 6 mm at most on any neck. Type it again"},
		"off the line":  {row6(2, 2, 5.5, 2, 2, 2), "string 3 over fret 12: 5.5 mm? The others have 2 mm. Type it again"},
		"just on it":    {row6(2, 2, 5, 2, 2, 2), ""},
		"few strings":   {row6(20, 2.1, 2.1), "string 1 over fret 12: 20 mm? The others have 2.1 mm. Type it again"},
		"two a side":    {row6(2, 2, 5.5, 5.5)[:3], "string 3 over fret 12: 5.5 mm? The others have 2 mm. Type it again"},
		"none":          {row6(0, 2, 2, 2, 2, 2), "string 1 over fret 12: 0 mm? It must be more than 0. Type it again"},
		"two strings":   {row6(2, 5.5), ""},
		"gap":           {with(row6(usual...), func(m *Measured) { m.FirstMM = num.Some(3.1) }), "string 1 over fret 1: 3.1 mm? The others have 0.6 mm. Type it again"},
		"gap of 3":      {with(row6(usual...), func(m *Measured) { m.FirstMM = num.Some(3) }), ""},
		"slot too deep": {with(row6(usual...), func(m *Measured) { m.FirstMM = num.Some(0) }), ""},
		"no gap, yet one held": {with(row6(usual...), func(m *Measured) { m.FirstMM, m.HeldMM = num.Some(0), num.Some(0.2) }),
			"string 1 over fret 1: 0 mm? It must be more than 0. Type it again"},
		"held": {with(row6(usual...), func(m *Measured) { m.HeldMM = num.Some(25) }), "string 1 held on fret 3, over fret 1: 25 mm? It is 3 mm at most on any neck. Type it again"},
	} {
		if got := guitar().Question(x.all).Error(); got != x.want {
			t.Errorf("%s: %q, want %q", name, got, x.want)
		}
	}
}

// A bass may lie higher, and a neck whose own file wants more is not asked about it.
func TestLimitsOf(t *testing.T) {
	bass := LimitsOf(864, []float64{2, 2.4}, 12)
	if least := LimitsOf(stringset.BassScaleMM, []float64{2, 2.4}, 12); least != bass {
		t.Errorf("the least bass: %+v, want %+v", least, bass)
	}
	if q := bass.Question(row6(8, 8, 8, 8)); q != nil {
		t.Errorf("bass at 8 mm: %v", q)
	}
	if q := bass.Question(row6(8.1, 8, 8, 8)); len(q) != 1 || q[0].String != 1 {
		t.Errorf("bass at 8.1 mm: %v", q)
	}
	if q := LimitsOf(640, []float64{7, 7}, 12).Question(row6(8, 8, 8, 8, 8, 8)); q != nil {
		t.Errorf("made to lie at 7 mm: %v", q)
	}
	if got := LimitsOf(640, []float64{3, 3.01}, 12); got.ActionMM < 6 || got.ActionMM > 6.1 {
		t.Errorf("%+v: the limit jumps", got)
	}
}

// Questions go through as an error, a line each, none lost.
func TestQuestions_Error(t *testing.T) {
	var err error = guitar().Question(row6(20, 2, 2, 2, 2, 22))
	var q Questions
	if !errors.As(err, &q) || len(q) != 2 || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("%v", err)
	}
}
