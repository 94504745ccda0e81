package level

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Every set of frets, every lane, every line: the slow way to the same options.
func TestOptions_AllSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(1, 3).Draw(t, "lanes")
		frets := rapid.IntRange(3, 7).Draw(t, "frets")
		lanes := make([]Lane, count)
		whole := rapid.Bool().Draw(t, "whole numbers")
		zone := .02
		if whole {
			zone = float64(rapid.IntRange(0, 3).Draw(t, "zone"))
		}
		for i := range lanes {
			l := Lane{Lane: float64(i + 1)}
			for f := range frets {
				if rapid.IntRange(0, 7).Draw(t, "read") == 0 && len(l.X) > 0 {
					continue // a fret not read in this lane
				}
				d := 1e-5 * float64(rapid.IntRange(-4000, 4000).Draw(t, "d"))
				if whole {
					d = float64(rapid.IntRange(-3, 3).Draw(t, "d"))
				}
				l.Frets, l.X, l.D = append(l.Frets, f+4), append(l.X, float64(f)), append(l.D, d)
			}
			lanes[i] = l
		}
		options, err := Options(context.Background(), lanes, zone, 3)
		if err != nil {
			t.Fatal(err)
		}
		for size, o := range options {
			want, total, highest := bestSet(lanes, zone, size)
			if math.Abs(o.Plan.TotalMM-total) > 1e-9 || math.Abs(o.Plan.MaxMM-highest) > 1e-7 {
				t.Fatalf("%d refits: %v %.9f %.9f, all sets %v %.9f %.9f",
					size, o.Refit, o.Plan.TotalMM, o.Plan.MaxMM, want, total, highest)
			}
			if len(o.Refit) != size || o.Refit == nil {
				t.Fatalf("%d refits: %v", size, o.Refit)
			}
			if !slices.Equal(o.Refit, want) && len(want) > 0 {
				t.Fatalf("%d refits: %v, all sets %v (totals %v, maxima %v)", size, o.Refit, want, total, highest)
			}
			if o.Plan.TotalMM == 0 && size != len(options)-1 {
				t.Fatalf("goes on after a total of 0 at %d refits", size)
			}
		}
		if last := options[len(options)-1]; last.Plan.TotalMM > 0 && len(options) < 4 {
			t.Fatalf("ends at %d refits with %v left", len(last.Refit), last.Plan.TotalMM)
		}
	})
}

// Larger necks: the same totals from all sets by the exact lane method.
func TestOptions_EverySetSolved(t *testing.T) {
	for k, scatter := range []float64{.008, .02, .012} {
		lanes := fretted(seeded(uint64(40+k)), 14, 5, scatter, 2)
		options, err := Options(context.Background(), lanes, .03, 3)
		if err != nil {
			t.Fatal(err)
		}
		best := [4]float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}
		var w work
		for m := range 1 << 14 {
			var set []int
			for f := range 14 {
				if m>>f&1 == 1 {
					set = append(set, f+1)
				}
			}
			if len(set) > 3 {
				continue
			}
			total := 0.0
			for _, l := range lanes {
				total += l.without(set, .03, &w).TotalMM
			}
			best[len(set)] = math.Min(best[len(set)], total)
		}
		for size, o := range options {
			if math.Abs(o.Plan.TotalMM-best[size]) > 1e-10 {
				t.Errorf("neck %d, %d refits: %.12f, all sets %.12f", k, size, o.Plan.TotalMM, best[size])
			}
		}
	}
}

// A bound must never exceed what it bounds: any set of refits on any lane.
func TestView_BoundsBelow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		l := fretted(seeded(seed), 24, 1, .015, 3)[0]
		const zone = .02
		bits := newBitLane(&l, 1)
		pick := func(name string) set {
			one, other := rapid.Uint64().Draw(t, name), rapid.Uint64().Draw(t, name)
			return set(one&other) & bits.all
		}
		base := pick("base")
		more := base | pick("more")
		var r room
		v := view{lane: bits}
		r.solve(&v, base, zone)
		total, _ := r.cost(bits, more, zone)
		if b := v.bound(more); b > total+1e-12 {
			t.Fatalf("bound %.15f above the cost %.15f", b, total)
		}
		if b := v.bound(base); math.Abs(b-v.total) > 1e-12 {
			t.Fatalf("bound %.15f at the base, cost %.15f", b, v.total)
		}
	})
}

func TestOptions_EndsAtZero(t *testing.T) {
	l := one([]float64{0, 1, 2, 3, 4}, []float64{0, 0, 1, 0, 0})
	options, err := Options(context.Background(), l, .1, 3)
	if err != nil || len(options) != 2 {
		t.Fatalf("%d options, %v", len(options), err)
	}
	if !slices.Equal(options[1].Refit, []int{3}) || options[1].Plan.TotalMM != 0 {
		t.Errorf("%+v", options[1])
	}
	if r := options[0].Plan.Lanes[0].RemoveMM; math.Abs(r[2]-.9) > 1e-12 {
		t.Errorf("removal %v", r)
	}
	level := one([]float64{0, 1, 2}, []float64{0, 0, 0})
	if options, err = Options(context.Background(), level, .1, 3); err != nil || len(options) != 1 {
		t.Errorf("a level lane: %d options, %v", len(options), err)
	}
	if options, err = Options(context.Background(), nil, .1, 3); err != nil || len(options) != 1 {
		t.Errorf("no lane: %d options, %v", len(options), err)
	}
}

// Two refits cost the same; the smaller maximum wins, then the lower fret.
func TestOptions_Ties(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5, 6}
	// Either 2 is refitted and 4 and 5 lose 1 each, or 4 … the twin bumps tie.
	l := one(x, []float64{0, 2, 0, 2, 0, 0, 0})
	options, err := Options(context.Background(), l, 0.5, 1)
	if err != nil {
		t.Fatal(err)
	}
	want, total, highest := bestSet(l, 0.5, 1)
	got := options[1]
	if !slices.Equal(got.Refit, want) || math.Abs(got.Plan.TotalMM-total) > 1e-9 || math.Abs(got.Plan.MaxMM-highest) > 1e-7 {
		t.Errorf("%v %v %v, want %v %v %v", got.Refit, got.Plan.TotalMM, got.Plan.MaxMM, want, total, highest)
	}
}

func TestOptions_LargestNeckAndCancel(t *testing.T) {
	lanes := fretted(seeded(9), 60, 18, .02, 4)
	options, err := Options(context.Background(), lanes, .03, 3)
	if err != nil || len(options) != 4 {
		t.Fatalf("%d options, %v", len(options), err)
	}
	for k := 1; k < 4; k++ {
		if options[k].Plan.TotalMM > options[k-1].Plan.TotalMM {
			t.Errorf("%d refits cost more than %d", k, k-1)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Options(ctx, lanes, .03, 3); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	far := []Lane{{Lane: 1, Frets: []int{1, 70}, X: []float64{0, 1}, D: []float64{0, 0}}}
	if _, err := Options(context.Background(), far, .03, 3); !errors.Is(err, ErrFrets) {
		t.Errorf("frets 1 and 70: %v", err)
	}
}
