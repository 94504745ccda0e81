package plausible

import (
	"math"
	"testing"
)

// Faultless readings are seldom asked of, and on no neck is one of them called
// gross. Where it happens the crown is worth a second look: each has a fret that
// is off nearby.
func TestWatch_FaultlessNecks(t *testing.T) {
	for _, c := range []struct {
		kind          string
		necks, passes int
		u             float64
		seed          uint64
		maxPerMille   float64
	}{
		{sound, 30, 1, 0.005, 72000, 0.3}, {played, 25, 2, 0.005, 52000, 0.6},
		{mixed, 30, 1, 0.005, 71000, 4}, {blind, 30, 1, 0.006, 5000, 6},
	} {
		readings, questions, gross := 0, 0, 0
		for i := range c.necks {
			s := simulate(t, c.kind, c.seed+uint64(i))
			all := s.beams(c.passes, c.u)
			readings += len(all)
			questions += len(asked(s.l, all))
			gross += len(Gross(s.l, model(), all))
		}
		share := 1000 * float64(questions) / float64(readings)
		t.Logf("%s, seeds %d…: %d questions on %d readings (%.1f ‰), %d gross", c.kind, c.seed, questions, readings, share, gross)
		if readings == 0 || share > c.maxPerMille {
			t.Errorf("%s: %.1f ‰ of faultless readings are asked of; want %g at most", c.kind, share, c.maxPerMille)
		}
		if gross > 0 {
			t.Errorf("%s: %d faultless readings are called gross", c.kind, gross)
		}
	}
}

// How many misreads are asked of at once, that is before the next reading, and
// how many others are asked of for it. At 0.25 mm and more every one is found
// before its pass ends, and is gross.
func TestWatch_MisreadsAtOnce(t *testing.T) {
	const trials = 60
	for _, c := range []struct {
		size        float64
		first       bool // in the first lane
		once, found int
		gross       int // at least, and at most where 0
		others      int // at most
	}{
		{3.35, true, 60, 60, 60, 0}, {3.35, false, 60, 60, 60, 0},
		{0.5, true, 57, 60, 60, 6}, {0.5, false, 57, 60, 60, 6},
		{0.25, true, 45, 60, 60, 6}, {0.25, false, 44, 60, 60, 4},
		{0.12, false, 39, 39, 0, 4}, {0.08, false, 34, 34, 0, 4},
	} {
		once, found, gross, others := 0, 0, 0, 0
		for i := range trials {
			s := simulate(t, sound, 90000+uint64(i))
			all := s.beams(1, 0.005)
			at := s.rnd.IntN(frets)
			if !c.first {
				at += frets * (1 + s.rnd.IntN(lanes-1))
			}
			all[at].Value += c.size * float64(1-2*s.rnd.IntN(2))
			w := New(s.l, 1.2)
			seen := map[int]bool{}
			for k, r := range all {
				w.Take(r)
				for _, o := range w.Odd() {
					// The first reading of a pass can only be asked of by the second.
					named := o.Reading == at || k == at+1 && at%frets == 0 && len(o.Either) == 1 && o.Either[0] == at
					switch {
					case named && k <= at+1 && (k == at || at%frets == 0) && !seen[at]:
						once++
						fallthrough
					case named:
						seen[at] = true
					default:
						seen[o.Reading] = true
					}
				}
			}
			if seen[at] {
				found++
				delete(seen, at)
			}
			others += len(seen)
			for _, o := range Gross(s.l, model(), all) {
				if o.Reading != at {
					t.Fatalf("%g mm at reading %d: reading %d is called gross", c.size, at, o.Reading)
				}
				gross++
			}
		}
		t.Logf("%g mm, first lane %v: %d at once, %d in all, %d gross of %d; %d others asked of", c.size, c.first, once, found, gross, trials, others)
		if once < c.once || found < c.found || gross < c.gross || c.gross == 0 && gross > 0 || others > c.others {
			t.Errorf("%g mm, first lane %v: %d at once, %d in all, %d gross, %d others; want at least %d, %d, %d and at most %d",
				c.size, c.first, once, found, gross, others, c.once, c.found, c.gross, c.others)
		}
	}
}

