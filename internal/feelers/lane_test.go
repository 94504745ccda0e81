package feelers

import (
	"math"
	"slices"
	"testing"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// TestReach_Differences: the gain by covariances is what the estimate does when
// a bracket is moved.
func TestReach_Differences(t *testing.T) {
	b := neckOf(t, sound, 5)
	for lane := 1.0; lane <= 6; lane++ {
		b.beam(lane, 0.01)
	}
	for _, lane := range []float64{1, 4} {
		b.edge(lane, set(0.01, 0.01, 60), 0.003, "")
	}
	e, _ := b.judge()
	parts := partsOf(e, sortReadings(b.l, b.out, nil))
	if len(parts) != 2 {
		t.Fatalf("%d parts, want two edges", len(parts))
	}
	const move = 1e-4
	for _, c := range []struct{ column, part, crown int }{{0, 0, 0}, {9, 0, 9}, {22 + 13, 1, 13}} {
		moved := slices.Clone(b.out)
		for i, r := range moved {
			if r.Method == reading.Edge && r.Lane == e.Lanes[parts[c.part].lane].Lane && r.Frets[0] == c.crown+1 {
				no := *r.NoGo + move
				moved[i].NoGo, moved[i].Value = &no, r.Value+move
			}
		}
		again, err := heights.From(heights.Input{Layout: b.l, Readings: moved})
		if err != nil {
			t.Fatal(err)
		}
		for k, h := range e.Lanes {
			g := reach(e, k, parts)
			worst, size := 0.0, 0.0
			for i := range h.Z {
				d := (again.Lanes[k].Z[i] - h.Z[i]) / move
				worst, size = math.Max(worst, math.Abs(d-g.At(i, c.column))), math.Max(size, math.Abs(d))
			}
			// The weights of explanations move too, which no covariance holds.
			if worst > 0.03+0.25*size {
				t.Errorf("bracket %d, lane %g: gain off by %.4f of %.4f", c.column, h.Lane, worst, size)
			}
		}
	}
}

// TestOf_NoBrackets: without leaves there is nothing to say, and lanes that no
// bracket reaches are left to the estimate.
func TestOf_NoBrackets(t *testing.T) {
	b := neckOf(t, sound, 6)
	for lane := 1.0; lane <= 6; lane++ {
		b.beam(lane, 0.003)
	}
	if _, lanes := b.judge(); lanes != nil {
		t.Errorf("beams alone: %v", lanes)
	}
	b.out = nil
	b.beam(1, 0.0005)
	b.edge(2, usual(), 0.003, "")
	e, lanes := b.judge()
	for k, l := range lanes {
		if beam := e.Lanes[k].Lane == 1; beam != (l == nil) {
			t.Errorf("lane %g: %+v", e.Lanes[k].Lane, l)
		}
	}
}

// TestOf_AllZero: a lane that reads 0 throughout with nothing said of the leaves
// may hide what the thinnest of a usual set does.
func TestOf_AllZero(t *testing.T) {
	for _, stated := range []bool{false, true} {
		b := newBench(t, 7)
		for lane := 1.0; lane <= 6; lane++ {
			for f := 1; f <= 22; f++ {
				b.out = append(b.out, reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{f}, U: 0.005, UGiven: stated})
			}
		}
		_, lanes := b.judge()
		if len(lanes) != 6 {
			t.Fatalf("%d lanes", len(lanes))
		}
		for _, l := range lanes {
			if l.Range.LargestMM < reading.UsualThinnest || l.Range.LeastMM != 0 || l.Range.Verdict(limit) != straight.InDoubt {
				t.Errorf("stated %t: %v", stated, l.Range)
			}
		}
	}
}

