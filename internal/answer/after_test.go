package answer

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/reading"
	"ringtrue/internal/trial"
)

// filedNeck is a neck with work to do: the class's first from a seed on that asks
// for the file.
func filedNeck(t testing.TB, class string, seed uint64) (*trial.Neck, FretsRequest, *FretsAnswer) {
	t.Helper()
	for ; ; seed++ {
		n, r := drawn(t, class, seed, trial.Options{})
		if a := answer(t, r); a.Work != nil && len(a.Work.Crowns) > 10 {
			return n, r, a
		}
	}
}

// stated notes the neck's state on readings.
func stated(readings []reading.Reading, state string) []reading.Reading {
	out := slices.Clone(readings)
	for i := range out {
		out[i].State = state
	}
	return out
}

// bent bows a neck: hollow by depth, mm.
func bent(n *trial.Neck, z [][]float64, depth float64) [][]float64 {
	out := make([][]float64, len(z))
	for k := range z {
		out[k] = slices.Clone(z[k])
		x := n.Truth.X[k]
		for i := range x {
			s := (x[i] - x[0]) / (x[len(x)-1] - x[0])
			out[k][i] -= 4 * depth * s * (1 - s)
		}
	}
	return out
}

// TestAfter_HandDidOtherwise: a hand that did nothing, or half of it, is not helped
// out by the readings before; crowns filed by mistake are named, and no others.
func TestAfter_HandDidOtherwise(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	const u = 0.005
	mistaken, named, others := 0, 0, 0
	for seed := range uint64(4) {
		n, r, a := filedNeck(t, "humped", 300+10*seed)
		rnd := rand.New(rand.NewPCG(seed, 23))
		for _, share := range []float64{0, 0.5} {
			w := *a.Work
			w.Crowns = slices.Clone(w.Crowns)
			for i := range w.Crowns {
				w.Crowns[i].RemoveMM *= share
			}
			z := carriedOut(n, &w, 0, rnd)
			r.After = beamed(n, z, 2, u, rnd)
			if b := answer(t, r).After; b.Verdict == "level" && !trulyLevel(t, n, z) {
				t.Errorf("seed %d: %g of the work done and called level", seed, share)
			}
		}
		z := carriedOut(n, a.Work, 0, rnd)
		wrong := map[level.Place]bool{}
		for len(wrong) < 3 {
			k, i := rnd.IntN(len(z)), rnd.IntN(len(z[0]))
			p := level.Place{Fret: n.Truth.Frets[i], Lane: n.Truth.Lanes[k]}
			planned := slices.ContainsFunc(a.Work.Crowns, func(c PlanCrown) bool { return c.Fret == p.Fret && c.Lane == p.Lane })
			if !planned && !wrong[p] && !slices.Contains(firstOf(a.Work), p.Fret) {
				wrong[p] = true
				z[k][i] -= 0.04
			}
		}
		r.After = beamed(n, z, 2, u, rnd)
		b := answer(t, r).After
		mistaken += len(wrong)
		for _, m := range b.FiledByMistake {
			if !wrong[level.Place{Fret: m.Fret, Lane: m.Lane}] {
				others++
				t.Logf("seed %d: %+v", seed, m)
				continue
			}
			named++
			if math.Abs(m.TakenMM-0.04) > 4*m.UMM {
				t.Errorf("seed %d: %+v, 0.04 mm was taken", seed, m)
			}
		}
		if b.Verdict == "level" || b.Reached {
			t.Errorf("seed %d: level with three crowns 40 µm too low", seed)
		}
	}
	if named < mistaken-1 || others > 1 {
		t.Errorf("%d of %d crowns filed by mistake are named, and %d others", named, mistaken, others)
	}
}

// errorsOver are the rms of the errors of off over what is stated, and the mean u.
func errorsOver(n *trial.Neck, a *FretsAnswer, z [][]float64) (over, u float64) {
	byLane := map[float64][]CrownAnswer{}
	for _, c := range a.Crowns {
		byLane[c.Lane] = append(byLane[c.Lane], c)
	}
	count := 0.0
	for k, lane := range n.Truth.Lanes {
		var x, e []float64
		for _, c := range byLane[lane] {
			i := c.Fret - n.Truth.Frets[0]
			x, e = append(x, n.Truth.X[k][i]), append(e, c.OffMM-(z[k][i]-n.Truth.Shape[k][i]))
		}
		a, b := stat.LinearRegression(x, e, nil, false)
		for i, c := range byLane[lane] {
			v := e[i] - a - b*x[i]
			over += v * v / (c.UMM * c.UMM)
			u += c.UMM
			count++
		}
	}
	return math.Sqrt(over / count), u / count
}

