package board

import (
	"math"
	"slices"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// class is a kind of board with a way of reading it, and what is to be said of it
// at least, in parts of 100.
type class struct {
	name            string
	change          func(*neck.Model)
	read            func(*wood) []reading.Reading
	ready, notReady int
	inDoubt         int
	finding         Kind   // that must be named in 95 of 100
	over            [2]int // its slots, to one slot either way
	misread         int    // of 100: the reading that was put wrong is named
	next            bool   // a next reading is named wherever the board is in doubt
	few             bool   // 60 boards suffice
}

func three() []float64 { return []float64{1, 3.5, 6} }
func six() []float64   { return []float64{1, 2, 3, 4, 5, 6} }
func five() []int      { return []int{1, 6, 11, 16, 21} }

func withFive(lanes []float64) func(w *wood) []reading.Reading {
	return func(w *wood) []reading.Reading {
		return append(w.beam(lanes, 1, 0.005, ""), w.arch(five(), 40, 0.002)...)
	}
}

// off reads a board whose radius is off all along, twice at each slot with a
// 1 µm dial.
func off(mm float64) func(w *wood) []reading.Reading {
	return func(w *wood) []reading.Reading {
		w.off = [2]float64{mm, mm}
		return append(w.beam(three(), 1, 0.005, ""), w.arch(append(every(1, 22, 1), every(1, 22, 1)...), 40, 0.001)...)
	}
}

func humped(from, to int, mm float64, part func(float64) float64, smooth bool, lanes []float64) func(w *wood) []reading.Reading {
	return func(w *wood) []reading.Reading {
		w.hump(from, to, mm, part, smooth)
		return withFive(lanes)(w)
	}
}

func fineLeaves() []float64 {
	return []float64{0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.1, 0.12, 0.15, 0.2, 0.3}
}

func classes() []class {
	return []class{
		{name: "sound, three lanes, five arches", read: func(w *wood) []reading.Reading {
			w.off = [2]float64{w.r.NormFloat64(), w.r.NormFloat64()}
			return withFive(three())(w)
		}, ready: 90, next: true},
		{few: true, name: "sound, six lanes at every third slot, four arches", read: func(w *wood) []reading.Reading {
			return append(w.beam(six(), 3, 0.005, ""), w.arch([]int{2, 8, 14, 20}, 40, 0.002)...)
		}, ready: 95, next: true},
		{name: "radius 4.5 mm off, 5 allowed", read: off(4.5), ready: 50, next: true},
		{few: true, name: "radius 4 mm under", read: off(-4), ready: 90, next: true},
		{name: "radius 5.5 mm off", read: off(5.5), notReady: 40, next: true},
		{few: true, name: "radius 5.5 mm under", read: off(-5.5), notReady: 40, next: true},
		{few: true, name: "a cylinder in place of a cone", read: func(w *wood) []reading.Reading {
			w.off = [2]float64{30, -70}
			return withFive(three())(w)
		}, notReady: 100, finding: Radius, over: [2]int{1, 21}},
		{few: true, name: "hump with steep sides", read: humped(12, 15, 0.08, allOver, false, three()), notReady: 100, finding: Hump, over: [2]int{12, 15}},
		{name: "smooth hump", read: humped(11, 16, 0.08, allOver, true, three()), notReady: 98, finding: Hump, over: [2]int{12, 15}},
		{name: "dip on the treble side", read: humped(9, 11, -0.1, treble, true, six()), notReady: 95, finding: Dip, over: [2]int{9, 11}},
		{few: true, name: "rise at the end", read: humped(19, 22, 0.1, allOver, false, three()), notReady: 100, finding: Rise, over: [2]int{19, 22}},
		{few: true, name: "bow", read: humped(1, 22, -0.14, allOver, true, three()), notReady: 95, finding: Bow, over: [2]int{1, 22}},
		{name: "a beam reading wrong", read: func(w *wood) []reading.Reading {
			r := withFive(three())(w)
			r[w.r.IntN(66)].Value += []float64{0.1, 0.3, -0.2, 3, -1}[w.r.IntN(5)]
			return r
		}, inDoubt: 98, misread: 85, next: true},
		{name: "an arch reading wrong", read: func(w *wood) []reading.Reading {
			r := withFive(three())(w)
			r[66+w.r.IntN(5)].Value += []float64{0.03, 0.1, -0.1, 0.3, -0.05}[w.r.IntN(5)]
			return r
		}, inDoubt: 98, misread: 90, next: true},
		{name: "one arch reading", read: func(w *wood) []reading.Reading {
			return append(w.beam(three(), 1, 0.005, ""), w.arch([]int{9}, 40, 0.002)...)
		}, inDoubt: 100, next: true},
		{few: true, name: "one arch reading, far off", read: func(w *wood) []reading.Reading {
			w.off = [2]float64{60, 60}
			return append(w.beam(three(), 1, 0.005, ""), w.arch([]int{9}, 40, 0.002)...)
		}, inDoubt: 100, next: true},
		{name: "one lane", read: withFive([]float64{3.5}), inDoubt: 100, next: true},
		{few: true, name: "the last third unread", read: func(w *wood) []reading.Reading {
			return slices.DeleteFunc(withFive(three())(w), func(r reading.Reading) bool { return r.Frets[0] > 13 })
		}, inDoubt: 100, next: true},
		{name: "gauge knocked", read: func(w *wood) []reading.Reading {
			r := withFive(three())(w)
			for i := 26 + w.r.IntN(14); i < 44; i++ {
				r[i].Value += 0.1
			}
			return r
		}, inDoubt: 95, next: true},
		{name: "leaves of 0.01, sound", read: func(w *wood) []reading.Reading {
			return append(w.edge(three(), fineLeaves(), 0.003), w.arch(five(), 40, 0.002)...)
		}, ready: 90, next: true},
		{few: true, name: "leaves of 0.01, hump", read: func(w *wood) []reading.Reading {
			w.hump(12, 15, 0.1, allOver, true)
			return append(w.edge(three(), fineLeaves(), 0.003), w.arch(five(), 40, 0.002)...)
		}, notReady: 90, finding: Hump, over: [2]int{12, 15}, next: true},
		{few: true, name: "all under a leaf of 0.06, sound", read: func(w *wood) []reading.Reading {
			return append(w.edge(three(), []float64{0.06}, 0.003), w.arch(five(), 40, 0.002)...)
		}, inDoubt: 100, next: true},
		{name: "all under a leaf of 0.06, hollow", read: func(w *wood) []reading.Reading {
			w.hump(3, 19, -0.056, allOver, true)
			return append(w.edge(three(), []float64{0.06, 0.09}, 0.003), w.arch(five(), 40, 0.002)...)
		}, inDoubt: 100, next: true},
		{few: true, name: "every gap 0, the leaf unsaid, hollow", read: func(w *wood) []reading.Reading {
			w.hump(3, 19, -0.056, allOver, true)
			r := w.edge(three(), []float64{0.06}, 0.001)
			for i := range r {
				r[i].Value, r[i].NoGo = 0, nil
			}
			return append(r, w.arch(five(), 40, 0.002)...)
		}, inDoubt: 100, next: true},
		{few: true, name: "all under a leaf of 0.03", read: func(w *wood) []reading.Reading {
			return append(w.edge(three(), []float64{0.03, 0.06}, 0.003), w.arch(five(), 40, 0.002)...)
		}, ready: 70, next: true},
		{few: true, name: "flat board", change: func(m *neck.Model) { m.Board.Radius = neck.Pair{} }, read: func(w *wood) []reading.Reading {
			return append(w.beam(three(), 1, 0.005, ""), w.arch(five(), 40, 0.004)...)
		}, ready: 90, next: true},
		{few: true, name: "flat board with a belly", change: func(m *neck.Model) { m.Board.Radius = neck.Pair{} }, read: func(w *wood) []reading.Reading {
			w.bumps = append(w.bumps, func(_ int, _, y float64) float64 { return -0.06 * y * y / 400 })
			return append(w.beam(three(), 1, 0.005, ""), w.arch(five(), 40, 0.004)...)
		}, notReady: 95, finding: Radius, over: [2]int{1, 21}},
	}
}

// TestJudge_Known judges boards whose truth is known, 200 or 60 of each class: a
// sure word is wrong on 1 in 100 at most.
func TestJudge_Known(t *testing.T) {
	for _, c := range classes() {
		n := 200
		switch {
		case testing.Short():
			n = 40
		case c.few:
			n = 60
		}
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			judgeClass(t, c, n)
		})
	}
}

