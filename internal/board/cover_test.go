package board

import (
	"slices"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// TestCover says which parts of a sound board were not read, by what was.
func TestCover(t *testing.T) {
	single := func(m *neck.Model) { m.Strings.Set = make([]neck.String, 1); m.Strings.Spread = neck.Pair{0, 0} }
	for _, c := range []struct {
		name   string
		change func(*neck.Model)
		lanes  []float64
		slots  []int
		arches []int
		want   []Unread
	}{
		{"three lanes, five arches", nil, three(), every(1, 22, 1), five(), nil},
		{"lanes 2, 3 and 5", nil, []float64{2, 3, 5}, every(1, 22, 1), five(), nil},
		{"every fourth slot, three arches", nil, three(), []int{1, 5, 9, 13, 17, 21}, []int{3, 10, 19}, nil},
		{"outer lanes", nil, []float64{1, 6}, every(1, 22, 1), five(), []Unread{{Lanes: []float64{3.5}, FromFret: 1, ToFret: 22}}},
		{"one lane", nil, []float64{3}, every(1, 22, 1), five(), []Unread{{Lanes: []float64{1, 6}, FromFret: 1, ToFret: 22}}},
		{"no lane", nil, nil, nil, five(), []Unread{{Lanes: []float64{1, 3.5, 6}, FromFret: 1, ToFret: 22}}},
		{"no arch", nil, three(), every(1, 22, 1), nil, []Unread{{Across: true, FromFret: 1, ToFret: 22, few: true}}},
		{"two arches", nil, three(), every(1, 22, 1), []int{5, 15}, []Unread{{Across: true, FromFret: 1, ToFret: 22, few: true}}},
		{"arches at the body", nil, three(), every(1, 22, 1), []int{12, 16, 20}, []Unread{{Across: true, FromFret: 1, ToFret: 11}}},
		{"the body unread", nil, three(), every(1, 14, 1), five(), []Unread{
			{Lanes: []float64{1}, FromFret: 15, ToFret: 22}, {Lanes: []float64{3.5}, FromFret: 15, ToFret: 22}, {Lanes: []float64{6}, FromFret: 15, ToFret: 22},
		}},
		{"a hole", nil, three(), []int{1, 2, 3, 4, 13, 14, 15, 18, 22}, five(), []Unread{
			{Lanes: []float64{1}, FromFret: 5, ToFret: 12}, {Lanes: []float64{3.5}, FromFret: 5, ToFret: 12}, {Lanes: []float64{6}, FromFret: 5, ToFret: 12},
		}},
		{"one string", single, []float64{1}, every(1, 22, 1), five(), nil},
	} {
		m, l := heron(t, c.change)
		w := newWood(t, 8, m, l)
		w.bumps = nil
		r := w.beam(c.lanes, 1, 0.001, "")
		r = slices.DeleteFunc(r, func(r reading.Reading) bool { return !slices.Contains(c.slots, r.Frets[0]) })
		a, err := Judge(m, l, append(r, w.arch(c.arches, 40, 0.0002)...))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if !slices.EqualFunc(a.Unread, c.want, func(a, b Unread) bool {
			return a.Across == b.Across && a.few == b.few && a.FromFret == b.FromFret && a.ToFret == b.ToFret && slices.Equal(a.Lanes, b.Lanes)
		}) {
			t.Errorf("%s: unread %+v, want %+v", c.name, a.Unread, c.want)
		}
		if ready := a.Verdict == Ready; ready != (c.want == nil) || !ready && len(a.Next) == 0 {
			t.Errorf("%s: %s, next %+v", c.name, a.Verdict, a.Next)
		}
	}
}

// TestJudge_Nothing: no readings, a doubt and what to read.
func TestJudge_Nothing(t *testing.T) {
	m, l := heron(t, nil)
	a, err := Judge(m, l, nil)
	if err != nil || a.Verdict != InDoubt || len(a.Next) != 2 {
		t.Errorf("%+v, %v", a, err)
	}
}
