package ear

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/play"
)

// uneven gives crowns a scatter and one high fret.
func uneven(r *rand.Rand) []float64 {
	off := make([]float64, 22)
	for i := range off {
		off[i] = 0.02 * r.NormFloat64()
	}
	off[r.IntN(22)] += 0.1
	return off
}

// A note touches exactly where the contact run does, and buzzes where it does but for one
// note in a hundred.
func TestNote_AgainstTheRun(t *testing.T) {
	n := heron(t, nil)
	r := rand.New(rand.NewPCG(1, 1))
	notes, other, buzzing := 0, 0, 0
	for range 2 {
		off := uneven(r)
		for i := range n.Cases {
			c := n.Cases[i]
			c.Lane = c.Lane.Standing(off)
			judged, err := play.Judge(t.Context(), []play.Case{c})
			if err != nil {
				t.Fatal(err)
			}
			for f := range 22 {
				for k := range c.Touches {
					at, err := noteOf(t.Context(), &c, f, k)
					if err != nil {
						t.Fatal(err)
					}
					e := at.over(at.gap)
					h, v := e.hit(), judged[0].Notes[f][k].Verdict
					if (h.touch.at <= 1) != (v != play.Clear) {
						t.Errorf("string %d fret %d: touches from %.3f of the force, the run says %s", i+1, f, h.touch.at, v)
					}
					notes++
					buzzes := v == play.Buzzes || v == play.Chokes
					if buzzes {
						buzzing++
					}
					if (h.buzz.at <= 1) != buzzes {
						other++
					}
				}
			}
		}
	}
	if other > notes/100 || buzzing < 50 {
		t.Errorf("%d of %d notes buzz in the run, %d come out otherwise", buzzing, notes, other)
	}
}

// Gaps in another world are those of a neck that is so: crowns, action and nut moved one
// way give what the lane itself gives.
func TestNote_GapsFollow(t *testing.T) {
	n := heron(t, nil)
	r := rand.New(rand.NewPCG(2, 2))
	for trial := range 20 {
		c := r.IntN(6)
		fret := []int{0, 12, 1, r.IntN(22)}[trial%4]
		at, err := noteOf(t.Context(), &n.Cases[c], fret, 1)
		if err != nil {
			t.Fatal(err)
		}
		w := world{actionMM: 0.1 * r.NormFloat64(), nutMM: make([]float64, 6), off: make([][]float64, 6)}
		w.nutMM[c], w.off[c] = 0.05*r.NormFloat64(), uneven(r)
		moved := n.Cases[c]
		moved.Lane = moved.Lane.Standing(w.off[c])
		moved.Setup.ActionMM += w.actionMM
		if fret == 0 { // the nut bears on the open string; how it tilts the others is left out
			moved.Setup.NutMM += w.nutMM[c]
		}
		want, err := noteOf(t.Context(), &moved, fret, 1)
		if err != nil {
			t.Fatal(err)
		}
		for k, g := range at.gaps(&w, c, nil) {
			if math.Abs(g-want.gap[k]) > 1e-9 {
				t.Errorf("string %d fret %d, crown %d: %g, want %g", c+1, fret, k, g, want.gap[k])
			}
		}
	}
}

// Raising a crown step by step is the same as raising it in the lane.
func TestWeigh_SecondRoute(t *testing.T) {
	n := heron(t, nil)
	notes, answers := everyNote(t, n, 1)
	told := make([]bool, len(notes))
	for i, a := range answers {
		told[i] = a.Fret == 6 && a.String < 5 || i%17 == 0
	}
	frets := []int{1, 7, 12, 22}
	w := &weighing{cases: n.Cases, notes: notes, frets: frets, told: [][]bool{told}, worlds: 4, seed: 3}
	e := newEvaluation(w)
	for i := range w.worlds {
		e.world(i)
		got := e.logs(told)
		in := worldOf(n.Cases, w.seed, i, w.worlds)
		for h := range got {
			fret, mm := 0, 0.0
			if h > 0 {
				fret, mm = frets[(h-1)/len(heightsMM())], heightsMM()[(h-1)%len(heightsMM())]
			}
			want := 0.0
			for k, at := range notes {
				moved := in
				moved.off = make([][]float64, len(in.off))
				moved.off[at.in] = append([]float64(nil), in.off[at.in]...)
				if fret > 0 {
					moved.off[at.in][fret-1] += mm
				}
				as := at.over(at.gaps(&moved, at.in, nil))
				p := as.hit().chance(in.touch)
				if !told[k] {
					p = 1 - p
				}
				want += math.Log(p)
			}
			if math.Abs(got[h]-want) > 1e-9 {
				t.Errorf("world %d, fret %d by %g mm: %g, want %g", i, fret, mm, got[h], want)
			}
		}
	}
}