// TestAfter_EarlierReadings: with those before the answer is surer, and no less
// true; a rod that was set otherwise in between, with no state noted, does no harm.
func TestAfter_EarlierReadings(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	const u = 0.005
	for _, c := range []struct {
		name         string
		bow          float64
		before, then string
		most         float64 // of the mean u beside that of the second set alone
	}{
		{"still, noted", 0, "strung", "strung", 0.88},
		{"not noted", 0, "", "", 0.93},
		{"bowed, not noted", 0.1, "", "", 0.93},
		{"bowed, noted", -0.08, "slack", "strung", 0.93},
	} {
		sum, ratio := 0.0, 0.0
		const necks = 3
		for seed := range uint64(necks) {
			n, r, _ := filedNeck(t, "humped", 400+10*seed)
			rnd := rand.New(rand.NewPCG(seed, 29))
			r.Readings = stated(r.Readings, c.before)
			a := answer(t, r)
			z := bent(n, carriedOut(n, a.Work, 0, rnd), c.bow)
			r.After = stated(beamed(n, z, 2, u, rnd), c.then)
			b := answer(t, r).After
			alone := r
			alone.Readings, alone.After = r.After, nil
			over, mean := errorsOver(n, &b.FretsAnswer, z)
			_, meanAlone := errorsOver(n, answer(t, alone), z)
			sum += over * over
			ratio += mean / meanAlone / necks
			if b.Earlier < len(r.Readings)/2 {
				t.Errorf("%s, seed %d: only %d of %d readings before count", c.name, seed, b.Earlier, len(r.Readings))
			}
		}
		over := math.Sqrt(sum / necks)
		t.Logf("%s: errors over u %.2f, u beside alone %.2f", c.name, over, ratio)
		if over < 0.75 || over > 1.2 || ratio > c.most {
			t.Errorf("%s: errors over u %.2f, u %.2f of that of the second set alone", c.name, over, ratio)
		}
	}
}

// TestAfter_Unread: a crown that was to be filed and was not read again is not
// taken as done; one that was to be left alone still counts, but only where the
// neck is noted to be in the same state.
func TestAfter_Unread(t *testing.T) {
	n, r, a := filedNeck(t, "humped", 300)
	rnd := rand.New(rand.NewPCG(1, 31))
	z := carriedOut(n, a.Work, 0, rnd)
	planned := func(p level.Place) bool {
		return slices.ContainsFunc(a.Work.Crowns, func(c PlanCrown) bool { return c.Fret == p.Fret && c.Lane == p.Lane })
	}
	var filed, left level.Place
	for _, f := range n.Truth.Frets[3:] {
		p := level.Place{Fret: f, Lane: 2}
		switch {
		case slices.Contains(firstOf(a.Work), f):
		case planned(p):
			filed = p
		default:
			left = p
		}
	}
	for _, state := range []string{"", "strung"} {
		r.Readings = stated(r.Readings, state)
		second := stated(beamed(n, z, 2, 0.005, rnd), state)
		r.After = slices.DeleteFunc(second, func(k reading.Reading) bool {
			p := level.Place{Fret: k.Frets[0], Lane: k.Lane}
			return p == filed || p == left
		})
		b := answer(t, r).After
		open := map[level.Place]bool{}
		for _, k := range b.Undetermined {
			open[level.Place{Fret: k.Fret, Lane: k.Lane}] = true
		}
		if !open[filed] || open[left] != (state == "") || b.Reached {
			t.Errorf("state %q: %v not read again and open: %v; left alone %v and open: %v", state, filed, open[filed], left, open[left])
		}
	}
}

// TestAfter_NoWorkGiven: where nothing was to be filed, what may have come off the
// plan's crowns is unknown, and what was read of them before does not count.
func TestAfter_NoWorkGiven(t *testing.T) {
	n, r, _ := filedNeck(t, "humped", 300)
	r.Readings = slices.DeleteFunc(slices.Clone(r.Readings), func(k reading.Reading) bool { return k.Lane == 6 && k.Frets[0] == 1 })
	a := answer(t, r)
	if a.Work != nil || len(a.Plan.Crowns) == 0 {
		t.Fatalf("%+v, %d crowns in the plan", a.Work, len(a.Plan.Crowns))
	}
	rnd := rand.New(rand.NewPCG(1, 37))
	r.After = beamed(n, n.Truth.Z, 2, 0.005, rnd) // nothing was done
	b := answer(t, r).After
	if len(b.FiledByMistake) > 0 || b.Verdict == "level" || b.Earlier == 0 || b.Earlier > len(r.Readings)-2*len(a.Plan.Crowns) {
		t.Errorf("%s, %d of %d readings before count, the plan has %d crowns; %v", b.Verdict, b.Earlier, len(r.Readings), len(a.Plan.Crowns), b.FiledByMistake)
	}
	data, err := json.Marshal(answer(t, r))
	if err != nil {
		t.Fatal(err)
	}
	var back struct{ After map[string]any }
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"verdict", "lanes", "crowns", "recheck", "filed_by_mistake", "reached", "proud", "beyond"} {
		if back.After[key] == nil {
			t.Errorf("after: %s is missing or null", key)
		}
	}
}

