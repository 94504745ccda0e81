package play

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

// doubtedNeck is one string of a neck, judged, and the report of it, with lanes
// as they may lie.
func doubtedNeck(t *testing.T, c Case, lanes []Lane) (*Neck, *Report) {
	t.Helper()
	n := &Neck{Cases: []Case{c}, Judged: judged(t, c), MayBe: [][]Lane{lanes}}
	j := n.Judged[0]
	s := StringReport{String: 1}
	for _, notes := range j.Notes {
		s.Notes = append(s.Notes, notes...)
	}
	for _, of := range []struct {
		to   *num.Opt
		need Clearance
	}{{&s.LowestActionMM, j.Ideal}, {&s.LowestClearActionMM, j.Own}} {
		low, err := LowestAction(c.Lane, c.Setup, of.need)
		if err != nil {
			t.Fatal(err)
		}
		*of.to = num.Some(low)
	}
	r := &Report{JudgeBy: c.Touches[c.Judge].Name, Strings: []StringReport{s}}
	r.LeastMetal = n.metal(func(j Judged) Clearance { return j.Ideal })
	r.LeastMetalClear = n.metal(func(j Judged) Clearance { return j.Own })
	if err := n.doubt(r); err != nil {
		t.Fatal(err)
	}
	return n, r
}

// noisyLanes are a case's lane with normal errors of u mm on every crown.
func noisyLanes(c Case, count int, u float64) (lanes []Lane) {
	r := rand.New(rand.NewPCG(11, 13))
	for range count {
		off := make([]float64, len(c.Lane.Crowns))
		for i, crown := range c.Lane.Crowns {
			off[i] = crown.OffMM + u*r.NormFloat64()
		}
		lanes = append(lanes, c.Lane.Standing(off))
	}
	return lanes
}

// Each draw says what judging that very neck says: every string run against its
// frets, every lowest action and every least metal worked out by itself.
func TestDoubt_AgainstFullJudgement(t *testing.T) {
	casetest.OneByOne(t)
	draws := 12
	if testing.Short() {
		draws = 3
	}
	for _, action := range []float64{1.25, 1.45} {
		c := heron(t, heronSet[1], action, scattered(2))
		lanes := noisyLanes(c, draws, 0.012)
		n, r := doubtedNeck(t, c, lanes)
		clears, allClear, margins := make([]int, len(n.Judged[0].Stops)), 0, make([]float64, len(r.Strings[0].Notes))
		low, lowClear, metal := 0.0, 0.0, 0.0
		for _, l := range lanes {
			c := c
			c.Lane = l
			j := judged(t, c)[0]
			all := true
			for i, notes := range j.Notes {
				if notes[c.Judge].Verdict == Clear {
					clears[i]++
				} else {
					all = false
				}
				for k, note := range notes {
					at := i*len(notes) + k
					d := note.MarginMM.Or(0) - r.Strings[0].Notes[at].MarginMM.Or(0)
					margins[at] += d * d / float64(draws)
				}
			}
			if all {
				allClear++
			}
			for _, of := range []struct {
				to   *float64
				need Clearance
			}{{&low, j.Ideal}, {&lowClear, j.Own}} {
				v, err := LowestAction(l, c.Setup, of.need)
				if err != nil {
					t.Fatal(err)
				}
				*of.to += v / float64(draws)
			}
			d := LeastMetal(l, j.Stops, j.Rest, j.Own).TotalMM - casetest.Value(r.LeastMetalClear.TotalRemoveMM)
			metal += d * d / float64(draws)
		}
		s := r.Strings[0]
		for i := range clears {
			if got := casetest.Value(s.At("firm")[i].ChanceClear); got != float64(clears[i])/float64(draws) {
				t.Errorf("action %g, stop %d: chance %g, clear in %d of %d necks", action, i, got, clears[i], draws)
			}
		}
		for i, note := range s.Notes {
			casetest.Near(t, "u of a margin", note.UMarginMM.Or(0), math.Sqrt(margins[i]), 1e-12)
		}
		casetest.Near(t, "chance that all are clear", casetest.Value(r.ChanceAllClear), float64(allClear)/float64(draws), 0)
		casetest.Near(t, "lowest action", casetest.Value(s.ExpectedLowestActionMM), low, 1e-12)
		casetest.Near(t, "lowest clear action", casetest.Value(s.ExpectedLowestClearActionMM), lowClear, 1e-12)
		casetest.Near(t, "u of the metal", casetest.Value(r.LeastMetalClear.UTotalMM), math.Sqrt(metal), 1e-12)
	}
}

// Draws that are all the crowns as read leave every number as it was, and no doubt.
func TestDoubt_NoneLeavesAllAsItWas(t *testing.T) {
	c := heron(t, heronSet[0], 1.3, scattered(1))
	_, r := doubtedNeck(t, c, noisyLanes(c, Draws, 0))
	s := r.Strings[0]
	if s.ExpectedLowestActionMM != s.LowestActionMM || s.ExpectedLowestClearActionMM != s.LowestClearActionMM || !s.LowestActionMM.Known() {
		t.Errorf("lowest actions moved: %+v", s)
	}
	zero := num.Some(0)
	if s.ULowestActionMM != zero || s.ULowestClearActionMM != zero || r.LeastMetal.UTotalMM != zero || r.InDoubt() != 0 {
		t.Errorf("doubt without any: %+v, %d notes", s.ULowestActionMM, r.InDoubt())
	}
	for _, n := range s.At("firm") {
		if want := map[bool]float64{true: 1}[n.Verdict == Clear]; casetest.Value(n.ChanceClear) != want || n.UMarginMM.Or(0) != 0 {
			t.Errorf("fret %d %s: chance %+v, u %+v", n.Fret, n.Verdict, n.ChanceClear, n.UMarginMM)
		}
	}
}

// The noisier the crowns, the larger every uncertainty.
func TestDoubt_GrowsWithNoise(t *testing.T) {
	c := heron(t, heronSet[2], 1.5, scattered(0))
	var before StringReport
	for _, u := range []float64{0.001, 0.003, 0.01} {
		_, r := doubtedNeck(t, c, noisyLanes(c, Draws, u))
		s := r.Strings[0]
		if s.ULowestActionMM.Or(0) <= before.ULowestActionMM.Or(0) || s.ULowestClearActionMM.Or(0) <= before.ULowestClearActionMM.Or(0) {
			t.Errorf("u %g: lowest action %+v, before %+v", u, s.ULowestActionMM, before.ULowestActionMM)
		}
		for i, n := range s.Notes {
			if before.Notes != nil && n.MarginMM.Known() && n.UMarginMM.Or(0) <= before.Notes[i].UMarginMM.Or(0) {
				t.Errorf("u %g, fret %d: %+v, before %+v", u, n.Fret, n.UMarginMM, before.Notes[i].UMarginMM)
			}
		}
		before = s
	}
}

// A verdict is in doubt where neither it nor its contrary has 95 %.
func TestDoubted(t *testing.T) {
	for _, c := range []struct {
		verdict Verdict
		chance  float64
		want    bool
	}{{Clear, 1, false}, {Clear, 0.95, false}, {Clear, 0.945, true}, {Clear, 0, true}, {Grazes, 0, false}, {Buzzes, 0.05, false}, {Chokes, 0.055, true}, {Grazes, 1, true}} {
		if got := doubted(c.verdict, c.chance); got != c.want {
			t.Errorf("%s with a chance of %g to be clear: in doubt %v", c.verdict, c.chance, got)
		}
	}
}
