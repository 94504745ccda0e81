package gauge

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Pass is one set-up of a gauge by one hand: what it read, by part.
type Pass struct {
	Operator string
	Parts    []Placed
}

// Placed is a reading and its part's place along the pass.
type Placed struct {
	Part     string
	X, Value float64
}

// Stretch is passes over the same parts, such as those along one lane. Free: the gauge has
// an offset and a tilt of its own in each pass, which tell nothing of its hand.
type Stretch struct {
	Free   bool
	Passes []Pass
}

// Beside is how two hands read the same parts, as JSON has it, in the unit of the values.
type Beside struct {
	Hands [2]Scatter `json:"hands"`
	Parts int        `json:"parts"`
	// ScatterP is the chance of scatters as different as these if both hands scattered
	// alike; missing where not both read twice.
	ScatterP num.Opt `json:"scatter_p"`
	// Off is how much the second hand reads above the first on the mean, within Limits;
	// missing where each pass has an offset of its own.
	Off    num.Opt `json:"off"`
	Limits Limits  `json:"off_limits"`
	// Together is the standard deviation of one reading of either hand, told by their
	// differences: all there is where each read once.
	Together num.Opt `json:"together_sd"`
	// DifferP is the chance of differences as large as these if both hands put every
	// part at the same height, but for their scatter.
	DifferP num.Opt  `json:"differ_p"`
	Differ  []Differ `json:"differ"` // parts on which they do, all together 95 % sure
}

// Scatter is how well one hand repeats.
type Scatter struct {
	Operator string  `json:"operator"`
	Passes   int     `json:"passes"`
	SD       num.Opt `json:"repeatability_sd"` // missing where nothing was read twice
	Limits   Limits  `json:"repeatability_limits"`
	squares  float64
	df       float64
}

// Differ is a part that two hands read differently.
type Differ struct {
	Part string  `json:"part"`
	Off  float64 `json:"off"` // second hand less first
	U    float64 `json:"u"`
}

// apart is what the two hands' means of one part differ by.
type apart struct {
	part     string
	row      int // its stretch
	x, off   float64
	per      [2]float64 // one over the passes that each mean is of
	fraction float64    // of its variance that the removed line leaves
}

// minParts is how many parts of a row tell more than a pass's own offset and tilt.
const minParts = 4

