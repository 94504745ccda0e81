package plausible

import (
	"slices"
	"testing"

	"ringtrue/internal/reading"
)

// Readings in a row that are all off alike are a gauge that was moved: one
// question, and nothing is gross. Two misreads of different size are two.
func TestWatch_GaugeMoved(t *testing.T) {
	s := simulate(t, sound, 11)
	for _, from := range []int{8, 12, 20} {
		for first := range 2 { // in the first lane, and in one beside another
			all := s.beams(1, 0.005)[:2*frets]
			for i := from; i < frets; i++ {
				all[first*frets+i].Value += 0.5
			}
			odd := Of(s.l, model(), all).Odd()
			if len(odd) != 1 || !odd[0].Moved || odd[0].Reading != first*frets+from {
				t.Errorf("moved before %d of lane %d: %+v", from, first+1, odd)
			}
			if g := Gross(s.l, model(), all); len(g) > 0 {
				t.Errorf("moved before %d of lane %d: gross %+v", from, first+1, g)
			}
		}
	}
	// Kept by the maker it is asked of no more, nor is what follows.
	for first := range 2 {
		all := s.beams(1, 0.005)[:2*frets]
		for i := 9; i < frets; i++ {
			all[first*frets+i].Value -= 0.7
		}
		all[first*frets+9].Stands = true
		if odd := Of(s.l, model(), all).Odd(); len(odd) > 0 {
			t.Errorf("moved in lane %d and kept: %+v", first+1, odd)
		}
	}
	for _, second := range []float64{-0.6, 0.5} { // the same twice by chance: the third tells
		lane := s.beam(1, "1", 0.005)
		lane[10].Value += 0.5
		lane[11].Value += second
		odd := Of(s.l, model(), lane).Odd()
		if len(odd) != 2 || odd[0].Reading != 10 || odd[1].Reading != 11 || odd[0].Moved || odd[1].Moved {
			t.Errorf("two misreads, the second %g: %+v", second, odd)
		}
		if g := Gross(s.l, model(), lane); len(g) != 2 {
			t.Errorf("two misreads, the second %g: gross %+v", second, g)
		}
	}
}

// A fret that is far off in every lane is a fret, not a misread.
func TestWatch_WholeFretFarOff(t *testing.T) {
	s := simulate(t, sound, 21)
	for lane := 1; lane <= lanes; lane++ {
		s.crown[7][lane] += 0.4
	}
	all := s.beams(1, 0.005)
	if g := Gross(s.l, model(), all); len(g) > 0 {
		t.Errorf("gross: %+v", g)
	}
	for at := range asked(s.l, all) {
		if all[at].Frets[0] != 7 || all[at].Lane != 1 {
			t.Errorf("asked of %+v", all[at])
		}
	}
	if n := len(asked(s.l, all)); n != 1 {
		t.Errorf("%d questions; the first lane cannot know", n)
	}
}

// A second try that agrees settles it: neither is asked of, and where the first
// reading of a pass stands the second is the odd one.
func TestWatch_SecondTry(t *testing.T) {
	s := simulate(t, sound, 31)
	lane := s.beam(1, "1", 0.005)
	lane[9].Value += 0.4
	w := New(s.l, 0)
	for _, r := range lane[:12] {
		w.Take(r)
	}
	if odd := w.Odd(); len(odd) != 1 || odd[0].Reading != 9 {
		t.Fatalf("%+v", odd)
	}
	again := lane[9]
	again.Value += 0.004
	w.Take(again)
	for _, r := range lane[12:] {
		w.Take(r)
		if odd := w.Odd(); len(odd) > 0 {
			t.Fatalf("after a second try that agrees: %+v", odd)
		}
	}
	if g := w.Gross(); len(g) > 0 {
		t.Errorf("gross: %+v", g)
	}

	w = New(s.l, 0)
	tenfold := lane[0]
	tenfold.Value *= 10
	w.Take(tenfold)
	w.Take(lane[1])
	w.Take(lane[1]) // again, and the same
	if odd := w.Odd(); len(odd) != 1 || odd[0].Reading != 0 || len(odd[0].Either) > 0 {
		t.Errorf("the second stands: %+v; want the first asked of", odd)
	}

	w = New(s.l, 0)
	kept, next := tenfold, lane[1] // kept by the maker
	kept.Stands, next.Stands = true, true
	w.Take(kept)
	w.Take(next)
	if odd := w.Odd(); len(odd) > 0 {
		t.Errorf("both are kept: %+v", odd)
	}
}

func TestAgree(t *testing.T) {
	at := func(v, u float64) reading.Reading { return reading.Reading{Method: reading.Beam, Value: v, U: u} }
	leaf := func(v, no float64) reading.Reading { return reading.Reading{Method: reading.Edge, Value: v, NoGo: &no} }
	for _, c := range []struct {
		a, b reading.Reading
		want bool
	}{
		{at(0.4, 0.005), at(0.43, 0.005), true}, {at(0.4, 0.005), at(0.431, 0.005), false}, {at(0.4, 0.02), at(0.48, 0.02), true},
		{leaf(0.05, 0.1), leaf(0.1, 0.15), true}, {leaf(0.05, 0.1), leaf(0.15, 0.2), false},
		{reading.Reading{Answer: reading.Rocks}, reading.Reading{Answer: reading.Still}, false},
	} {
		if got := Agree(c.a, c.b); got != c.want || Agree(c.b, c.a) != got {
			t.Errorf("%+v and %+v agree: %v", c.a, c.b, got)
		}
	}
}

