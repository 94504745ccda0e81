package filing

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/level"
)

// A beam covers exactly the frets that the run says, in every lane, with its own
// length, and no shorter one of the shop would do.
func TestPlace_Covers(t *testing.T) {
	laid := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		slant := rapid.Float64Range(0, 0.04).Draw(t, "slant")
		j := Job{Lanes: neck(r), LimitMM: 0.03}
		for a := range j.Lanes {
			x := slices.Clone(j.Lanes[a].X)
			for i := range x {
				x[i] *= 1 + slant*float64(a)/5
			}
			j.Lanes[a].X = x
			j.RemoveMM = append(j.RemoveMM, make([]float64, len(x)))
		}
		first := rapid.IntRange(1, 22).Draw(t, "first")
		run := Run{FirstFret: first, LastFret: rapid.IntRange(first, 22).Draw(t, "last")}
		want := [2]int{run.FirstFret, run.LastFret}
		for a := range j.Lanes {
			run.Lanes = append(run.Lanes, LaneRun{Lane: a})
		}
		h, tools := Usual(1.2, 8), UsualTools()
		if !j.place(&run, &h, &tools) {
			return
		}
		laid++
		if run.FirstFret > want[0] || run.LastFret < want[1] {
			t.Fatalf("frets %v lie under %d to %d", want, run.FirstFret, run.LastFret)
		}
		for _, l := range run.Lanes {
			if math.Abs(l.ToMM-l.FromMM-run.LengthMM) > 1e-9 {
				t.Fatalf("beam of %g from %g to %g", run.LengthMM, l.FromMM, l.ToMM)
			}
			for i, x := range j.Lanes[l.Lane].X {
				f := j.Lanes[l.Lane].Frets[i]
				if (x >= l.FromMM-1e-9 && x <= l.ToMM+1e-9) != (f >= run.FirstFret && f <= run.LastFret) {
					t.Fatalf("lane %d: fret %d at %g, beam %g to %g is said to cover %d to %d", l.Lane, f, x, l.FromMM, l.ToMM, run.FirstFret, run.LastFret)
				}
			}
		}
		span := j.Lanes[5].X[want[1]-1] - j.Lanes[5].X[want[0]-1]
		for _, b := range tools.BeamsMM {
			if other := run; b < run.LengthMM && b >= span+h.with(b).SweepMM && j.lay(&other, b) {
				t.Fatalf("a beam of %g spans %g too, %g was taken", b, span, run.LengthMM)
			}
		}
	})
	if laid == 0 {
		t.Error("no beam was laid")
	}
}

// A straight fall-away from fret 16 parts the neck there: by hand. A flat neck is
// one piece.
func TestPieces_FallAway(t *testing.T) {
	x := frets(22)
	j := Job{LimitMM: 0.03}
	l := level.Lane{X: x, D: make([]float64, 22)}
	s := make([]float64, 22)
	for i := range s {
		l.Frets = append(l.Frets, i+1)
		if i > 15 {
			s[i] = -0.1 * (x[i] - x[15]) / (x[21] - x[15])
		}
	}
	j.Lanes, j.StandMM = []level.Lane{l}, [][]float64{s}
	if got := j.pieces(1, 22, 0.001, math.Inf(1)); !slices.Equal(got, [][2]int{{1, 16}, {16, 22}}) {
		t.Errorf("pieces %v", got)
	}
	j.StandMM = nil
	if got := j.pieces(1, 22, 0.001, math.Inf(1)); !slices.Equal(got, [][2]int{{1, 22}}) {
		t.Errorf("pieces %v of a flat neck", got)
	}
}

// relieved is a neck that is to have a relief and has no rod: the sagitta of a chord
// of length ℓ is d·(ℓ/X)².
func relieved(depthMM float64) Job {
	x := frets(22)
	j := Job{LimitMM: 0.03}
	l := level.Lane{X: x, D: make([]float64, 22)}
	s, remove := make([]float64, 22), make([]float64, 22)
	for i := range s {
		l.Frets = append(l.Frets, i+1)
		u := 2*(x[i]-x[0])/(x[21]-x[0]) - 1
		s[i], remove[i] = -depthMM*(1-u*u), 0.005
	}
	j.Lanes, j.StandMM, j.RemoveMM = []level.Lane{l}, [][]float64{s}, [][]float64{remove}
	return j
}

