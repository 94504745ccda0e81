package heights

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// Estimate is what the readings say of a neck's crowns.
type Estimate struct {
	Lanes        []Lane // ascending; only those with three or more determined crowns
	Misreads     []Misread
	Dents        []Dent
	Undetermined []Undetermined
	Frets        []Fret      // ascending; what is believed of each fret as a whole
	Passes       []PassFault // passes that are wrong as a whole
	Warnings     []string

	obs   []observation
	joint *mat.SymDense // of all crowns, lane by lane, mm²
}

// Lane is one lane's determined crowns, in order of fret.
type Lane struct {
	Lane  float64
	Frets []int
	X     []float64 // along the lane from its nut line, mm
	Z     []float64 // height in the free datum: zero mean, zero slope, mm
	// Cov is the covariance of Z's errors in the free datum, mm².
	Cov *mat.SymDense
	// Read tells the crowns that a reading touches which was not set aside; the
	// others stand on their neighbours across the fret alone.
	Read []bool
	// Readings counts each crown's readings that were not set aside.
	Readings []int
	// Aside tells the crowns all of whose readings were set aside.
	Aside []bool
	// Groove and Burr are the chances that a crown stands in a groove worn or
	// dented into its fret, or on a burr; nil where nothing tells.
	Groove, Burr []float64
	// Curve is the height of the fret's own curve there, free of grooves and
	// burrs, in the datum of Z, mm; nil where it is Z.
	Curve []float64
	// Parts are each crown's explanations; nil where there is only one, Z with
	// the variance of Cov.
	Parts [][]Part
	from  int
}

// Misread is a reading that does not agree with the others. It has no part in
// the estimate.
type Misread struct {
	Reading             int // place in Input.Readings
	Fret                int
	Lane                float64
	ValueMM, ExpectedMM float64 // as read; as the others say
	Why                 string
}

// Dent is a crown that truly stands off its fret's curve.
type Dent struct {
	Fret  int
	Lane  float64
	OffMM float64 // from the curve, a burr positive
	UMM   float64
}

// The share of the intended surface in the crowns is 1 on a true board; the
// readings may say otherwise, the prior is 1 ± 2.
const (
	coneShare = 1.0
	coneRidge = 1 / (2.0 * 2.0)
)

var errSingular = errors.New("the readings do not determine the crowns")

// maxRestarts bounds how often the whole is begun again, because a gauge
// scatters more than it states.
const maxRestarts = 6

// From estimates every crown from the readings. It never guesses: what is not
// determined is listed. The error is of the arithmetic alone.
//
// Cost: linear in frets where each reading takes one crown; else of the order of
// the cube of the number of crowns.
func From(in Input) (*Estimate, error) { return FromContext(context.Background(), in) }

// FromContext is From that ends early, with ctx's error, where ctx is done: it is
// looked at before each round over the frets, some hundred times a second.
func FromContext(ctx context.Context, in Input) (*Estimate, error) {
	in.ctx = ctx
	obs, few, bad := observations(in)
	e := &Estimate{Misreads: bad}
	scale := map[reading.Method]float64{}
	for range maxRestarts {
		if err := in.done(); err != nil {
			return nil, err
		}
		c, kept, undetermined := determined(in, obs)
		e.Undetermined = mergeUndetermined(few, undetermined, unread(in.Layout, c))
		e.obs = kept
		if len(c.list) == 0 {
			return e, nil
		}
		a, n, err := solve(in, c, scaled(kept, scale))
		if err != nil {
			return nil, err
		}
		if grew(kept, a, scale) {
			continue // the readings scatter more than they state: begin again
		}
		again, err := e.passes(in, c, &obs, n, a, scale)
		if err != nil {
			return nil, err
		}
		if again {
			continue // what is wrong with whole passes was set right
		}
		e.fill(in, c, a)
		e.warnScatter(scale)
		return e, nil
	}
	return nil, fmt.Errorf("the readings contradict each other: %w", errSingular)
}

// passes names passes that are wrong as a whole, sets right in obs what can be,
// and reports whether it did.
func (e *Estimate) passes(in Input, c *crowns, obs *[]observation, n *net, a *answer, scale map[reading.Method]float64) (bool, error) {
	if n == nil || len(e.Passes) > 0 {
		return false, nil
	}
	faults, err := passFaults(in, c, scaled(e.obs, scale), n, a)
	if err != nil || len(faults) == 0 {
		return false, err
	}
	again := false
	for _, o := range e.obs {
		s, known := faults[o.pass]
		if !known || slices.ContainsFunc(e.Passes, func(p PassFault) bool {
			return p.Lane == o.lane && p.Pass == o.pass.pass && p.Method == string(o.method)
		}) {
			continue
		}
		e.Passes = append(e.Passes, PassFault{
			Method: string(o.method), Lane: o.lane, Pass: o.pass.pass, Finding: s.finding,
			FromFret: s.fret, StepMM: s.step / micro, Sure: s.odds >= sureFault,
		})
		again = again || s.odds >= sureFault
	}
	if again {
		*obs = mended(in, *obs, faults)
	}
	return again, nil
}

