package findings

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// only keeps the readings that a test wants.
func (b *bench) only(keep func(r reading.Reading) bool) {
	b.out = slices.DeleteFunc(b.out, func(r reading.Reading) bool { return !keep(r) })
}

// TestFrets_OneLane: from one lane nothing is said about a fret's ends or its
// middle, only high or low in that lane.
func TestFrets_OneLane(t *testing.T) {
	for off, want := range map[float64]Case{0.06: HighIn, -0.06: LowIn} {
		b := newBench(t, 12)
		b.raise(9, func(float64) float64 { return off })
		b.read("")
		b.only(func(r reading.Reading) bool { return r.Lane == 3 })
		got := b.judge().Frets()
		if len(got) != 1 || got[0].Fret != 9 || got[0].Case != want || !slices.Equal(got[0].Lanes, []float64{3}) {
			t.Errorf("%+v by %v, want %d", got, off, want)
		}
	}
	b := newBench(t, 12)
	b.read("")
	b.only(func(r reading.Reading) bool { return r.Lane == 3 })
	if got := b.judge().Frets(); len(got) != 0 {
		t.Errorf("a level lane: %+v", got)
	}
}

// TestJudge_Incomplete: a lane with a crown left out is never called level, and
// the neck with it; one that is not level stays so.
func TestJudge_Incomplete(t *testing.T) {
	for _, c := range []struct {
		raise float64
		want  straight.Verdict
	}{{0, straight.InDoubt}, {0.2, straight.NotLevel}} {
		b := newBench(t, 13)
		b.raise(9, func(float64) float64 { return c.raise })
		b.read("")
		b.only(func(r reading.Reading) bool { return r.Lane != 2 || r.Frets[0] != 14 })
		n := b.judge()
		if n.Verdict != c.want || n.Lanes[1].Complete || !n.Lanes[0].Complete {
			t.Errorf("raised by %v: %s, want %s; complete %t %t", c.raise, n.Verdict, c.want, n.Lanes[0].Complete, n.Lanes[1].Complete)
		}
		if n.Lanes[1].at(14) != -1 || n.Lanes[1].at(15) != 13 {
			t.Errorf("places of frets 14 and 15: %d, %d", n.Lanes[1].at(14), n.Lanes[1].at(15))
		}
	}
	b := newBench(t, 13)
	if n := b.judge(); n.Verdict != straight.InDoubt || len(n.Lanes) != 0 {
		t.Errorf("nothing read: %s", n.Verdict)
	}
}

// TestJudge_OpenLane: a lane of two readings was read and yet tells nothing: the
// neck is in doubt for it, though all its other lanes are level.
func TestJudge_OpenLane(t *testing.T) {
	b := newBench(t, 14)
	b.read("")
	b.only(func(r reading.Reading) bool { return r.Lane != 4 || r.Frets[0] <= 2 })
	n := b.judge()
	if n.Verdict != straight.InDoubt || !slices.Equal(n.Open, []float64{4}) || len(n.Lanes) != 5 {
		t.Errorf("%s, open %v, %d lanes", n.Verdict, n.Open, len(n.Lanes))
	}
	for _, l := range n.Lanes {
		if l.Verdict != straight.Level {
			t.Errorf("lane %v: %s", l.Lane.Lane, l.Verdict)
		}
	}
}

// TestFrets_InARise: a fret that stands high with its neighbours sends the
// maker to the board first.
func TestFrets_InARise(t *testing.T) {
	b := newBench(t, 6)
	for f := 6; f <= 9; f++ {
		b.raise(f, func(float64) float64 { return 0.05 })
	}
	b.read("")
	seen := 0
	for _, f := range b.judge().Frets() {
		if f.Fret < 6 || f.Fret > 9 || f.Case != WholeHigh {
			continue
		}
		seen++
		if f.Run == nil || f.Run.Kind != KindHump || !slices.Equal(f.Run.Frets, []int{6, 7, 8, 9}) {
			t.Errorf("%+v", f)
		}
	}
	if seen == 0 {
		t.Fatal("no fret of the hump was named: the case tests nothing")
	}
}

// TestFrets_OddCrowns: crowns off in lanes that make no pattern are named lane
// by lane, with their count right.
func TestFrets_OddCrowns(t *testing.T) {
	b := newBench(t, 15)
	b.raise(9, func(t float64) float64 { // lanes 2 and 5 up, the others not
		if math.Abs(math.Abs(t)-0.3) < 0.01 {
			return 0.045
		}
		return 0
	})
	for _, pass := range []string{"a", "b", "c"} {
		b.read(pass)
	}
	n := b.judge()
	n.Estimate.Dents = nil // taken for no burr, as where no second pass confirms it
	got := n.Frets()
	if len(got) != 1 || got[0].Case != OffIn || !slices.Equal(got[0].Lanes, []float64{2, 5}) {
		t.Errorf("%+v", got)
	}
}

// TestWhole_NoRod: without a rod the advice asks for none.
func TestWhole_NoRod(t *testing.T) {
	b := newBench(t, 5)
	b.model.Body.Rod = false
	for f := 1; f <= 22; f++ {
		b.raise(f, func(float64) float64 { return 0.1 * b.l.Bow(f, 22, 3.5) })
	}
	b.read("")
	got := b.judge().Whole(b.out)
	if len(got) == 0 || got[0].Kind != KindBow || got[0].AmountMM < 0 || got[0].Rod {
		t.Errorf("%+v", got)
	}
}

// TestWhole_TiesOtherWay: the mirror of a twist and of a wrong radius, and
// neither where it is too small to be sure of.
func TestWhole_TiesOtherWay(t *testing.T) {
	for _, c := range []struct {
		rise, radius float64
		want         []string
	}{
		{-0.2, 800, []string{KindTwist, KindRadius}},
		{0.01, 0, nil},
	} {
		b := newBench(t, 7)
		b.read("")
		b.out = append(b.out, reading.Reading{Method: reading.Sticks, Frets: []int{1, 22}, Value: c.rise, Span: 40, U: 0.01})
		for f := 1; f <= 22; f += 7 {
			const half = 20
			r := c.radius
			if r == 0 {
				r = b.l.Radius(b.l.CentreX(f))
			}
			b.out = append(b.out, reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: 2 * half, U: 0.005,
				Value: r - math.Sqrt(r*r-half*half)})
		}
		got := b.judge().Whole(b.out)
		if len(got) != len(c.want) {
			t.Fatalf("%+v, want %q", got, c.want)
		}
		for i, w := range c.want {
			if got[i].Kind != w || got[i].AmountMM >= 0 {
				t.Errorf("%+v, want %q", got[i], w)
			}
		}
	}
}

// TestJudge_Fault names the lane whose numbers are none.
func TestJudge_Fault(t *testing.T) {
	b := newBench(t, 16)
	b.read("")
	e, err := heights.From(heights.Input{Layout: b.l, Readings: b.out})
	if err != nil {
		t.Fatal(err)
	}
	e.Lanes[4].Z[3] = math.NaN()
	if n, err := Judge(b.model, b.l, e, b.out); err == nil || !strings.HasPrefix(err.Error(), "lane 5: ") {
		t.Errorf("%+v, %v", n, fmt.Sprint(err))
	}
}