// TestOf_Turned: an edge that is not straight, turned end for end: the zone
// still lies in the range, which by one way round alone it does not.
func TestOf_Turned(t *testing.T) {
	outside := 0
	for seed := range uint64(6) {
		b := newBench(t, 300+seed)
		b.press(0.004, 0.003, 0.0007)
		own := func(turned bool, lanes ...float64) {
			for _, lane := range lanes {
				x, _ := b.lane(lane)
				for i, g := range b.gaps(lane) {
					at := 2*(x[i]-x[0])/(x[21]-x[0]) - 1
					v := 0.06 * at * (5*at*at - 3) / 2 // an S
					if turned {
						v = -v
					}
					lo := math.Floor((0.1+g+v)/0.005) * 0.005
					no := lo + 0.005
					b.out = append(b.out, reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{i + 1}, Value: lo, NoGo: &no, U: 1e-4, UGiven: true, Turned: turned})
				}
			}
		}
		own(false, 1, 2, 3)
		_, lanes := b.judge()
		for k, l := range lanes {
			if z := b.zone(float64(k + 1)); z < l.Range.LeastMM || z > l.Range.LargestMM {
				outside++
			}
		}
		own(true, 1, 2) // lane 3 is read one way round only
		_, lanes = b.judge()
		if len(lanes) != 3 {
			t.Fatalf("%d lanes", len(lanes))
		}
		for k, l := range lanes {
			if z := b.zone(float64(k + 1)); z < l.Range.LeastMM || z > l.Range.LargestMM {
				t.Errorf("lane %d: zone %.4f outside %v", k+1, z, l.Range)
			}
			if k < 2 && l.Range.LargestMM-l.Range.LeastMM > 0.025 {
				t.Errorf("lane %d: range %v is wider than steps of 0.005 make it", k+1, l.Range)
			}
		}
	}
	if outside == 0 {
		t.Error("the edge's own shape never mattered: the case tests nothing")
	}
}

// TestOf_SetAside: a bracket that was set aside has no part in the range, and
// its lane is not level without it.
func TestOf_SetAside(t *testing.T) {
	b := neckOf(t, sound, 8)
	b.edges(set(0.01, 0.01, 60), 0.001)
	for i, r := range b.out {
		if r.Lane == 3 && r.Frets[0] == 11 {
			no := *r.NoGo + 0.15
			b.out[i].Value, b.out[i].NoGo = r.Value+0.15, &no
		}
	}
	e, lanes := b.judge()
	if len(e.Misreads) != 1 || e.Misreads[0].Lane != 3 {
		t.Fatalf("set aside %+v", e.Misreads)
	}
	for k, l := range lanes {
		z := b.zone(float64(k + 1))
		if l.Open != (k == 2) || z < l.Range.LeastMM || z > l.Range.LargestMM || l.Range.LeastMM > limit {
			t.Errorf("lane %d: %+v, true zone %v", k+1, l, z)
		}
	}
}

// TestOf_Rocker: what a rocker says of three crowns holds them: not level by a
// rocker alone where an edge of thick leaves leaves it open.
func TestOf_Rocker(t *testing.T) {
	b := newBench(t, 9)
	const up = 0.038
	for lane := range b.z[12] {
		b.z[12][lane] += up
	}
	b.edges([]float64{0.06, 0.10}, 0.001)
	_, before := b.judge()
	for lane := 1.0; lane <= 6; lane++ {
		x := func(f int) float64 { return b.l.LaneX(f, lane) }
		tall := up * (1 + (x(13)-x(12))/(x(12)-x(11))) // the gap over fret 13
		no := tall + 0.004
		b.out = append(b.out,
			reading.Reading{Method: reading.Rocker, Lane: lane, Frets: []int{11, 12, 13}, Value: tall - 0.004, NoGo: &no, U: 0.001, UGiven: true},
			reading.Reading{Method: reading.Rocker, Lane: lane, Frets: []int{13, 12, 11}, Answer: reading.Rocks, U: 0.001},
			reading.Reading{Method: reading.Rocker, Lane: lane, Frets: []int{3, 4, 5}, Answer: reading.Still, U: 0.001})
	}
	e, after := b.judge()
	if len(e.Misreads) > 0 {
		t.Fatalf("set aside: %+v", e.Misreads)
	}
	if v := before[1].Range.Verdict(limit); v != straight.InDoubt {
		t.Fatalf("by the edge alone: %s, %v", v, before[1].Range)
	}
	if v := after[1].Range.Verdict(limit); v != straight.NotLevel {
		t.Errorf("with the rocker: %s, %v", v, after[1].Range)
	}
	for k := range after {
		z := b.zone(float64(k + 1))
		if r := after[k].Range; z < r.LeastMM || z > r.LargestMM {
			t.Errorf("lane %d: zone %v outside %v", k+1, z, r)
		}
	}
}

