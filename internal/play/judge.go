package play

import (
	"context"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
)

// Case is one string over its lane, and the touches it is to stand.
type Case struct {
	Lane    Lane
	Setup   Setup
	String  stringset.String
	Decay   stringset.Decay
	Stopped stringset.Decay // with the finger's loss; nil: as Decay
	Touches []neck.Touch
	Judge   int     // which touch cures and lowest actions are for
	Graze   float64 // share of impulse under which a contact only grazes
}

// Judged is what is said of one string.
type Judged struct {
	Rest  Rest
	Stops []Stop
	Notes [][]Note  // by stop, then touch
	Ideal Clearance // the ideal string's reach under the judging touch
	Own   Clearance // the stiff string's
	reach []reach   // of the stiff string, by stop
}

// Judge judges every note of every case. Each stop of each string is a piece of
// work of its own, shared out over the processors; the answer does not hang on
// how many there are. Errors: a crown that the setup needs is not known; a touch
// outside the string; a slack string; the work called off.
func Judge(ctx context.Context, cases []Case) ([]Judged, error) {
	out := make([]Judged, len(cases))
	type piece struct{ c, stop int }
	var pieces []piece
	for i, c := range cases {
		var err error
		if out[i], err = c.laid(); err != nil {
			return nil, err
		}
		if out[i].Ideal, err = IdealClearance(c.Lane, out[i].Stops, c.Touches[c.Judge], c.String.TensionN); err != nil {
			return nil, err
		}
		for s := range out[i].Stops {
			pieces = append(pieces, piece{i, s})
		}
	}
	return out, Each(ctx, len(pieces), nil, func(i int) error {
		p := pieces[i]
		return cases[p.c].judgeStop(ctx, &out[p.c], p.stop)
	})
}

// JudgeOne judges the notes of one stop alone and gives its index. Notes and Own
// are filled at that index, Ideal is left empty. Errors as Judge's; ErrNoCrown:
// the string cannot be stopped there.
func JudgeOne(ctx context.Context, c Case, fret int) (j Judged, i int, err error) {
	if j, err = c.laid(); err != nil {
		return Judged{}, 0, err
	}
	if i = j.StopAt(fret); i < 0 {
		return Judged{}, 0, fmt.Errorf("string %d: fret %d: %w", c.Lane.String, fret, ErrNoCrown)
	}
	if err = c.judgeStop(ctx, &j, i); err == nil {
		err = ctx.Err()
	}
	return j, i, err
}

// StopAt is the index of the stop at a fret, -1 where there is none.
func (j Judged) StopAt(fret int) int {
	return slices.IndexFunc(j.Stops, func(s Stop) bool { return s.Fret == fret })
}

// laid is the string at rest with all its stops, nothing judged.
func (c *Case) laid() (Judged, error) {
	rest, err := c.Lane.Rest(c.Setup)
	if err != nil {
		return Judged{}, fmt.Errorf("string %d: %w", c.Lane.String, err)
	}
	stops := c.Lane.Stops(c.Setup, rest)
	return Judged{Rest: rest, Stops: stops, Notes: make([][]Note, len(stops)), Own: make(Clearance, len(stops)), reach: make([]reach, len(stops))}, nil
}

// judgeStop judges the notes of one stop and writes them into their places.
func (c *Case) judgeStop(ctx context.Context, out *Judged, i int) error {
	stop := out.Stops[i]
	beyond := c.Lane.Crowns[stop.Beyond:]
	x, gaps := make([]float64, len(beyond)), make([]float64, len(beyond))
	for k, crown := range beyond {
		x[k], gaps[k] = crown.XMM-stop.XMM, stop.Gap(crown, out.Rest)
	}
	barrier, err := c.barrier(stop, x)
	if err != nil {
		return err
	}
	out.Notes[i] = make([]Note, len(c.Touches))
	for t, touch := range c.Touches {
		p, err := PluckOf(touch, c.String.TensionN, stop.LengthMM)
		if err != nil {
			return touchError(touch, c.Lane.String, stop.Fret, err)
		}
		w := newWorkpiece(barrier, p, gaps)
		if t == c.Judge {
			if out.Own[i], err = w.ownReach(ctx); err != nil {
				return err
			}
			out.reach[i] = reach{p.HeightMM, w.below, w.above, w.pressed()}
		}
		n := Note{Fret: stop.Fret, Touch: touch.Name, Verdict: Clear, NotSeen: c.Lane.unseen(stop.Fret)}
		low, own := math.Inf(1), math.Inf(1)
		for k, crown := range beyond {
			if m := gaps[k] - p.HeightMM*Reach(x[k], p.AtMM, stop.LengthMM); m < low {
				low, n.NearestFret = m, &crown.Fret
			}
			if t == c.Judge {
				own = math.Min(own, gaps[k]-out.Own[i][k])
			}
		}
		n.MarginMM, n.ClearMarginMM = num.Some(low), num.Some(own)
		if err := w.judge(ctx, c, beyond, &n); err != nil {
			return err
		}
		out.Notes[i][t] = n
	}
	return nil
}