// What the bench lacks, by hand: a relief of 0.12 mm over 424 mm takes a beam of
// X·√(7.5 µm/d) = 106 mm or shorter; the frets between two crowns let it be longer.
func TestLack(t *testing.T) {
	j := relieved(0.12)
	got := j.Lack(&Tools{BeamsMM: []float64{450, 200}, Files: true})
	if got.Kind != LongBeams || got.HaveMM != 200 || got.NeedMM < 100 || got.NeedMM > 130 {
		t.Errorf("%+v", got)
	}
	if got := j.Lack(&Tools{BeamsMM: []float64{75}}); got.Kind != FewMoves {
		t.Errorf("a beam that can follow: %+v", got)
	}
	flat := relieved(0)
	if got := flat.Lack(&Tools{BeamsMM: []float64{300, 150}}); got.Kind != ShortBeams || got.HaveMM != 300 || math.Abs(got.NeedMM-424.5) > 1 {
		t.Errorf("%+v", got)
	}
	if got := flat.Lack(&Tools{Files: true}); got.Kind != NoBeam {
		t.Errorf("%+v", got)
	}
	if got := flat.Lack(&Tools{}); got.Kind != NoTool {
		t.Errorf("%+v", got)
	}
}

// A beam's bow goes into a level neck one for one over the crowns' span: sag times
// the square of span in length, a parabola (closed form).
func TestRub_BowedBeam(t *testing.T) {
	x := frets(22)
	h := Usual(1.2, 8)
	h.SweepMM, h.NPerMM = 0, 20000
	l := newLane(x, make([]float64, 22))
	l.sagMM = -0.010
	middle := (x[0] + x[21]) / 2
	l.rub(&h, middle-350, middle+350, 288, 400)
	taken := [][]float64{make([]float64, 22)}
	for i := range x {
		taken[0][i] = l.taken(i)
	}
	span := x[21] - x[0]
	near(t, "zone", zones([]level.Lane{{X: x, D: make([]float64, 22)}}, taken), 0.010*span*span/(700*700), 0.0005)
	j := Job{Lanes: []level.Lane{{Frets: []int{1, 2}, X: []float64{0, span}}}}
	near(t, "face", j.FaceMM(&Moves{Runs: []Run{{LengthMM: 700, FirstFret: 1, LastFret: 2, Lanes: []LaneRun{{}}}}}, 0.010), 0.003676, 2e-5)
}

// Pressing outside the kern lifts the far end off: the middle-third rule, by hand.
func TestPress_Kern(t *testing.T) {
	x, f := frets(22), make([]float64, 22)
	press(x, make([]float64, 22), 10, 194.077+0.1, 2000, f)
	if f[21] <= 0 {
		t.Error("crown 22 is off inside the kern")
	}
	press(x, make([]float64, 22), 10, 194.077-0.1, 2000, f)
	if f[21] > 0 {
		t.Error("crown 22 bears outside the kern")
	}
	press(x, make([]float64, 22), 10, 352.299+0.1, 2000, f)
	if f[0] > 0 {
		t.Error("crown 1 bears outside the kern")
	}
}

// Whatever the plan and the hands, no less metal came off than the least that leaves
// the zone reached.
func TestCarry_LeastIsABound(t *testing.T) {
	tools := UsualTools().Spanning([]level.Lane{{X: frets(22)}}, &Hand{SweepMM: 30})
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		lanes := neck(r)
		j := job(t, lanes, rapid.Float64Range(0.005, 0.025).Draw(t, "zone"))
		h := Usual(1.2, 8)
		h.MaxStrokes = 90
		m, ok := j.Moves(Way{Alone: rapid.IntRange(0, 2).Draw(t, "alone"), BendMM: math.Inf(1), SpanMM: math.Inf(1)}, &h, &tools)
		if !ok {
			t.Fatal("no tool")
		}
		done := j.Carry(&m, h, UsualScatter(), nil, r)
		for a, l := range lanes {
			one := []level.Lane{l}
			reached, metal := zones(one, done.TakenMM[a:a+1]), 0.0
			for _, v := range done.TakenMM[a] {
				metal += v
			}
			if least, err := level.Least(one, reached); err != nil || metal < least.TotalMM-1e-9 {
				t.Fatalf("lane %d: %g mm off leave %g, the least is %g, %v", a, metal, reached, least.TotalMM, err)
			}
		}
	})
}