func judgeClass(t *testing.T, c class, n int) {
	m, l := heron(t, c.change)
	said := map[Verdict]int{}
	var wrong, named, found, silent int
	for seed := range uint64(n) {
		w := newWood(t, seed, m, l)
		readings := c.read(w)
		a, err := Judge(m, l, readings)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		said[a.Verdict]++
		truth := w.ready() && c.name != "flat board with a belly"
		if a.Verdict == Ready && !truth || a.Verdict == NotReady && truth {
			wrong++
		}
		if len(a.Misreads) > 0 {
			named++
		}
		if c.finding != "" && slices.ContainsFunc(a.Findings, func(f Finding) bool {
			return f.Kind == c.finding && math.Abs(float64(f.Frets[0]-c.over[0])) <= 1 && math.Abs(float64(f.Frets[len(f.Frets)-1]-c.over[1])) <= 1
		}) {
			found++
		}
		if c.next && a.Verdict == InDoubt && len(a.Next) == 0 {
			silent++
		}
		if a.Verdict == Ready && (len(a.Next) > 0 || a.Sanding != nil) || a.Verdict == InDoubt && a.Sanding != nil {
			t.Errorf("seed %d: %s, yet there is something to do: %+v %+v", seed, a.Verdict, a.Next, a.Sanding)
		}
	}
	part := func(k int) int { return 100 * k / n }
	t.Logf("%s, seeds 0 to %d: %v, wrong %d, misreads named %d, finding %d", c.name, n-1, said, wrong, named, found)
	for _, w := range []struct {
		what       string
		got, least int
	}{
		{"ready", part(said[Ready]), c.ready}, {"not ready", part(said[NotReady]), c.notReady}, {"in doubt", part(said[InDoubt]), c.inDoubt},
		{"misread named", part(named), c.misread},
	} {
		if w.got < w.least {
			t.Errorf("%s in %d of 100, want %d or more", w.what, w.got, w.least)
		}
	}
	if c.finding != "" && part(found) < 90 {
		t.Errorf("%s over slots %v named in %d of 100", c.finding, c.over, part(found))
	}
	if 100*wrong > n {
		t.Errorf("a sure word wrong on %d of %d", wrong, n)
	}
	if silent > 0 {
		t.Errorf("in doubt without a next reading on %d", silent)
	}
}