// barrier lays the string's span over the crowns beyond a stop.
func (c *Case) barrier(stop Stop, x []float64) (*Barrier, error) {
	if len(x) == 0 {
		return nil, nil
	}
	m, err := NewModes(c.Span(stop))
	if err != nil {
		return nil, fmt.Errorf("string %d stopped at fret %d: %w", c.Lane.String, stop.Fret, err)
	}
	return NewBarrier(m, x), nil
}

// workpiece is one pluck on one barrier.
type workpiece struct {
	barrier *Barrier
	pluck   Pluck
	gaps    []float64
	unit    []float64 // modes of a triangle of 1 mm
	steps   int
	below   []float64 // the free string's reach for each mm of height, where it is known
	above   []float64
}

func newWorkpiece(b *Barrier, p Pluck, gaps []float64) *workpiece {
	w := &workpiece{barrier: b, pluck: p, gaps: gaps}
	if b != nil {
		w.unit = b.Triangle(p.AtMM)
		w.steps = int(math.Round(WindowS / b.StepS))
	}
	return w
}

// ownReach is how far the free stiff string comes down at each crown, the pluck
// taken both ways.
func (w *workpiece) ownReach(ctx context.Context) ([]float64, error) {
	if w.barrier == nil {
		return nil, nil
	}
	var err error
	w.below, w.above, err = w.barrier.Reach(ctx, w.unit, w.steps)
	clearance := make([]float64, len(w.below))
	for k := range clearance {
		clearance[k] = w.pluck.HeightMM * math.Max(w.below[k], w.above[k])
	}
	return clearance, err
}

// proved reports whether the free string is known to clear every crown, its
// reach for each mm being known.
func (w *workpiece) proved(reach []float64, h float64) bool {
	if reach == nil {
		return false
	}
	for k, r := range reach {
		if h*r-w.gaps[k] > touchMM {
			return false
		}
	}
	return true
}

// judge gives a note its verdict and what it met.
func (w *workpiece) judge(ctx context.Context, c *Case, beyond []Crown, n *Note) error {
	for _, g := range w.gaps {
		if g <= 0 {
			n.Verdict = Chokes
			return nil
		}
	}
	if w.barrier == nil {
		return nil
	}
	var worst *Met
	h, release := 0.0, Away
	try := func(reach []float64, height float64, way Way) error {
		if w.proved(reach, height) {
			return nil
		}
		met, err := w.run(ctx, height*way.sign())
		if err == nil && met.Touched() && (worst == nil || met.ImpulseNS > worst.ImpulseNS) {
			worst, h, release = met, height, way
		}
		return err
	}
	if err := try(w.below, w.pluck.HeightMM, Away); err != nil {
		return err
	}
	if err := try(w.above, w.barrier.Toward(w.unit, w.pluck.HeightMM, w.gaps), Towards); err != nil {
		return err
	}
	if worst == nil {
		return nil
	}
	n.Contact = contactOf(worst, w.barrier, beyond, h, release)
	n.Verdict = Grazes
	if n.Contact.FirstPeriodShare >= c.Graze {
		n.Verdict = Buzzes
	}
	return nil
}

// run releases the string from a triangle of a height, up positive.
func (w *workpiece) run(ctx context.Context, height float64) (*Met, error) {
	start, floor := make([]float64, len(w.unit)), make([]float64, len(w.gaps))
	for n, u := range w.unit {
		start[n] = u * height
	}
	for k, g := range w.gaps {
		floor[k] = -g
	}
	return w.barrier.Simulate(ctx, start, floor, w.steps)
}

// contactOf puts what a run met into a note's terms.
func contactOf(met *Met, b *Barrier, beyond []Crown, height float64, release Way) *Contact {
	c := &Contact{ImpulseMNS: 1e3 * met.ImpulseNS, WindowMS: 1e3 * WindowS, Release: release, TriangleMM: height}
	first, last := 0, 0
	for k, s := range met.Strikes {
		if s.Contacts == 0 {
			continue
		}
		c.Frets = append(c.Frets, beyond[k].Fret)
		if first == 0 || s.First < first {
			first, c.FirstFret = s.First, beyond[k].Fret
		}
		last = max(last, s.Last)
	}
	c.FirstMS, c.LastMS = 1e3*(float64(first)*b.StepS), 1e3*(float64(last)*b.StepS)
	c.FirstPeriodShare = met.FirstPeriodNS / (2 * b.Span.TensionN * height / b.Span.Wave())
	return c
}