// 3.72 typed for 0.372 in the first lane: it is asked of at once wherever it
// stands. Of the first reading only the second can tell, and only the third
// which of the two it is; from there on it alone is asked of, never one that
// follows it.
func TestWatch_TypedTenfoldInFirstLane(t *testing.T) {
	for at := range frets {
		s := simulate(t, sound, 4)
		lane := s.beam(1, "1", 0.005)
		lane[at].Value = 10*lane[at].Value + 0.02
		w := New(s.l, 1.2)
		for k, r := range lane {
			w.Take(r)
			odd := w.Odd()
			switch {
			case k < at || k == 0:
				if len(odd) > 0 {
					t.Fatalf("at %d, reading %d: asked of %+v", at, k, odd)
				}
			case k == 1: // 0 or 1, and either may be
				if len(odd) != 1 || odd[0].Reading != 1 || len(odd[0].Either) != 1 || odd[0].Either[0] != 0 {
					t.Fatalf("at %d, reading 1: %+v; want both asked of", at, odd)
				}
			default:
				if len(odd) != 1 || odd[0].Reading != at || len(odd[0].Either) > 0 || odd[0].Moved {
					t.Fatalf("at %d, reading %d: %+v; want %d alone", at, k, odd, at)
				}
				if off := odd[0].ExpectedMM - (lane[at].Value-0.02)/10; k > 4 && (off > 0.06 || off < -0.06) {
					t.Errorf("at %d, reading %d: %.3f is expected, %.3f off", at, k, odd[0].ExpectedMM, off)
				}
			}
		}
		gross := Gross(s.l, model(), lane)
		if len(gross) != 1 || gross[0].Reading != at || gross[0].Fret != at+1 || gross[0].Lane != 1 || gross[0].ValueMM != lane[at].Value {
			t.Errorf("at %d: gross %+v", at, gross)
		}
		for k := at + 1; k < frets; k++ { // before the pass is at its end too
			if gross := Gross(s.l, model(), lane[:k+1]); k > 1 && (len(gross) != 1 || gross[0].Reading != at) {
				t.Errorf("at %d, after reading %d: gross %+v", at, k, gross)
			}
		}
	}
}

// Necks made to mislead: whatever is asked of, nothing of them is gross.
func TestGross_HardNecks(t *testing.T) {
	for name, spoil := range map[string]func(s *simulated, f, lane int) float64{
		"every crown on its own": func(s *simulated, _, _ int) float64 { return 0.03 * s.rnd.NormFloat64() },
		"worn in every lane": func(s *simulated, f, _ int) float64 {
			if f > 14 {
				return 0
			}
			return -0.12 * s.rnd.Float64()
		},
		"one lane worn all along": func(s *simulated, _, lane int) float64 {
			if lane != 2 {
				return 0
			}
			return -0.05 - 0.05*s.rnd.Float64()
		},
		"humped at the body": func(_ *simulated, f, _ int) float64 { return 0.25 * math.Exp(-float64((f-15)*(f-15))/6) },
		"rising at the end":  func(_ *simulated, f, _ int) float64 { return 0.06 * max(0, float64(f-17)) },
		"twisted": func(s *simulated, f, lane int) float64 {
			return 0.002 * s.l.LaneX(f, float64(lane)) * (float64(lane) - 3.5) / 5
		},
	} {
		questions := 0
		for i := range 15 {
			s := simulate(t, sound, 900+uint64(i))
			for f := 1; f <= frets; f++ {
				for lane := 1; lane <= lanes; lane++ {
					s.crown[f][lane] += spoil(s, f, lane)
				}
			}
			all := s.beams(1, 0.005)
			questions += len(asked(s.l, all))
			if g := Gross(s.l, model(), all); len(g) > 0 {
				t.Errorf("%s, seed %d: gross %+v", name, 900+i, g)
			}
		}
		t.Logf("%s: %d questions on 15 necks", name, questions)
	}
}
