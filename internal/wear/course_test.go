package wear

import (
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

// told counts what is said of a group of crowns on many necks.
func told(t *testing.T, tried int, sd float64, change func(r *rand.Rand) func(int, float64) float64, at map[Place]bool) map[Verdict]int {
	t.Helper()
	r, n := rand.New(rand.NewPCG(7, 18)), map[Verdict]int{}
	for range tried {
		s := seat(r)
		low := func(f int, l float64) float64 { // fret 12 was never right
			if f == 12 {
				return s(f, l) - 0.06
			}
			return s(f, l)
		}
		res := compare(t, stage(r, sd, low), stage(r, sd, plus(low, change(r))))
		res.Overrule(Circumstances{SameState: true})
		n[res.Course(at, options().LimitMM/2, 0.95).Verdict]++
	}
	return n
}

func placesOf(frets, lanes []int) map[Place]bool {
	at := map[Place]bool{}
	for _, f := range frets {
		for _, l := range lanes {
			at[Place{f, float64(l)}] = true
		}
	}
	return at
}

// What was never right is told from what wore and from what rose, and where readings
// are too rough nothing is: over many necks, hardly ever a false word.
func TestCourse_TruthKnown(t *testing.T) {
	casetest.OneByOne(t)
	whole, wornAt := placesOf([]int{12}, []int{1, 2, 3, 4, 5, 6}), placesOf([]int{1, 2, 3}, []int{2, 3})
	still := func(*rand.Rand) func(int, float64) float64 { return func(int, float64) float64 { return 0 } }
	worn := func(mm float64) func(*rand.Rand) func(int, float64) float64 {
		return func(*rand.Rand) func(int, float64) float64 { return groove(mm) }
	}
	rose := func(mm float64) func(*rand.Rand) func(int, float64) float64 {
		return func(*rand.Rand) func(int, float64) float64 {
			return func(f int, _ float64) float64 {
				if f == 12 {
					return mm
				}
				return 0
			}
		}
	}
	turned := func(r *rand.Rand) func(int, float64) float64 { return bowed(0.2*r.Float64()-0.1, 22) }
	const most, few = 12, 3 // necks that changed cost a second route, so of them fewer
	for _, c := range []struct {
		name               string
		sd                 float64
		change             func(*rand.Rand) func(int, float64) float64
		at                 map[Place]bool
		is                 []Verdict // true words
		tried, least, most int       // necks; true words at the least, false at the most: in doubt is neither
	}{
		{"never right", 0.003, still, whole, []Verdict{Unchanged}, most, 9, 0},
		{"never right, the rod turned", 0.003, turned, whole, []Verdict{Unchanged}, few, 2, 0},
		{"never right beside worn frets", 0.003, worn(0.05), whole, []Verdict{Unchanged}, few, 2, 0},
		{"worn", 0.003, worn(0.05), wornAt, []Verdict{Worn}, few, 3, 0},
		{"settled", 0.003, rose(0.04), whole, []Verdict{Moved}, few, 3, 0},
		{"sank", 0.003, rose(-0.04), whole, []Verdict{Moved, Worn}, few, 3, 0},
		{"noise only", 0.003, still, wornAt, []Verdict{Unchanged}, most, 8, 0},
		{"leaves", 0.02, still, wornAt, []Verdict{Unchanged}, most, 0, 0},
		// Just as far as it may not be: unchanged is false here, one time in twenty at most.
		{"half the limit", 0.003, rose(0.015), whole, []Verdict{Moved, Raised}, few, 0, 1},
	} {
		got := told(t, c.tried, c.sd, c.change, c.at)
		right := 0
		for _, v := range c.is {
			right += got[v]
		}
		wrong := c.tried - right - got[InDoubt]
		t.Logf("%s: %v", c.name, got)
		if right < c.least || wrong > c.most {
			t.Errorf("%s: of %d necks %d right, at least %d wanted; %d false, at most %d: %v", c.name, c.tried, right, c.least, wrong, c.most, got)
		}
	}
}

// One crown that wore, but not surely, is not hidden by its sound neighbours.
func TestCourse_OneAmongMany(t *testing.T) {
	r := &Result{}
	for lane := 1.0; lane <= 6; lane++ {
		r.Changes = append(r.Changes, Change{Fret: 5, Lane: lane, UMM: 0.004, Verdict: InDoubt})
	}
	at := placesOf([]int{5}, []int{1, 2, 3, 4, 5, 6})
	if c := r.Course(at, 0.015, 0.95); c.Verdict != Unchanged {
		t.Errorf("all alike: %+v", c)
	}
	r.Changes[2].MM = -0.02
	if c := r.Course(at, 0.015, 0.95); c.Verdict != InDoubt {
		t.Errorf("one 5 u lower: %+v", c)
	}
	r.Bow = &Bow{UMM: 0.02}
	r.Changes[2].MM = 0
	if c := r.Course(at, 0.015, 0.95); c.Verdict != InDoubt {
		t.Errorf("the bow is not known well enough: %+v", c)
	}
	if c := r.Course(placesOf([]int{6}, []int{1}), 0.015, 0.95); c.Verdict != InDoubt {
		t.Errorf("nothing compared: %+v", c)
	}
}

func TestStoryOf(t *testing.T) {
	past := func(v ...Verdict) (all []Past) {
		for i, x := range v {
			all = append(all, Past{Stage: string(rune('a' + i)), Was: WasSo, Course: Course{Verdict: x}})
		}
		return all
	}
	name := func(p *Past) string {
		if p == nil {
			return "-"
		}
		return p.Stage
	}
	for _, c := range []struct {
		past           []Past
		since, changed string
	}{
		{past(), "-", "-"},
		{past(InDoubt), "-", "-"},
		{past(Unchanged, Unchanged), "b", "-"},
		{past(Unchanged, InDoubt, Unchanged), "c", "-"},
		{past(Unchanged, Moved, Unchanged), "a", "b"},
		{past(Worn, Unchanged), "-", "a"},
		{past(InDoubt, Raised), "-", "b"},
	} {
		if s := StoryOf(c.past); name(s.Since) != c.since || name(s.Changed) != c.changed {
			t.Errorf("%v: since %s, changed %s; want %s, %s", c.past, name(s.Since), name(s.Changed), c.since, c.changed)
		}
	}
	level := past(Unchanged, Unchanged)
	level[0].Was = WasLess
	if s := StoryOf(level); s.Since != nil || s.Bent == nil {
		t.Errorf("less off then: %+v", s)
	}
	level[0].Was = WasUnclear
	if s := StoryOf(level); name(s.Since) != "b" || s.Bent != nil {
		t.Errorf("unclear then: %+v", s)
	}
	if (&Past{Years: num.Some(0.1)}).Played() || (&Past{}).Played() || !(&Past{Years: num.Some(2)}).Played() {
		t.Error("played for a month, or for an unknown time")
	}
}

// What was off the same way before is told from what the bow did, and from what moved.
func TestCourse_Was(t *testing.T) {
	for _, c := range []struct {
		course         Course
		off, then, now float64
		want           Was
	}{
		{Course{UMM: 0.003}, -0.06, -0.06, -0.06, WasSo},
		{Course{UMM: 0.003, MM: 0.005}, 0.05, 0.045, 0.05, WasSo},
		{Course{UMM: 0.012}, -0.06, -0.06, -0.06, WasUnclear},              // too rough
		{Course{UMM: 0.003, MM: 0.005}, 0.016, 0.011, 0.016, WasUnclear},   // it may not have been off
		{Course{UMM: 0.003}, -0.06, -0.02, -0.06, WasUnclear},              // the references differ
		{Course{UMM: 0.003, BowMM: -0.02}, -0.06, -0.04, -0.06, WasLess},   // the bow, by either
		{Course{UMM: 0.003, BowMM: -0.001}, -0.06, -0.04, -0.06, WasLess},  // reference
		{Course{UMM: 0.003, BowMM: 0.02}, -0.06, -0.08, -0.06, WasUnclear}, // it was farther off
		{Course{UMM: 0.003, BowMM: 0.005}, -0.06, -0.062, -0.06, WasSo},    // hardly
	} {
		if got := c.course.Was(c.off, c.then, c.now, 0.015, 0.95); got != c.want {
			t.Errorf("%+v: %d, want %d", c, got, c.want)
		}
	}
}