// BesideOf compares two hands: how well each repeats (one-way analysis of its passes,
// chi-squared limits), whether they scatter alike (F test), how far the second reads
// above the first (t limits), and where they differ by more than both scatter (F test;
// part by part with Bonferroni's correction). From the textbooks, from memory.
//
// ErrTooFew: they have no row of four parts in common. ErrNotFinite.
func BesideOf(rows []Stretch, first, second string, confidence float64) (*Beside, error) {
	b := &Beside{Hands: [2]Scatter{{Operator: first}, {Operator: second}}, Differ: []Differ{}}
	var all []apart
	free, df := false, 0.0
	for at, r := range rows {
		list, n, err := b.row(at, r)
		if err != nil {
			return nil, err
		}
		if len(list) > 0 {
			free = free || r.Free
			all, df = append(all, list...), df+n
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%w: %s and %s have no %d parts of one row in common", ErrTooFew, first, second, minParts)
	}
	b.Parts = len(all)
	for i := range b.Hands {
		if h := &b.Hands[i]; h.df > 0 {
			sd := math.Sqrt(h.squares / h.df)
			h.SD, h.Limits = num.Some(sd), SDLimits(sd, max(1, int(h.df)), confidence)
		}
	}
	b.compare(all, free, df, confidence)
	return b, nil
}

// row takes one row apart; n is the degrees of freedom of its differences.
func (b *Beside) row(at int, r Stretch) (list []apart, n float64, err error) {
	common := r.common(b.Hands[0].Operator, b.Hands[1].Operator)
	if len(common) < minParts {
		return nil, 0, nil
	}
	lost := 0.0
	if r.Free {
		lost = 2
	}
	free := float64(len(common)) - lost
	var means [2][]float64
	var passes [2]float64
	for i := range b.Hands {
		h := &b.Hands[i]
		var values [][]float64
		for _, p := range r.Passes {
			if p.Operator != h.Operator {
				continue
			}
			v, err := p.at(common, r.Free)
			if err != nil {
				return nil, 0, err
			}
			values = append(values, v)
		}
		mean := make([]float64, len(common))
		for _, v := range values {
			for k := range v {
				mean[k] += v[k] / float64(len(values))
			}
		}
		for _, v := range values {
			for k := range v {
				h.squares += (v[k] - mean[k]) * (v[k] - mean[k])
			}
		}
		h.Passes += len(values)
		h.df += float64(len(values)-1) * free
		means[i], passes[i] = mean, float64(len(values))
	}
	x := r.places(common)
	for k, part := range common {
		list = append(list, apart{part, at, x[k], means[1][k] - means[0][k], [2]float64{1 / passes[0], 1 / passes[1]}, free / float64(len(common))})
	}
	return list, free, nil
}

// common are the parts that every pass of both hands has, in order of the first pass; none
// where not both read.
func (r Stretch) common(hands ...string) (parts []string) {
	count, seen := map[string]int{}, map[string]bool{}
	passes := 0
	for _, p := range r.Passes {
		if !slices.Contains(hands, p.Operator) {
			continue
		}
		passes, seen[p.Operator] = passes+1, true
		for _, v := range p.Parts {
			count[v.Part]++
		}
	}
	if len(seen) < 2 {
		return nil
	}
	for _, p := range r.Passes {
		if slices.Contains(hands, p.Operator) {
			for _, v := range p.Parts {
				if count[v.Part] == passes {
					parts = append(parts, v.Part)
				}
			}
			break
		}
	}
	return parts
}

// places are the parts' places, by the first pass that has them.
func (r Stretch) places(parts []string) []float64 {
	x := make([]float64, len(parts))
	for _, p := range slices.Backward(r.Passes) {
		for _, q := range p.Parts {
			if k := slices.Index(parts, q.Part); k >= 0 {
				x[k] = q.X
			}
		}
	}
	return x
}

// at are a pass's readings of some parts, less its own line where that is free.
func (p Pass) at(parts []string, free bool) ([]float64, error) {
	x, v := make([]float64, len(parts)), make([]float64, len(parts))
	for _, q := range p.Parts {
		if k := slices.Index(parts, q.Part); k >= 0 {
			x[k], v[k] = q.X, q.Value
		}
	}
	if err := checkFinite(slices.Concat(x, v)); err != nil {
		return nil, err
	}
	if !free {
		return v, nil
	}
	mid, slope, mean := line(x, v, nil)
	for k := range v {
		v[k] -= mean + slope*(x[k]-mid)
	}
	return v, nil
}

// line is the least-squares line through the places that are not out.
func line(x, v []float64, out []bool) (mid, slope, mean float64) {
	var n, sxx, sxv float64
	for k := range v {
		if out == nil || !out[k] {
			n, mid, mean = n+1, mid+x[k], mean+v[k]
		}
	}
	mid, mean = mid/max(n, 1), mean/max(n, 1)
	for k := range v {
		if out == nil || !out[k] {
			sxx, sxv = sxx+(x[k]-mid)*(x[k]-mid), sxv+(x[k]-mid)*(v[k]-mean)
		}
	}
	if sxx > 0 {
		slope = sxv / sxx
	}
	return mid, slope, mean
}

// compare holds the two hands against each other.
func (b *Beside) compare(all []apart, free bool, df, confidence float64) {
	mean := 0.0
	for _, a := range all {
		mean += a.off / float64(len(all))
	}
	if free {
		mean = 0
	} else {
		df--
	}
	squares, per := 0.0, 0.0
	for _, a := range all {
		squares += (a.off - mean) * (a.off - mean)
		per += (a.per[0] + a.per[1]) / float64(len(all))
	}
	sd := math.Sqrt(squares / df)
	b.Together = num.Some(sd / math.Sqrt(per))
	if !free {
		b.Off = num.Some(mean)
		k := distuv.StudentsT{Sigma: 1, Nu: df}.Quantile((1+confidence)/2) * sd / math.Sqrt(float64(len(all)))
		b.Limits = limitsOf(mean-k, mean+k)
	}
	s0, known0 := b.Hands[0].SD.Get()
	s1, known1 := b.Hands[1].SD.Get()
	if !known0 || !known1 || s0 == 0 || s1 == 0 {
		return
	}
	ratio := distuv.F{D1: b.Hands[1].df, D2: b.Hands[0].df}.Survival(s1 * s1 / (s0 * s0))
	b.ScatterP = num.Some(2 * math.Min(ratio, 1-ratio))
	noise := func(a apart) (variance, dof float64) {
		u0, u1 := s0*s0*a.per[0], s1*s1*a.per[1]
		v := u0 + u1
		return v, v * v / (u0*u0/b.Hands[0].df + u1*u1/b.Hands[1].df) // Welch and Satterthwaite
	}
	total, dof := 0.0, math.Inf(1)
	for _, a := range all {
		v, d := noise(a)
		total, dof = total+v/float64(len(all)), math.Min(dof, d)
	}
	b.DifferP = num.Some(distuv.F{D1: df, D2: dof}.Survival(squares / df / total))
	b.name(all, free, mean, noise, (1-confidence)/float64(2*len(all)))
}

// name finds the parts on which the hands differ for certain, the farthest first. Each
// one found no longer takes part in its stretch's line, which it would tilt.
func (b *Beside) name(all []apart, free bool, mean float64, noise func(apart) (variance, dof float64), risk float64) {
	out := make([]bool, len(all))
	for {
		off, at, most := leftOf(all, free, mean, out), -1, 1.0
		for k, a := range all {
			v, d := noise(a)
			far := math.Abs(off[k]) / (distuv.StudentsT{Sigma: 1, Nu: d}.Quantile(1-risk) * math.Sqrt(v*a.fraction))
			if !out[k] && far > most {
				at, most = k, far
			}
		}
		if at < 0 {
			break
		}
		out[at] = true
	}
	off := leftOf(all, free, mean, out)
	for k, a := range all {
		if out[k] {
			v, _ := noise(a)
			b.Differ = append(b.Differ, Differ{a.part, off[k], math.Sqrt(v * a.fraction)})
		}
	}
	slices.SortStableFunc(b.Differ, func(x, y Differ) int { return -cmp.Compare(math.Abs(x.Off), math.Abs(y.Off)) })
}

// leftOf is what the hands differ by on each part, less their mean difference or, where
// passes are free, each stretch's line through the parts that are not out.
func leftOf(all []apart, free bool, mean float64, out []bool) []float64 {
	off := make([]float64, len(all))
	for from := 0; from < len(all); {
		to := from
		var x, v []float64
		for ; to < len(all) && all[to].row == all[from].row; to++ {
			x, v = append(x, all[to].x), append(v, all[to].off)
		}
		mid, slope, level := 0.0, 0.0, mean
		if free {
			mid, slope, level = line(x, v, out[from:to])
		}
		for k := range v {
			off[from+k] = v[k] - level - slope*(x[k]-mid)
		}
		from = to
	}
	return off
}
