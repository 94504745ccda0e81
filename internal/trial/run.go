package trial

import (
	"context"
	"fmt"
	"math"
	"slices"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// Judge judges a neck's readings; nil in a Plan stands for the program's own
// estimate and findings, without work.
type Judge func(n *Neck) (*findings.Neck, *Work, error)

// Plan is what to run.
type Plan struct {
	Necks int
	Seed  uint64 // of the first neck; the others follow
	Options
	Judge Judge
}

// Own is the program's own judgement.
func Own(n *Neck) (*findings.Neck, *Work, error) {
	radius := n.Model.Wire.CrownRadius
	readings, _ := reading.WithLeaves(slices.Clone(n.Readings))
	e, err := heights.From(heights.Input{Layout: n.Layout, Readings: readings, CrownRadiusMM: radius})
	if err != nil {
		return nil, nil, err
	}
	j, err := findings.Judge(n.Model, n.Layout, e, readings)
	return j, nil, err
}

// workers is how many necks are judged at the same time.
const workers = 2

// Run judges necks of a class and returns their scores, in order of seed. It
// ends early, with ctx's error, where ctx is cancelled; any other error names
// the neck.
func (c Class) Run(ctx context.Context, p Plan) ([]Score, error) {
	if p.Judge == nil {
		p.Judge = Own
	}
	if c.Slow {
		p.Necks = (p.Necks + 9) / 10
	}
	scores := make([]Score, p.Necks)
	var group errgroup.Group
	group.SetLimit(workers)
	for k := 0; k < p.Necks && ctx.Err() == nil; k++ {
		group.Go(func() (err error) {
			if scores[k], err = c.one(p.Seed+uint64(k), p); err != nil {
				return fmt.Errorf("%s, seed %d: %w", c.Name, p.Seed+uint64(k), err)
			}
			return nil
		})
	}
	err := group.Wait()
	if cancelled := ctx.Err(); cancelled != nil {
		return nil, cancelled
	}
	if err != nil {
		return nil, err
	}
	return scores, nil
}

func (c Class) one(seed uint64, p Plan) (Score, error) {
	n, err := c.Draw(seed, p.Options)
	if err != nil {
		return Score{}, err
	}
	j, work, err := p.Judge(n)
	if err != nil {
		return Score{}, err
	}
	return Of(n, j, work)
}

// Total is a class's scores taken together. Lengths in mm.
type Total struct {
	Class       Class
	Necks       int
	Error       Spread // of the estimate
	Plain       Spread // of plain averaging
	RatioMedian float64
	RatioWorst  float64
	RatioSeed   uint64 // of the worst neck
	Sum         Score  // counts of all necks, without their errors
	BlamedNecks int    // with any false finding or false work
	LevelNecks  Count  // truly level, of them called level
	LevelDoubt  int    // truly level and in doubt
	WrongNecks  int    // called level and not
	Minutes     float64
}

// Spread is how errors are spread.
type Spread struct {
	RMS, Dented, Worst float64 // Dented 0 where no crown is dented
	OverU, Within      float64 // rms of error over u; share within 1.96 u
}

// Together sums up scores of one class.
func Together(c Class, scores []Score) Total {
	t := Total{Class: c, Necks: len(scores)}
	var all Errors
	ratios := make([]float64, 0, len(scores))
	for _, s := range scores {
		all.MM, all.U, all.Dented = append(all.MM, s.MM...), append(all.U, s.U...), append(all.Dented, s.Dented...)
		all.PlainMM, all.PlainU = append(all.PlainMM, s.PlainMM...), append(all.PlainU, s.PlainU...)
		if p := rms(s.PlainMM); p > 0 {
			r := rms(s.MM) / p
			ratios = append(ratios, r)
			if r > t.RatioWorst {
				t.RatioWorst, t.RatioSeed = r, s.Seed
			}
		}
		t.Sum.plus(s)
		t.Minutes += s.Minutes / float64(len(scores))
		t.judged(s)
	}
	t.Error, t.Plain = spread(all.MM, all.U, all.Dented), spread(all.PlainMM, all.PlainU, all.Dented)
	t.RatioMedian = num.Median(ratios)
	return t
}

func spread(mm, u []float64, dented []bool) Spread {
	var v Spread
	var inDents, over []float64
	for i, e := range mm {
		v.Worst = math.Max(v.Worst, math.Abs(e))
		if dented[i] {
			inDents = append(inDents, e)
		}
		if u[i] > 0 {
			over = append(over, e/u[i])
		}
	}
	within := 0
	for _, o := range over {
		if math.Abs(o) <= 1.96 {
			within++
		}
	}
	v.RMS, v.Dented, v.OverU = rms(mm), rms(inDents), rms(over)
	if len(over) > 0 {
		v.Within = float64(within) / float64(len(over))
	}
	return v
}

func rms(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum / float64(len(v)))
}
