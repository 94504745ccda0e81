package wear

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// Lane is a lane's crowns as the readings of one stage tell them. Errors of
// different lanes are taken as independent.
type Lane struct {
	Lane  float64
	Frets []int     // ascending
	XMM   []float64 // along the lane, from its nut line; ascending
	ZMM   []float64 // up to a straight line
	// Cov is the covariance of ZMM's errors, mm²; what it says of a straight line
	// added to the lane does not matter.
	Cov mat.Symmetric
}

// Verdict is what is said of a crown or a fret.
type Verdict string

// The verdicts on a change.
const (
	Worn      Verdict = "worn"      // lower in single lanes
	Moved     Verdict = "moved"     // the fret rose, or sank alike in every lane
	Raised    Verdict = "raised"    // higher in a single lane: dirt, a burr, a misreading
	Unchanged Verdict = "unchanged" // within noise, and within the limit
	InDoubt   Verdict = Verdict(straight.InDoubt)
)

// Options are what a comparison is asked for.
type Options struct {
	// Confidence, 0.5 to 0.9999: on a neck that did not change, no crown at all
	// is called changed with this probability.
	Confidence float64
	// LimitMM is the change that `unchanged` rules out; a whole fret has moved
	// where one of its ends did by half of it.
	LimitMM float64
	// BowEndsMM are the places along the lanes at which a bow may end (the last
	// fret, the body joint); none: no bow is taken out.
	BowEndsMM []float64
}

// Change is one crown's change from the first stage to the second, as JSON has it.
type Change struct {
	Fret    int     `json:"fret"`
	Lane    float64 `json:"lane"`
	MM      float64 `json:"change_mm"` // up positive; from the lane's line, without the common bow
	UMM     float64 `json:"u_mm"`      // standard uncertainty
	Verdict Verdict `json:"verdict"`
	bow     float64 // what the common bow does to it, off its lane's best line, mm
}

// Bow is a smooth change alike in the lanes: relief that came or went.
type Bow struct {
	MM       float64 `json:"bow_mm"` // its depth on the centre line, hollow positive
	UMM      float64 `json:"u_mm"`
	TrebleMM float64 `json:"treble_mm"` // in the first and in the last lane compared
	BassMM   float64 `json:"bass_mm"`
	EndMM    float64 `json:"-"` // where it ends, along the lanes
}

// Result is what changed.
type Result struct {
	Changes []Change // by lane and fret
	Frets   []Fret   // those that moved or are worn, lowest first
	Bow     *Bow     // nil where none is beyond noise
	// Changed reports whether the neck changed by more than the noise of the
	// readings; if not, no crown is called changed.
	Changed bool
	// InDoubt reports whether it did so by so much that it cannot be called
	// unchanged, and yet no crown of it can be called changed.
	InDoubt       bool
	CriticalValue float64 // standard uncertainties that the largest of all errors stays within
	// SeesMM is the change, spread over neighbouring crowns as wear is, that the
	// readings would show nine times in ten wherever it is; SeesFromMM and SeesToMM
	// are the same were the other stage without error.
	SeesMM, SeesFromMM, SeesToMM float64
	LargestUMM                   float64 // the largest standard uncertainty of a crown's change
	Unpaired                     []Place // crowns that only one stage tells, or lanes too short
}

// Place is a fret in a lane.
type Place struct {
	Fret int
	Lane float64
}

// Errors of Compare.
var (
	ErrNothing = errors.New("no lane has three crowns that both stages tell")
	ErrOptions = errors.New("no such comparison")
)

// minCrowns is how many crowns a lane needs: two set the line.
const minCrowns = 3

// Compare tells what changed between two sets of crowns of one neck.
//
// ErrNothing: too few crowns in common. ErrOptions: a confidence outside 0.5 to
// 0.9999, or no limit, or a number that is not finite. The lanes are left as
// they are; their order does not matter. The same lanes give the same answer:
// its draws have fixed seeds.
// Accuracy: the rate of false verdicts is shown by TestCompare_FalseAlarms.
// Cost: the cube of the frets times the lanes, and some thousand draws.
func Compare(before, after []Lane, o Options) (*Result, error) {
	if !(o.Confidence >= 0.5 && o.Confidence <= 0.9999) || !(o.LimitMM > 0) {
		return nil, fmt.Errorf("%w: confidence %g, limit %g mm", ErrOptions, o.Confidence, o.LimitMM)
	}
	n, err := pair(before, after)
	if err != nil {
		return nil, err
	}
	if len(n.lanes) == 0 {
		return nil, ErrNothing
	}
	for _, l := range n.lanes {
		if !l.inform() {
			return nil, fmt.Errorf("%w: lane %g: no uncertainty", ErrOptions, l.lane)
		}
	}
	n.layBows(o.BowEndsMM)
	r := &Result{Unpaired: n.alone}
	w := n.noise(o.Confidence)
	r.CriticalValue, r.Changed = w.guard, w.largest > w.guard
	n.sees(r)
	var b *belief
	if r.Changed {
		b = n.sample(o)
	} else {
		b = n.nothing()
	}
	called := b.call(o)
	r.Bow = n.settle(b, r.CriticalValue)
	r.Frets = n.judge(b, called, o)
	r.InDoubt = w.largest > w.far
	for _, l := range n.lanes {
		for i, f := range l.frets {
			r.InDoubt = r.InDoubt && (l.verdict[i] == Unchanged || l.verdict[i] == InDoubt)
			r.Changes = append(r.Changes, Change{f, l.lane, l.rest[i], l.shown[i], l.verdict[i], l.bent[i]})
		}
	}
	return r, nil
}