// TestSettle: the leaf that is named settles the lane where it enters nowhere,
// and the next round leaf above it does not; what no leaf settles has none.
func TestSettle(t *testing.T) {
	for _, thin := range []float64{0.04, 0.06} {
		b := newBench(t, 10)
		b.hollow(0.01)
		b.edges(set(thin, 0.01, 20), 0.001)
		_, lanes := b.judge()
		leaf := lanes[0].Settle(limit)
		if leaf.MM != 0.02 || len(leaf.Frets) != 22 {
			t.Fatalf("under a leaf of %g: %+v", thin, leaf)
		}
		for _, c := range []struct {
			leaf float64
			want straight.Verdict
		}{{leaf.MM, straight.Level}, {leaf.MM + 0.01, straight.InDoubt}} {
			b.out = nil
			b.edges(append([]float64{c.leaf}, set(thin, 0.01, 20)...), 0.001)
			_, lanes = b.judge()
			if v := lanes[0].Range.Verdict(limit); v != c.want {
				t.Errorf("with a leaf of %g: %s, %v", c.leaf, v, lanes[0].Range)
			}
		}
	}
	b := neckOf(t, relieved, 11)
	b.edges(set(0.02, 0.02, 60), 0.001)
	_, lanes := b.judge()
	if leaf := lanes[2].Settle(limit); leaf.MM != 0 || leaf.StepMM <= 0 || leaf.StepMM >= 0.02 {
		t.Errorf("gaps of a relief in steps of 0.02: %+v, %v", leaf, lanes[2].Range)
	}
	b.out = nil
	b.edges(set(0.005, 0.005, 60), 0.02)
	_, lanes = b.judge()
	if leaf := lanes[2].Settle(limit); leaf.MM != 0 || leaf.StepMM != 0 {
		t.Errorf("a hand that feels nothing: %+v, %v", leaf, lanes[2].Range)
	}
}

// Whatever part of the readings is there, ranges are finite and the right way
// round.
func TestOf_AnyReadings(t *testing.T) {
	judged := 0
	for seed := range uint64(24) {
		b := neckOf(t, int(seed)%kinds, 400+seed)
		b.edges([][]float64{usual(), set(0.01, 0.01, 60)}[seed%2], 0.002)
		if seed%4 == 0 {
			b.bridge(3, 0.003)
			b.beam(5, 0.003)
		}
		share := b.rnd.IntN(30) // of 100
		b.out = slices.DeleteFunc(b.out, func(reading.Reading) bool { return b.rnd.IntN(100) < share })
		for i := range b.out {
			if b.rnd.IntN(100) < share {
				b.out[i].NoGo = nil
			}
		}
		e, lanes := b.judge()
		for k, l := range lanes {
			if l == nil {
				continue
			}
			judged++
			if r := l.Range; !(r.LeastMM >= 0) || math.IsInf(r.LargestMM, 0) || math.IsNaN(r.LargestMM) {
				t.Fatalf("seed %d, lane %g: %v", seed, e.Lanes[k].Lane, r)
			}
			for i, u := range l.U {
				if !(u > 0) || math.IsInf(u, 0) {
					t.Fatalf("seed %d, lane %g: crown %d has u %v", seed, e.Lanes[k].Lane, i, u)
				}
			}
		}
	}
	if judged < 100 {
		t.Errorf("only %d lanes were judged", judged)
	}
}

func BenchmarkOf(b *testing.B) {
	n := neckOf(b, sound, 1)
	n.edges(set(0.01, 0.01, 60), 0.003)
	e, _ := n.judge()
	for b.Loop() {
		if _, err := Of(Input{Layout: n.l, Readings: n.out, Estimate: e}); err != nil {
			b.Fatal(err)
		}
	}
}