// solve takes the way that the readings allow; the net is nil where they chain
// crowns.
func solve(in Input, c *crowns, obs []observation) (*answer, *net, error) {
	for _, o := range obs {
		if len(o.frets) > 1 || o.bound != exact {
			a, err := chained(in, c, obs)
			return a, nil, err
		}
	}
	return mixtureOf(in, c, obs)
}

// scaled are the observations with each method's uncertainty raised.
func scaled(obs []observation, scale map[reading.Method]float64) []observation {
	out := append([]observation{}, obs...)
	for i := range out {
		if f, known := scale[out[i].method]; known {
			out[i].u *= f
		}
	}
	return out
}

// determined gathers the crowns that the readings determine and the
// observations that bear on them alone.
func determined(in Input, obs []observation) (*crowns, []observation, []Undetermined) {
	kept := append([]observation{}, obs...)
	c := collect(in, obs)
	ok, undetermined := sortLanes(c, kept)
	c.keep(ok)
	for _, u := range undetermined { // they are named here, not as unread
		c.index[place{u.Fret, u.Lane}] = -1
	}
	out := kept[:0]
	for _, o := range kept {
		if bears(c, o) {
			out = append(out, o)
		}
	}
	return c, dropBare(out), undetermined
}

// bears reports whether every crown of an observation is determined.
func bears(c *crowns, o observation) bool {
	for _, f := range o.frets {
		if i, known := c.index[place{f, o.lane}]; !known || i < 0 {
			return false
		}
	}
	return true
}

// dropBare drops the passes over fewer than three crowns: they tell nothing.
func dropBare(obs []observation) []observation {
	frets := map[passKey]map[int]bool{}
	for _, o := range obs {
		if o.pass == (passKey{}) {
			continue
		}
		if frets[o.pass] == nil {
			frets[o.pass] = map[int]bool{}
		}
		frets[o.pass][o.frets[0]] = true
	}
	out := obs[:0]
	for _, o := range obs {
		if o.pass == (passKey{}) || len(frets[o.pass]) >= 3 {
			out = append(out, o)
		}
	}
	return out
}

// Scatter of a method's readings against what they state: with fewer readings
// than enough it is not judged; below much it is let be.
const (
	scatterEnough = 24
	scatterMuch   = 1.6
	// What was set aside first cut the tails off, so a scatter once found is
	// followed until it is met to this factor.
	scatterMore = 1.1
	// halfNormalMedian is the median of |N(0,1)|.
	halfNormalMedian = 0.6744897501960817
)

// grew compares each method's residuals with the uncertainty they state and
// raises scale where they scatter far more. It reports whether any was raised.
func grew(obs []observation, a *answer, scale map[reading.Method]float64) (grown bool) {
	byMethod := map[reading.Method][]float64{}
	for i, w := range a.normalised {
		if !math.IsNaN(w) {
			byMethod[obs[i].method] = append(byMethod[obs[i].method], math.Abs(w))
		}
	}
	for m, w := range byMethod {
		if len(w) < scatterEnough {
			continue
		}
		f, much := num.Median(w)/halfNormalMedian, scatterMuch
		if scale[m] > 0 {
			much = scatterMore
		}
		if f > much {
			scale[m] = f * max(scale[m], 1)
			grown = true
		}
	}
	return grown
}

func (e *Estimate) warnScatter(scale map[reading.Method]float64) {
	for _, m := range reading.OfCrowns() {
		if f, known := scale[m]; known {
			e.Warnings = append(e.Warnings, fmt.Sprintf(
				"the %s readings scatter %.1f times more than their stated uncertainty, so a larger one was used", m, f))
		}
	}
}

// mergeUndetermined joins the lists, each crown once, by lane and fret.
func mergeUndetermined(lists ...[]Undetermined) []Undetermined {
	seen := map[place]bool{}
	var out []Undetermined
	for _, l := range lists {
		for _, u := range l {
			if p := (place{u.Fret, u.Lane}); !seen[p] {
				seen[p] = true
				out = append(out, u)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Lane != out[j].Lane {
			return out[i].Lane < out[j].Lane
		}
		return out[i].Fret < out[j].Fret
	})
	return out
}
