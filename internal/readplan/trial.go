package readplan

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Said is what readings say of a neck: a verdict that stands for every crown of
// every lane, and where it is in doubt what to read next.
type Said struct {
	Verdict straight.Verdict
	Next    []Set
}

// Judge judges readings. It is asked for next sets only where further is set, and
// may be called by several goroutines at once.
type Judge func(r []reading.Reading, further bool) (Said, error)

// Trial tries a plan on necks drawn at random: each is read step by step, and further
// as the judge proposes, until it has its verdict.
type Trial struct {
	Lanes   []Lane
	ShapeMM [][]float64 // what each crown of each lane should stand at
	Steps   []Step
	Shop    Shop
	LimitMM float64
	Times   Times
	Judge   Judge
	Seed    uint64
	// Level is how many necks that are truly level are tried, and Others how many
	// that are not, as they come.
	Level, Others int
}

// maxDrawn is how many necks are drawn in search of level ones: where one in a
// hundred is level, there is no plan to be made for level necks.
const maxDrawn = 4000

// Tried is how a plan did, as JSON has it.
type Tried struct {
	Level     int `json:"level"`          // necks tried that are truly level
	SaidLevel int `json:"said_level"`     // of these
	ByPlan    int `json:"by_plan"`        // of these, by the plan's own steps
	SaidNot   int `json:"said_not_level"` // of the level ones
	InDoubt   int `json:"in_doubt"`       // of these, after the most readings that are asked of a neck
	Others    int `json:"not_level"`      // necks tried that are not level
	Wrong     int `json:"wrongly_level"`  // of these
	// Readings and Minutes are the mean of the level necks that were called level.
	Readings float64 `json:"-"`
	Minutes  float64 `json:"-"`
}

// maxFurther is how often further readings are asked for before a neck is left in
// doubt.
const maxFurther = 2

// outcome is one neck's.
type outcome struct {
	level    bool
	said     straight.Verdict
	byPlan   bool
	readings int
	minutes  float64
	err      error
}

// Run tries the plan. It ends early, with ctx's error, where ctx is done. Errors are
// otherwise the judge's. The same seed gives the same answer on any number of
// processors.
func (t Trial) Run(ctx context.Context) (Tried, error) {
	necks := t.drawn()
	out := make([]outcome, len(necks))
	var running errgroup.Group
	running.SetLimit(runtime.GOMAXPROCS(0))
	for k := range necks {
		if ctx.Err() != nil {
			break
		}
		running.Go(func() error {
			out[k] = t.read(necks[k], rand.New(rand.NewPCG(t.Seed+1, uint64(k))))
			return nil
		})
	}
	_ = running.Wait()
	if err := ctx.Err(); err != nil {
		return Tried{}, err
	}
	return sum(out)
}

// drawn are the necks to try.
func (t Trial) drawn() (necks [][][]float64) {
	d := t.Shop.drawer(places(len(t.Lanes)), len(t.Lanes[0].Frets))
	level, others := 0, 0
	for k := 0; k < maxDrawn && level < t.Level; k++ {
		z := d.neck(rand.New(rand.NewPCG(t.Seed, uint64(k))))
		switch {
		case t.isLevel(z):
			level++
			necks = append(necks, z)
		case others < t.Others:
			others++
			necks = append(necks, z)
		}
	}
	return necks
}

// LevelShare is the share of the shop's necks that are truly level.
func (t Trial) LevelShare() float64 {
	const draws = 400
	d := t.Shop.drawer(places(len(t.Lanes)), len(t.Lanes[0].Frets))
	level := 0
	for k := range draws {
		if t.isLevel(d.neck(rand.New(rand.NewPCG(t.Seed, uint64(k))))) {
			level++
		}
	}
	return float64(level) / draws
}

