package board

import (
	"math"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// TestJudgeArch_NoArch: a gauge that reads flat or hollow on a board that should
// be round says so, as surely as its own uncertainty lets it; no radius is made
// up. The sag wanted is that of 300 mm, flattest 305 mm, over 40 mm: 0.66 mm.
func TestJudgeArch_NoArch(t *testing.T) {
	m, _ := bench(t)
	m.Board.Radius = neck.Pair{300, 300}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		value, u float64
		want     Verdict
	}{
		{0, 0.005, NotRound}, {-0.1, 0.005, NotRound}, {0, 0.6, NotRound},
		{0, 0.7, InDoubt}, {-0.1, 0.7, NotRound}, {-0.1, 0.8, InDoubt},
		{1e-6, 0.7, InDoubt}, // no jump where the height turns positive
	} {
		a := judgeArch(m, l, reading.Reading{Frets: []int{5}, Span: 40, Value: c.value, U: c.u})
		if a.Verdict != c.want || c.value <= 0 && (!math.IsInf(a.RadiusMM, 1) || a.UMM != 0) {
			t.Errorf("%+v: %+v", c, a)
		}
		if c.value <= 0 && a.MiddleMM >= 0 {
			t.Errorf("%+v: the middle stands %v above an arch it is hollow beside", c, a.MiddleMM)
		}
	}
}

// TestJudgeArch_FlatBoard: a flat board is held against board.flat by the
// height alone, at either side.
func TestJudgeArch_FlatBoard(t *testing.T) {
	m, _ := bench(t)
	m.Board.Radius = neck.Pair{}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		value float64
		want  Verdict
	}{
		{0, Round}, {0.019, Round}, {-0.019, Round}, {0.025, InDoubt}, {-0.025, InDoubt}, {0.031, NotRound}, {-0.031, NotRound},
	} {
		a := judgeArch(m, l, reading.Reading{Frets: []int{5}, Span: 40, Value: c.value, U: 0.005})
		if a.Verdict != c.want || !math.IsInf(a.WantedMM, 1) {
			t.Errorf("height %v: %+v, want %s", c.value, a, c.want)
		}
	}
}

// TestSag_Exact: by Pythagoras, and no more than the half circle.
func TestSag_Exact(t *testing.T) {
	if s := sag(5, 4); s != 2 { // 5 − √(25 − 16)
		t.Errorf("sag %v of radius 5 over a chord of 8, want 2", s)
	}
	if s := sag(5, 9); s != 5 {
		t.Errorf("sag %v beyond the circle, want its radius", s)
	}
}

// TestCone_Line: two places give their line whatever their weights, one place
// none; more are weighted: three radii of one u give the textbook's u at the
// ends of a straight line.
func TestCone_Line(t *testing.T) {
	_, l := bench(t)
	last := l.CentreX(l.LastFret())
	on := func(fret int) float64 { return 300 + 100*l.CentreX(fret)/last }
	arch := func(fret int, u float64) Arch { return Arch{Fret: fret, RadiusMM: on(fret), UMM: u} }
	c := cone(l, []Arch{arch(3, 1), arch(15, 5), {Fret: 9, RadiusMM: math.Inf(1)}, {Fret: 9, RadiusMM: 7}})
	if c == nil || math.Abs(c.NutMM-300) > 1e-9 || math.Abs(c.LastMM-400) > 1e-9 {
		t.Fatalf("%+v", c)
	}
	t3, t15 := l.CentreX(3)/last, l.CentreX(15)/last
	span := t15 - t3
	if want := math.Hypot(t15, t3*5) / span; math.Abs(c.UNutMM-want) > 1e-9 {
		t.Errorf("u at the nut %v, want %v", c.UNutMM, want)
	}
	if want := math.Hypot(1-t15, (1-t3)*5) / span; math.Abs(c.ULastMM-want) > 1e-9 {
		t.Errorf("u at the last fret %v, want %v", c.ULastMM, want)
	}
	if c := cone(l, []Arch{arch(3, 1), arch(3, 1)}); c != nil {
		t.Errorf("one place gives no line, got %+v", c)
	}
}

// TestWorst: what is not ready rules, then what is in doubt or open.
func TestWorst(t *testing.T) {
	lanes := func(v ...Verdict) (out []Lane) {
		for _, x := range v {
			out = append(out, Lane{Verdict: x})
		}
		return out
	}
	arches := func(v ...Verdict) (out []Arch) {
		for _, x := range v {
			out = append(out, Arch{Verdict: x})
		}
		return out
	}
	for _, c := range []struct {
		a    Answer
		want Verdict
	}{
		{Answer{}, InDoubt},
		{Answer{Arches: arches(Round)}, InDoubt}, // no lane was read
		{Answer{Lanes: lanes(Straight)}, Ready},
		{Answer{Lanes: lanes(Straight, Straight), Arches: arches(Round)}, Ready},
		{Answer{Lanes: lanes(Straight, InDoubt), Arches: arches(Round)}, InDoubt},
		{Answer{Lanes: lanes(Straight), Arches: arches(Round, InDoubt)}, InDoubt},
		{Answer{Lanes: lanes(InDoubt, NotStraight)}, NotReady},
		{Answer{Lanes: lanes(InDoubt), Arches: arches(InDoubt, NotRound)}, NotReady},
	} {
		if got := c.a.worst(); got != c.want {
			t.Errorf("%+v: %s, want %s", c.a, got, c.want)
		}
	}
}

// TestJudge_Doubts: a lane that stands at the limit is in doubt, one of a single
// pass with a slot left out is not; a crown that its readings do not settle is
// named.
func TestJudge_Doubts(t *testing.T) {
	m, l := bench(t)
	edge := func(skip int, dip float64) (out []reading.Reading) {
		for f := 1; f <= 22; f++ {
			if f == skip {
				continue
			}
			v := 0.7
			if f == 11 {
				v += dip
			}
			out = append(out, reading.Reading{Method: reading.Edge, Lane: 3, Frets: []int{f}, Value: v, U: 0.004})
		}
		return out
	}
	whole, err := Judge(m, l, edge(7, 0))
	if err != nil || whole.Verdict != Ready || len(whole.Open) != 0 {
		t.Errorf("a slot left out: %+v, %v", whole, err)
	}
	limit, err := Judge(m, l, edge(0, m.Board.Flat))
	if err != nil || limit.Verdict != InDoubt || len(limit.Lanes) != 1 || limit.Lanes[0].Verdict != InDoubt {
		t.Errorf("at the limit: %+v, %v", limit, err)
	}
	apart := edge(11, 0) // two passes over two stretches that nothing ties
	for i := range apart {
		apart[i].Pass = "a"
		if apart[i].Frets[0] > 11 {
			apart[i].Pass = "b"
		}
	}
	open, err := Judge(m, l, apart)
	if err != nil || open.Verdict != InDoubt || len(open.Open) != 10 || open.Open[0].Fret != 1 {
		t.Errorf("two stretches: %+v, %v", open, err)
	}
}