// TestJudge_Sanded sands boards as advised, with a block that knows one cone only,
// and reads them again with the same gauges: they are ready, and truly so.
func TestJudge_Sanded(t *testing.T) {
	n := 40
	if testing.Short() {
		n = 10
	}
	for name, read := range map[string]func(w *wood) []reading.Reading{
		"hump":            humped(12, 15, 0.08, allOver, true, three()),
		"hump, six lanes": humped(12, 15, 0.08, treble, false, six()),
		"dip":             humped(9, 11, -0.1, treble, true, six()),
		"flatter": func(w *wood) []reading.Reading {
			w.off = [2]float64{15, 15}
			return withFive(three())(w)
		},
		"cylinder": func(w *wood) []reading.Reading {
			w.off = [2]float64{30, -70}
			return withFive(six())(w)
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m, l := heron(t, nil)
			ready, tried := 0, 0
			for seed := range uint64(n) {
				w := newWood(t, seed, m, l)
				a, err := Judge(m, l, read(w))
				if err != nil {
					t.Fatal(err)
				}
				if a.Sanding == nil {
					continue
				}
				tried++
				w.block(a.Sanding)
				if !w.straight() {
					t.Errorf("seed %d: sanded as told, a lane is not straight", seed)
				}
				lanes := three()
				if len(a.Lanes) > 3 {
					lanes = six()
				}
				again, err := Judge(m, l, withFive(lanes)(w))
				if err != nil {
					t.Fatal(err)
				}
				if again.Verdict == Ready {
					ready++
				} else if again.Verdict == NotReady {
					t.Errorf("seed %d: sanded as told, and not ready: %+v", seed, again.Findings)
				}
			}
			t.Logf("%s: ready after sanding %d of %d", name, ready, tried)
			if tried < n*9/10 || 10*ready < 4*tried {
				t.Errorf("%d of %d boards got a list, %d are ready after it", tried, n, ready)
			}
		})
	}
}

// TestJudge_Again reads a misread slot again in the same pass: what agrees with the
// rest makes the board ready, what agrees with the misread makes it real.
func TestJudge_Again(t *testing.T) {
	m, l := heron(t, nil)
	ready := 0
	for seed := range uint64(40) {
		w := newWood(t, seed, m, l)
		r := append(withFive(three())(w), w.arch(five(), 40, 0.001)...)
		at := 22 + 9 // lane 3.5, slot 10
		again := r[at]
		r[at].Value += 0.15
		a, err := Judge(m, l, append(r, again))
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict == Ready {
			ready++
		}
		if a.Verdict == NotReady || len(a.Misreads) != 1 || a.Misreads[0].Reading != at || math.Abs(a.Misreads[0].ExpectedMM-again.Value) > 0.02 {
			t.Errorf("seed %d: %s, %+v, read again %v", seed, a.Verdict, a.Misreads, again.Value)
		}
		again.Value = r[at].Value + 0.002
		if a, err = Judge(m, l, append(r[:len(r):len(r)], again)); err != nil || a.Verdict != NotReady || len(a.Misreads) != 0 {
			t.Errorf("seed %d, it repeats: %s, %+v, %v", seed, a.Verdict, a.Misreads, err)
		}
	}
	if ready < 34 {
		t.Errorf("ready on %d of 40 once read again", ready)
	}
}