func sum(all []outcome) (Tried, error) {
	var r Tried
	var faults []error
	for _, o := range all {
		if o.err != nil {
			faults = append(faults, o.err)
		}
		switch {
		case !o.level && o.said == straight.Level:
			r.Wrong++
		case !o.level:
		case o.said == straight.Level:
			r.SaidLevel++
			r.Readings += float64(o.readings)
			r.Minutes += o.minutes
			if o.byPlan {
				r.ByPlan++
			}
		case o.said == straight.NotLevel:
			r.SaidNot++
		default:
			r.InDoubt++
		}
		if o.level {
			r.Level++
		} else {
			r.Others++
		}
	}
	if r.SaidLevel > 0 {
		r.Readings /= float64(r.SaidLevel)
		r.Minutes /= float64(r.SaidLevel)
	}
	return r, errors.Join(faults...)
}

// places are lanes across the neck, from 1 at the treble lane to −1 at the bass.
func places(lanes int) []float64 {
	t := make([]float64, lanes)
	for i := range t {
		if lanes > 1 {
			t[i] = 1 - 2*float64(i)/float64(lanes-1)
		}
	}
	return t
}

// isLevel reports whether every lane truly lies within the limit.
func (t Trial) isLevel(z [][]float64) bool {
	for l, lane := range t.Lanes {
		if q, err := straight.Zone(lane.XMM, z[l]); err != nil || q.WidthMM > t.LimitMM {
			return false
		}
	}
	return true
}

// read reads one neck until it has its verdict.
func (t Trial) read(z [][]float64, r *rand.Rand) outcome {
	o := outcome{level: t.isLevel(z), said: straight.InDoubt}
	var all []reading.Reading
	take := func(sets []Set) {
		for _, s := range sets {
			all = append(all, t.taken(s, z, r, len(all))...)
			o.minutes += s.Minutes(t.Times)
			o.readings += s.Readings()
		}
	}
	var said Said
	for i, step := range t.Steps {
		take(step.Sets)
		var err error
		if said, err = t.Judge(all, i+1 == len(t.Steps)); err != nil {
			return outcome{err: err}
		}
		if o.said = said.Verdict; o.said != straight.InDoubt {
			o.byPlan = true
			return o
		}
	}
	for k := range maxFurther {
		if len(said.Next) == 0 {
			break
		}
		take(said.Next)
		var err error
		if said, err = t.Judge(all, k+1 < maxFurther); err != nil {
			return outcome{err: err}
		}
		if o.said = said.Verdict; o.said != straight.InDoubt {
			break
		}
	}
	return o
}

// taken are the readings of a set on a neck, each off by its own error; with no
// neck those of a perfect one.
func (t Trial) taken(s Set, z [][]float64, r *rand.Rand, before int) []reading.Reading {
	const offsetMM = 1 // so that no feeler's gap is below 0
	var out []reading.Reading
	for p := range s.passes() {
		for _, lane := range s.Lanes {
			l := slices.IndexFunc(t.Lanes, func(x Lane) bool { return x.Lane == lane })
			if l < 0 {
				continue
			}
			for _, frets := range s.Places() {
				v := s.sees(t.Lanes[l], t.ShapeMM[l], frets)
				if z != nil {
					v += s.sees(t.Lanes[l], z[l], frets) + s.UMM*r.NormFloat64()
				}
				if !s.threes() {
					v += offsetMM
				}
				out = append(out, reading.Reading{Method: s.Method, Lane: lane, Frets: frets, Value: v, U: s.UMM, UGiven: true,
					Pass: fmt.Sprintf("%d-%d", before, p)})
			}
		}
	}
	return out
}

// sees is what a faultless gauge reads of some heights, but for its set-up.
func (s Set) sees(l Lane, z []float64, frets []int) float64 {
	at, x := make([]int, len(frets)), make([]float64, len(frets))
	for i, f := range frets {
		at[i] = slices.Index(l.Frets, f)
		x[i] = l.XMM[at[i]]
	}
	v := 0.0
	for i, w := range heights.Weights(s.Method, x...) {
		v += w * z[at[i]]
	}
	return v
}

// Perfect are the readings that the plan takes of a neck whose every crown stands
// where it should, without any error.
func (t Trial) Perfect() []reading.Reading {
	var out []reading.Reading
	for _, step := range t.Steps {
		for _, s := range step.Sets {
			out = append(out, t.taken(s, nil, nil, len(out))...)
		}
	}
	return out
}