// neck is a comparison under way.
type neck struct {
	lanes  []*lane // ascending
	frets  []int   // ascending, all that some lane has
	at     [][]crownAt
	alone  []Place
	bows   []bowShape
	models [][]int // the bows that may be: which shapes each is made of
}

// crownAt is where a fret's crown stands in the neck.
type crownAt struct{ lane, at int }

// lane is the change of one lane's crowns.
type lane struct {
	lane  float64
	t     float64 // across: −0.5 in the first lane compared, 0.5 in the last
	frets []int
	x, d  []float64    // place and change, mm; the change has no line in it
	cov   []float64    // of d, m × m, mm²: both stages'
	info  []float64    // its inverse, blind to lines
	lines [2][]float64 // a constant and a slope of unit length
	roots [2][]float64 // m × rank: square roots of cov and of info, for draws of both
	rank  int
	uOne  [2][]float64 // standard uncertainties of the first and of the second stage alone
	bow   []float64    // m × len(neck.bows)

	rest    []float64 // change less line and bow
	bent    []float64 // the bow, off its best line
	err     []float64 // its standard deviation
	shown   []float64 // the uncertainty given with it
	verdict []Verdict
}

func (l *lane) m() int { return len(l.x) }

// u is the standard uncertainty of a change in the free datum.
func (l *lane) variance(i int) float64 { return l.cov[i*len(l.x)+i] }

// pair joins the crowns that both stages tell.
func pair(before, after []Lane) (*neck, error) {
	first, err := byLane(before)
	if err != nil {
		return nil, err
	}
	second, err := byLane(after)
	if err != nil {
		return nil, err
	}
	n := &neck{}
	both := maps.Clone(first)
	maps.Copy(both, second)
	for _, at := range slices.Sorted(maps.Keys(both)) {
		n.join(at, first[at], second[at])
	}
	slices.SortFunc(n.alone, func(a, b Place) int { return cmp.Or(cmp.Compare(a.Lane, b.Lane), a.Fret-b.Fret) })
	n.spread()
	n.index()
	return n, nil
}

// join pairs one lane; either stage's may be missing.
func (n *neck) join(at float64, a, b Lane) {
	var both [][2]int
	var alone []int
	for i, j := 0, 0; i < len(a.Frets) || j < len(b.Frets); {
		switch {
		case j == len(b.Frets) || i < len(a.Frets) && a.Frets[i] < b.Frets[j]:
			alone = append(alone, a.Frets[i])
			i++
		case i == len(a.Frets) || b.Frets[j] < a.Frets[i]:
			alone = append(alone, b.Frets[j])
			j++
		default:
			both = append(both, [2]int{i, j})
			i, j = i+1, j+1
		}
	}
	if len(both) < minCrowns {
		for _, k := range both {
			alone = append(alone, a.Frets[k[0]])
		}
		both = nil
	}
	for _, f := range alone {
		n.alone = append(n.alone, Place{f, at})
	}
	if both != nil {
		n.lanes = append(n.lanes, difference(a, b, both))
	}
}

// spread places the lanes across.
func (n *neck) spread() {
	if len(n.lanes) < 2 {
		return
	}
	first, last := n.lanes[0].lane, n.lanes[len(n.lanes)-1].lane
	for _, l := range n.lanes {
		l.t = (l.lane-first)/(last-first) - 0.5
	}
}

// index lists each fret's crowns.
func (n *neck) index() {
	where := map[int][]crownAt{}
	for i, l := range n.lanes {
		for k, f := range l.frets {
			if where[f] == nil {
				n.frets = append(n.frets, f)
			}
			where[f] = append(where[f], crownAt{i, k})
		}
	}
	slices.Sort(n.frets)
	for _, f := range n.frets {
		n.at = append(n.at, where[f])
	}
}

// byLane checks the lanes of a stage.
func byLane(lanes []Lane) (map[float64]Lane, error) {
	m := make(map[float64]Lane, len(lanes))
	for _, l := range lanes {
		if len(l.Frets) == 0 {
			continue
		}
		if len(l.XMM) != len(l.Frets) || len(l.ZMM) != len(l.Frets) || l.Cov == nil || l.Cov.SymmetricDim() != len(l.Frets) {
			return nil, fmt.Errorf("%w: lane %g: its columns differ in length", ErrOptions, l.Lane)
		}
		for i, f := range l.Frets {
			for _, v := range []float64{l.Lane, l.XMM[i], l.ZMM[i], l.Cov.At(i, i)} {
				if v-v != 0 {
					return nil, fmt.Errorf("%w: fret %d, lane %g: a number is not finite", ErrOptions, f, l.Lane)
				}
			}
			if i > 0 && (f <= l.Frets[i-1] || l.XMM[i] <= l.XMM[i-1]) {
				return nil, fmt.Errorf("%w: lane %g: fret %d does not follow fret %d", ErrOptions, l.Lane, f, l.Frets[i-1])
			}
		}
		m[l.Lane] = l
	}
	return m, nil
}