// TestEarlier_ReadsAsNow: readings before, free of noise, come out as the same
// gauges would read the filed and bent neck, but for a pass's own set-up.
func TestEarlier_ReadsAsNow(t *testing.T) {
	const fits = 3e-4 // mm: the bow is fitted to readings of another noise
	for _, c := range []struct {
		class string
		bow   float64
		state string
	}{{"new", 0, "strung"}, {"new", 0.06, ""}, {"bridge", 0.06, ""}, {"bridge", 0, "slack"}, {"probe", 0.03, ""}, {"probe", 0, "strung"}} {
		t.Run(fmt.Sprintf("%s %q", c.class, c.state), func(t *testing.T) {
			n, r := drawn(t, c.class, 2, trial.Options{Noiseless: true, Passes: 1})
			r.Readings = stated(r.Readings, c.state)
			before, err := judged(t.Context(), r.Model, r.Layout, r.Readings)
			if err != nil {
				t.Fatal(err)
			}
			metal := level.Nothing(before.LevelLanes())
			z := bent(n, n.Truth.Z, c.bow)
			for i := range before.Lanes {
				for k := 4; k < 9; k++ {
					metal.Lanes[i].RemoveMM[k] = 0.01 * float64(k)
					z[i][k] -= 0.01 * float64(k)
				}
			}
			r.After = stated(beamed(n, z, 1, 1e-6, rand.New(rand.NewPCG(1, 1))), c.state)
			alone, err := judged(t.Context(), r.Model, r.Layout, r.After)
			if err != nil {
				t.Fatal(err)
			}
			earlier := levellingOf(&r, before, alone, &Work{}, &metal).Earlier()
			if len(earlier) < len(r.Readings)*8/10 {
				t.Fatalf("%d of %d readings are kept", len(earlier), len(r.Readings))
			}
			setups := map[reading.Setup][][2]float64{}
			for _, k := range earlier {
				at := func(f int) float64 { return z[int(k.Lane)-1][f-n.Truth.Frets[0]] }
				switch k.Method {
				case reading.Beam:
					setups[k.Setup()] = append(setups[k.Setup()], [2]float64{r.Layout.LaneX(k.Frets[0], k.Lane), k.Value - at(k.Frets[0])})
				case reading.Bridge:
					x := func(i int) float64 { return r.Layout.LaneX(k.Frets[i], k.Lane) }
					l := (x(2) - x(1)) / (x(2) - x(0))
					want := at(k.Frets[1]) - l*at(k.Frets[0]) - (1-l)*at(k.Frets[2])
					if math.Abs(k.Value-want) > fits {
						t.Fatalf("bridge at %v in lane %g: %.5f, now %.5f", k.Frets, k.Lane, k.Value, want)
					}
				}
			}
			for pass, points := range setups {
				var x, y []float64
				for _, p := range points {
					x, y = append(x, p[0]), append(y, p[1])
				}
				a, b := stat.LinearRegression(x, y, nil, false)
				for i := range x {
					if d := y[i] - a - b*x[i]; math.Abs(d) > fits {
						t.Fatalf("%+v: off by %.5f mm at %g", pass, d, x[i])
					}
				}
			}
			if c.class != "probe" {
				return
			}
			q := r // a probe's touches say what the second set says
			q.Readings = earlier
			m, err := judged(t.Context(), q.Model, q.Layout, q.Readings)
			if err != nil {
				t.Fatal(err)
			}
			probeAgrees(t, m, alone)
		})
	}
}

// probeAgrees compares steps between neighbours, which no set-up changes much.
func probeAgrees(t *testing.T, m, alone *findings.Neck) {
	t.Helper()
	steps := func(n *findings.Neck) map[level.Place]float64 {
		out := map[level.Place]float64{}
		for _, l := range n.Lanes {
			for k := 1; k+1 < len(l.Frets); k++ {
				if l.Frets[k+1] == l.Frets[k-1]+2 {
					out[level.Place{Fret: l.Frets[k], Lane: l.Lane.Lane}] = l.D[k] - (l.D[k-1]+l.D[k+1])/2
				}
			}
		}
		return out
	}
	seen, now := 0, steps(alone)
	for p, s := range steps(m) {
		if want, known := now[p]; known {
			seen++
			if math.Abs(s-want) > 0.004 {
				t.Errorf("%+v: step %.4f mm, now %.4f", p, s, want)
			}
		}
	}
	if seen < 50 {
		t.Errorf("only %d steps compared", seen)
	}
}
