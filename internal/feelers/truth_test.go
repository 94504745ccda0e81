package feelers

import (
	"math"
	"slices"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

const limit = 0.03

// leafSets are the sets of leaves that necks are read with here.
func leafSets() map[string][]float64 {
	return map[string][]float64{"by 5": set(0.005, 0.005, 100), "by 10": set(0.01, 0.01, 60), "by 10 from 20": set(0.02, 0.01, 60), "usual": usual()}
}

// necks are sound, faulty, hollow, and sound with relief asked for.
const (
	sound = iota
	faulty
	hollow
	relieved
	kinds
)

// neckOf is a neck of a kind: sound ones have zones of 10 to 15 µm at most.
func neckOf(t testing.TB, kind int, seed uint64) *bench {
	b := newBench(t, seed, func(m *neck.Model) {
		if kind == relieved {
			m.Level.Relief = 0.1
		}
	})
	b.press(0.004, 0.003, 0.0007)
	b.shrink(0.010 + 0.005*b.rnd.Float64())
	switch kind {
	case faulty:
		b.press(0.006, 0.006, 0.0007)
		for lane := range b.z[7] {
			b.z[7][lane] += 0.07 * (1 - b.l.Fraction(lane))
			b.z[14][lane] += 0.06
			b.z[19][lane] -= 0.045
		}
	case hollow:
		b.hollow(0.02 + 0.04*b.rnd.Float64())
	}
	return b
}

// hollow makes every lane this much deeper in the middle.
func (b *bench) hollow(depth float64) {
	for f := 1; f <= 22; f++ {
		t := float64(f-1) / 21
		for lane := range b.z[f] {
			b.z[f][lane] -= depth * 4 * t * (1 - t)
		}
	}
}

// tally counts what is said of lanes and crowns against the truth.
type tally struct {
	lanes, inside, level, notLevel, wrong int
	crowns, covered                       int
}

func (c *tally) count(b *bench) {
	e, lanes := b.judge()
	for k, l := range lanes {
		if l == nil {
			continue
		}
		h := e.Lanes[k]
		zone := b.zone(h.Lane)
		c.lanes++
		if l.Range.LeastMM <= zone && zone <= l.Range.LargestMM {
			c.inside++
		}
		if math.Abs(zone-l.Range.MiddleMM()) > 2*l.Range.UMM() {
			b.t.Errorf("lane %g: zone %v is more than 2 u off %v ± %v", h.Lane, zone, l.Range.MiddleMM(), l.Range.UMM())
		}
		switch v := l.Range.Verdict(limit); {
		case v == straight.Level && !l.Open:
			c.level++
			if zone > limit {
				c.wrong++
			}
		case v == straight.NotLevel:
			c.notLevel++
			if zone <= limit {
				c.wrong++
			}
		}
		x, z := b.lane(h.Lane)
		truth, got := slices.Clone(z), l.sets.less(h.Z)
		num.Detrend(x, truth)
		num.Detrend(h.X, got)
		if len(got) != len(truth) {
			b.t.Fatalf("lane %g: %d crowns", h.Lane, len(got))
		}
		for i := range truth {
			c.crowns++
			if math.Abs(got[i]-truth[i]) <= 2*l.U[i] {
				c.covered++
			}
		}
	}
}

// TestOf_Truth: whatever the leaves, the hand and the neck, the true zone lies
// in the stated range in every lane, no sure verdict is wrong, and nearly every
// crown lies within two of its uncertainties.
func TestOf_Truth(t *testing.T) {
	necks := uint64(20)
	if testing.Short() {
		necks = 8
	}
	for name, leaves := range leafSets() {
		for _, u := range []float64{0.001, 0.003} {
			var c tally
			for seed := range necks {
				b := neckOf(t, int(seed)%kinds, seed)
				b.edges(leaves, u)
				c.count(b)
			}
			t.Logf("leaves %s, u %g: %+v", name, u, c)
			if c.lanes != 6*int(necks) || c.inside < c.lanes {
				t.Errorf("leaves %s, u %g: zone in its range in %d of %d lanes", name, u, c.inside, c.lanes)
			}
			if c.wrong > 0 {
				t.Errorf("leaves %s, u %g: %d lanes sure and wrong", name, u, c.wrong)
			}
			if 1000*c.covered < 997*c.crowns {
				t.Errorf("leaves %s, u %g: %d of %d crowns within 2 u", name, u, c.covered, c.crowns)
			}
		}
	}
}

// TestOf_Hollow: a hollow that no leaf enters is in doubt at a limit under that
// leaf, however deep it is, and never level.
func TestOf_Hollow(t *testing.T) {
	for _, leaf := range []float64{0.03, 0.04, 0.05, 0.06} {
		for seed := range uint64(4) {
			b := newBench(t, seed)
			b.hollow((leaf - 0.002) * (0.3 + 0.7*b.rnd.Float64()))
			b.edges(set(leaf, 0.01, 20), 0.0001)
			_, lanes := b.judge()
			for _, l := range lanes {
				if v := l.Range.Verdict(limit); v != straight.InDoubt {
					t.Errorf("leaf %g, true zone %.3f: %s, %v", leaf, b.zone(1), v, l.Range)
				}
			}
		}
	}
}

// TestOf_Decides: leaves that are fine enough do decide: of sound necks nearly
// all lanes are level, of faulty ones none is anything but not level.
func TestOf_Decides(t *testing.T) {
	for _, c := range []struct {
		step, u float64
		kind    int
		level   int // of 100 lanes at least
	}{{0.01, 0.003, sound, 85}, {0.01, 0.001, sound, 98}, {0.005, 0.003, sound, 85}, {0.005, 0.001, relieved, 90},
		{0.01, 0.003, faulty, 0}, {0.005, 0.001, faulty, 0}} {
		var n tally
		for seed := range uint64(8) {
			b := neckOf(t, c.kind, 100+seed)
			b.edges(set(c.step, c.step, 100), c.u)
			n.count(b)
		}
		if 100*n.level < c.level*n.lanes || c.kind == faulty && n.notLevel < n.lanes || n.wrong > 0 {
			t.Errorf("leaves by %g, u %g, kind %d: %+v", c.step, c.u, c.kind, n)
		}
	}
}

// TestOf_OtherGauges: with a bridge, a beam or a second pass beside the leaves,
// in all lanes or in some, what is said holds, and more is said than by leaves
// alone.
func TestOf_OtherGauges(t *testing.T) {
	necks := uint64(8)
	if testing.Short() {
		necks = kinds
	}
	coarse := usual()
	fine := set(0.01, 0.01, 60)
	for name, read := range map[string]func(b *bench){
		"bridge and edge": func(b *bench) {
			for lane := 1.0; lane <= 6; lane++ {
				b.bridge(lane, 0.003)
				b.edge(lane, fine, 0.003, "")
			}
		},
		"bridge, edge in outer lanes": func(b *bench) {
			for lane := 1.0; lane <= 6; lane++ {
				b.bridge(lane, 0.003)
			}
			b.edge(1, fine, 0.003, "")
			b.edge(6, fine, 0.003, "")
		},
		"bridge, every third crown of outer lanes": func(b *bench) {
			b.edge(1, fine, 0.003, "")
			b.edge(6, fine, 0.003, "")
			b.out = slices.DeleteFunc(b.out, func(r reading.Reading) bool { return r.Frets[0]%3 != 1 })
			for lane := 1.0; lane <= 6; lane++ {
				b.bridge(lane, 0.003)
			}
		},
		"beam beside thick leaves": func(b *bench) {
			b.edges(coarse, 0.003)
			for lane := 1.0; lane <= 6; lane++ {
				b.beam(lane, 0.003)
			}
		},
		"beam in three lanes, leaves in all": func(b *bench) {
			b.edges(coarse, 0.003)
			for _, lane := range []float64{1, 3, 5} {
				b.beam(lane, 0.003)
			}
		},
		"beam in three lanes, leaves in the others": func(b *bench) {
			for lane := 1.0; lane <= 5; lane += 2 {
				b.beam(lane, 0.003)
				b.edge(lane+1, fine, 0.003, "")
			}
		},
		"two passes": func(b *bench) {
			b.edges(fine, 0.003)
			for lane := 1.0; lane <= 6; lane++ {
				b.edge(lane, fine, 0.003, "b")
			}
		},
	} {
		var c tally
		for seed := range necks {
			b := neckOf(t, int(seed)%kinds, 200+seed)
			read(b)
			c.count(b)
		}
		t.Logf("%s: %+v", name, c)
		if c.lanes == 0 || c.wrong > 0 || 100*c.inside < 93*c.lanes || 1000*c.covered < 985*c.crowns {
			t.Errorf("%s: %+v", name, c)
		}
	}
}
