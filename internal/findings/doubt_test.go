package findings

import (
	"math"
	"slices"
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// doubtful says how many lanes of a neck have no verdict.
func (n *Neck) doubtful() (count int) {
	for _, l := range n.Lanes {
		if l.Verdict == straight.InDoubt {
			count++
		}
	}
	return count
}

// seated gives every fret a small height and tilt of its own, as good work does.
func (b *bench) seated(sdMM float64) {
	for f := 1; f <= 22; f++ {
		offset, tilt := sdMM*b.rnd.NormFloat64(), sdMM*b.rnd.NormFloat64()
		b.raise(f, func(t float64) float64 { return offset + tilt*t })
	}
}

// TestNext_Promise: over many necks in doubt, what is listed first settles as
// often as it says.
func TestNext_Promise(t *testing.T) {
	for _, c := range []struct {
		gauge reading.Method
		sdMM  float64
		seeds uint64
	}{{reading.Bridge, 0.002, 14}, {reading.Beam, 0.0065, 32}} {
		said, settled, asked := 0.0, 0, 0
		for seed := range c.seeds {
			b := newBench(t, 100+seed)
			b.seated(c.sdMM)
			b.by(c.gauge)
			n := b.judge()
			if n.doubtful() == 0 || len(n.Estimate.Misreads) > 0 {
				continue
			}
			next := n.Next(b.out, readplan.Usual())
			if len(next) == 0 || len(next) > maxChoices {
				t.Fatalf("%s, seed %d: %d lanes in doubt, next %+v", c.gauge, seed, n.doubtful(), next)
			}
			for i, x := range next {
				if !(x.Minutes > 0) || x.Passes < 1 || i > 0 && x.Settles <= next[i-1].Settles {
					t.Errorf("%s, seed %d: %+v", c.gauge, seed, next)
				}
			}
			asked++
			said += next[0].Settles
			b.take(next[0], "next")
			if b.judge().doubtful() == 0 {
				settled++
			}
		}
		if asked < 10 {
			t.Fatalf("%s: only %d necks in doubt: the case tests nothing", c.gauge, asked)
		}
		share, mean := float64(settled)/float64(asked), said/float64(asked)
		t.Logf("%s: said %.2f, settled %d of %d", c.gauge, mean, settled, asked)
		if math.Abs(share-mean) > 3*math.Sqrt(mean*(1-mean)/float64(asked))+0.05 {
			t.Errorf("%s: said %.2f, settled %d of %d", c.gauge, mean, settled, asked)
		}
	}
}

// TestNext_LongWaves: a bridge alone leaves one long wave open; what settles it
// in the fewest minutes is a straight edge along the outer lanes, not the bridge
// once more.
func TestNext_LongWaves(t *testing.T) {
	b := newBench(t, 21)
	b.by(reading.Bridge)
	n := b.judge()
	if n.doubtful() == 0 {
		t.Fatal("no lane in doubt: the case tests nothing")
	}
	x := n.Next(b.out, readplan.Usual())[0]
	if x.Method != "edge" || !slices.Equal(x.Lanes, []float64{1, 6}) || len(x.Frets) > 9 || x.Minutes > 4 || x.Settles < 0.5 {
		t.Errorf("%+v", x)
	}
	if x.For != Settle || len(x.Doubt) == 0 {
		t.Errorf("%+v says no lane", x)
	}
}

// TestNext_SameLeaves: a second pass of the same leaves reads the same again, so
// other leaves are named, or another gauge.
func TestNext_SameLeaves(t *testing.T) {
	tried := 0
	for seed := range uint64(12) {
		b := newBench(t, 40+seed)
		b.seated(0.004 + 0.0003*float64(seed))
		b.by(reading.Edge)
		for i := range b.out {
			r := &b.out[i]
			r.Value = math.Floor(r.Value*100) / 100
			noGo := r.Value + 0.01
			r.NoGo, r.UGiven = &noGo, true
		}
		n := b.judge()
		if n.doubtful() == 0 || len(n.Estimate.Misreads) > 0 {
			continue
		}
		tried++
		next := n.Next(b.out, readplan.Usual())
		if len(next) == 0 {
			t.Errorf("seed %d: nothing is listed", seed)
		}
		for _, x := range next {
			if x.Method == "edge" && x.For != FinerSteps && x.For != OtherLeaf {
				t.Errorf("seed %d: %+v", seed, x)
			}
		}
	}
	if tried == 0 {
		t.Fatal("no lane in doubt: the case tests nothing")
	}
}

// TestShop: a gauge is as sure as the middle one of its readings says.
func TestShop(t *testing.T) {
	noGo := 0.06
	s := shopOf([]reading.Reading{
		{Method: reading.Bridge, Lane: 1, U: 0.002}, {Method: reading.Bridge, Lane: 1, U: 0.003}, {Method: reading.Bridge, Lane: 1, U: 0.009},
		{Method: reading.Edge, Lane: 2, Value: 0, NoGo: &noGo, U: 0.001},
	})
	if u := s.u(reading.Bridge); u != 0.003 {
		t.Errorf("bridge: %v", u)
	}
	if u, want := s.u(reading.Edge), math.Hypot(0.06/math.Sqrt(12), 0.001); math.Abs(u-want) > 1e-12 {
		t.Errorf("edge: %v, want %v", u, want)
	}
	if u := s.u(reading.Beam); u != reading.DefaultU {
		t.Errorf("beam: %v", u)
	}
	for _, g := range s {
		if own := g.Method != reading.Beam; g.Own != own {
			t.Errorf("%s: own %v", g.Method, g.Own)
		}
		if g.Method == reading.Edge && !slices.Equal(g.Leaves, []float64{2}) {
			t.Errorf("leaves in %v", g.Leaves)
		}
	}
}