// An end that is far up is off in two or three lanes, each less than the one
// before: that is a fret, though no two lanes agree.
func TestGross_EndFarUp(t *testing.T) {
	for _, up := range []float64{0.2, 0.3, 0.6} {
		s := simulate(t, sound, 22)
		for lane := 1; lane <= 3; lane++ {
			s.crown[15][lane] += up * float64(4-lane) / 3
		}
		all := s.beams(1, 0.005)
		if g := Gross(s.l, model(), all); len(g) > 0 {
			t.Errorf("%g mm: gross %+v", up, g)
		}
		if len(asked(s.l, all)) == 0 {
			t.Errorf("%g mm: nothing is asked of", up)
		}
	}
}

// Too small to be seen in the first lane, a misread is asked of when the second
// is read: of the second lane's reading, or the first's. The third lane tells,
// and so does a second try at the second.
func TestWatch_EarlierLaneFoundLater(t *testing.T) {
	for _, by := range []float64{0.12, -0.14} {
		s := simulate(t, sound, 61)
		all := s.beams(1, 0.005)
		const at = 11
		all[at].Value += by
		w := New(s.l, 0)
		for k, r := range all {
			w.Take(r)
			switch odd := w.Odd(); {
			case k < frets+at:
				if len(odd) > 0 {
					t.Fatalf("%g: asked of %+v after %d", by, odd, k)
				}
			case k < 2*frets+at:
				if len(odd) != 1 || odd[0].Reading != frets+at || len(odd[0].Either) != 1 || odd[0].Either[0] != at {
					t.Fatalf("%g: after %d: %+v", by, k, odd)
				}
			default:
				if len(odd) != 1 || odd[0].Reading != at || len(odd[0].Either) > 0 {
					t.Fatalf("%g: after %d: %+v", by, k, odd)
				}
			}
		}
		w = New(s.l, 0)
		for _, r := range all[:frets+at+1] {
			w.Take(r)
		}
		again := all[frets+at]
		again.Value += 0.003
		w.Take(again)
		if odd := w.Odd(); len(odd) != 1 || odd[0].Reading != at {
			t.Errorf("%g: after a second try: %+v", by, odd)
		}
		if g := w.Gross(); len(g) > 0 {
			t.Errorf("%g is no gross error: %+v", by, g)
		}
	}
}

// A burr that a second pass of its lane repeats is real: the second pass is not
// asked of, and neither is gross.
func TestWatch_SecondPassRepeats(t *testing.T) {
	s := simulate(t, sound, 71)
	s.crown[12][3] += 0.3
	all := s.beams(2, 0.005)
	const at = 2*frets + 11
	if a := asked(s.l, all); len(a) != 1 || a[at] != at {
		t.Errorf("asked of %v, want %d alone", a, at)
	}
	if odd := Of(s.l, model(), all).Odd(); len(odd) > 0 {
		t.Errorf("after the second pass: %+v", odd)
	}
	if g := Gross(s.l, model(), all[:6*frets]); len(g) != 1 || g[0].Reading != at {
		t.Errorf("read once: gross %+v", g)
	}
	if g := Gross(s.l, model(), all); len(g) > 0 {
		t.Errorf("read twice: gross %+v", g)
	}
}

// Two gross misreads among the first eight of a pass: every reading
// that is asked of in the end is one of them.
func TestWatch_SeveralInOnePass(t *testing.T) {
	for seed := range uint64(40) {
		s := simulate(t, sound, 80+seed)
		lane := s.beam(1, "1", 0.005)
		bad := map[int]bool{}
		for len(bad) < 2 {
			at := s.rnd.IntN(8)
			if !bad[at] {
				bad[at] = true
				lane[at].Value += (0.6 + 3*s.rnd.Float64()) * float64(1-2*s.rnd.IntN(2))
			}
		}
		odd := Of(s.l, model(), lane).Odd()
		for _, o := range odd {
			if !bad[o.Reading] {
				t.Errorf("seed %d, misreads at %v: %+v", 80+seed, bad, o)
			}
		}
		if len(odd) != len(bad) {
			t.Errorf("seed %d, misreads at %v: %d asked of", 80+seed, bad, len(odd))
		}
	}
}

// Where every reading lies near its pass's line there is nothing to find, and
// the shorter way says the same.
func TestSort_Quiet(t *testing.T) {
	quiet, loud := 0, 0
	for _, kind := range []string{sound, played, mixed, blind} {
		for seed := range uint64(10) {
			s := simulate(t, kind, 400+seed)
			all := s.beams(1, 0.005)
			if seed%2 == 1 {
				all[s.rnd.IntN(len(all))].Value += 0.3 * s.rnd.Float64()
			}
			w := Of(s.l, model(), all)
			if New(s.l, 1.2).quiet(all) {
				quiet++
				if g, o := w.Gross(), w.Open(); len(g)+len(o) > 0 {
					t.Errorf("%s, seed %d: nothing to find, but %+v %+v", kind, 400+seed, g, o)
				}
			} else {
				loud++
			}
			gross, open := Sort(s.l, model(), all)
			if !slices.Equal(places(gross), places(w.Gross())) || !slices.Equal(places(open), places(w.Open())) {
				t.Errorf("%s, seed %d: %+v %+v", kind, 400+seed, gross, open)
			}
		}
	}
	if quiet < 5 || loud < 5 {
		t.Errorf("%d quiet and %d loud necks: one way is not tried", quiet, loud)
	}
	s := simulate(t, sound, 1)
	if New(s.l, 0).quiet(s.beam(1, "1", 0.005)[:few+2]) {
		t.Error("a short pass is taken for one without questions")
	}
}
