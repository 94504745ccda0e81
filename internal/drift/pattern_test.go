package drift

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/casetest"
)

// sixLanes is the shape of six lanes of 22 frets.
func sixLanes() *Shape {
	return &Shape{FirstFret: 1, Frets: 22, Lanes: []float64{1, 2, 3, 4, 5, 6}, StepMM: 1e-4}
}

// noisyNecks are necks whose crowns scatter by 8 µm about 0.
func noisyNecks(seed uint64, n int) []Neck {
	rng := rand.New(rand.NewPCG(seed, 31))
	s := sixLanes()
	necks := make([]Neck, n)
	for i := range necks {
		k := Neck{Shape: s, Steps: make([]int16, 132), Label: fmt.Sprintf("%04d", i+1), Date: time.Date(2024, 1, 1+i, 0, 0, 0, 0, time.UTC)}
		for c := range k.Steps {
			k.Steps[c] = int16(math.Round(80 * rng.NormFloat64()))
		}
		necks[i] = k
	}
	return necks
}

func patternOf(t testing.TB, necks []Neck) Pattern {
	t.Helper()
	p, err := PatternOf(context.Background(), Necks(necks), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Where there is nothing, one table in twenty names a crown, and one in twenty
// a fret.
func TestPatternOf_FalseNames(t *testing.T) {
	trials := 1200
	if testing.Short() {
		trials = 300
	}
	var crowns, frets, steps int
	for seed := range trials {
		p := patternOf(t, noisyNecks(uint64(seed), 25))
		for _, c := range p.Crowns {
			if c.Standing.Off() {
				crowns++
				break
			}
		}
		for _, f := range p.Frets {
			if f.Standing.Off() {
				frets++
				break
			}
		}
		for _, f := range p.Frets {
			if len(f.Shifts) > 0 {
				steps++
				break
			}
		}
	}
	four := 4 * math.Sqrt(0.05*0.95/float64(trials))
	if share := float64(steps) / float64(trials); share > 0.05+four || share < 0.01 {
		t.Errorf("%.3f of tables date a step; want at most 0.05 within %.3f, and some", share, four)
	}
	for what, n := range map[string]int{"crown": crowns, "fret": frets} {
		if share := float64(n) / float64(trials); math.Abs(share-0.05) > four {
			t.Errorf("%.3f of tables name a %s; want 0.05 within %.3f", share, what, four)
		}
	}
}

// A fret that stands 21 µm high from one neck on, with a wire lot.
func TestPatternOf_PlantedStep(t *testing.T) {
	necks := noisyNecks(7, 400)
	for i := range necks {
		necks[i].Tags = map[string]string{"wire": "lot6", "hand": fmt.Sprint(i % 2)}
		if i >= 230 {
			necks[i].Tags = map[string]string{"wire": "lot7", "hand": fmt.Sprint(i % 2)}
			for lane := range 6 {
				necks[i].Steps[lane*22+13] += 210
			}
		}
	}
	p := patternOf(t, necks)
	for _, f := range p.Frets {
		if (f.Fret == 14) != (f.Standing == High) || f.Fret != 14 && len(f.Shifts) > 1 {
			t.Errorf("fret %d: %+v", f.Fret, f)
		}
	}
	f := p.Frets[13]
	if len(f.Shifts) != 1 {
		t.Fatalf("fret 14 has %d steps", len(f.Shifts))
	}
	c := f.Shifts[0]
	if c.Earliest > 231 || c.Latest < 231 || c.Latest-c.Earliest > 4 {
		t.Errorf("the step is dated from neck %d to %d; it came at 231", c.Earliest, c.Latest)
	}
	casetest.Near(t, "step", c.After-c.Before, 0.021, 0.002)
	with := c.With
	if len(with) != 1 || with[0].Tag != "wire" || with[0].Value != "lot7" || with[0].AfterPct < 95 {
		t.Errorf("it goes with %+v; want wire lot7 alone", with)
	}
}

// Means and scatters against plain sums, on necks of different shapes with
// crowns missing; and a crown that one neck alone tells of.
func TestPatternOf_PlainSums(t *testing.T) {
	short := &Shape{FirstFret: 0, Frets: 5, Lanes: []float64{1, 3.5, 6}, StepMM: 1e-3}
	rng := rand.New(rand.NewPCG(3, 5))
	necks := noisyNecks(9, 40)
	for i := range necks {
		if i%3 == 0 {
			necks[i].Shape, necks[i].Steps = short, make([]int16, 15)
			for c := range necks[i].Steps {
				necks[i].Steps[c] = int16(rng.IntN(41) - 20)
			}
		}
		necks[i].Steps[rng.IntN(15)] = NoHeight
	}
	p := patternOf(t, necks)
	if p.Frets[0].Fret != 0 || len(p.Frets) != 23 || fmt.Sprint(p.Lanes) != "[1 2 3 3.5 4 5 6]" {
		t.Fatalf("frets from %d, %d of them, lanes %v", p.Frets[0].Fret, len(p.Frets), p.Lanes)
	}
	seen := 0
	for _, lane := range p.Lanes {
		for f := range p.Frets {
			var v []float64
			for _, n := range necks {
				for j, nl := range n.Shape.Lanes {
					at := f - n.Shape.FirstFret
					if nl == lane && at >= 0 && at < n.Shape.Frets && n.Steps[j*n.Shape.Frets+at] != NoHeight {
						v = append(v, float64(n.Steps[j*n.Shape.Frets+at])*n.Shape.StepMM)
					}
				}
			}
			var got Level // none where no neck tells of it
			for _, c := range p.Crowns {
				if c.Fret == f && c.Lane == lane {
					got = c.Level
				}
			}
			if got.N != len(v) {
				t.Fatalf("fret %d lane %g: %d necks, want %d", f, lane, got.N, len(v))
			}
			if len(v) < 2 {
				continue
			}
			seen++
			casetest.Near(t, "mean", casetest.Value(got.Mean), stat.Mean(v, nil), 1e-12)
			casetest.Near(t, "scatter", casetest.Value(got.SD), stat.StdDev(v, nil), 1e-12)
		}
	}
	if seen < 130 {
		t.Errorf("only %d crowns compared", seen)
	}
}

func TestPatternOf_Few(t *testing.T) {
	if _, err := PatternOf(context.Background(), Necks(noisyNecks(1, 2)), 0.95); err == nil {
		t.Error("two necks make no pattern")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := PatternOf(ctx, Necks(noisyNecks(1, 20)), 0.95); err == nil {
		t.Error("a cancelled pattern came to an answer")
	}
}

// The bound of chance is the same whether each place is worked out or taken
// from a neighbour.
func TestPValue_Shortcut(t *testing.T) {
	x := noise(4, 4000)
	w := make([]float64, len(x))
	for i := range w {
		w[i] = 1
	}
	s := newSplit(x, w)
	for _, c := range []float64{2.5, 4, 6, 9} {
		want := 2 * phi(-c)
		for t := minStretch; t < len(x)-minStretch; t++ {
			a, b, all := s.weight[t], s.weight[t+1], s.weight[len(x)]
			want += newCrossing(c).of(all * (b - a) / (b * (all - a)))
		}
		got := s.pValue(c, 1e9)
		if want < 1 {
			casetest.Near(t, fmt.Sprintf("chance of %g, of its value", c), got/want, 1, 1e-3)
		}
	}
}

func BenchmarkPatternOf_100k(b *testing.B) {
	necks := noisyNecks(1, 100_000)
	b.ReportAllocs()
	for b.Loop() {
		patternOf(b, necks)
	}
}
