package play

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// WindowS is how long a note is followed, in s.
const WindowS = 0.1

// Verdict is what is said of a note.
type Verdict string

// The verdicts, from best to worst.
const (
	Clear  Verdict = "clear"  // no contact
	Grazes Verdict = "grazes" // contact, with little impulse
	Buzzes Verdict = "buzzes" // more of it
	Chokes Verdict = "chokes" // the resting string lies on a crown beyond its stop
)

// Case is one string over its lane, and the touches it is to stand.
type Case struct {
	Lane    Lane
	Setup   Setup
	String  stringset.String
	Decay   stringset.Decay
	Touches []neck.Touch
	Judge   int     // which touch cures and lowest actions are for
	Graze   float64 // share of impulse under which a contact only grazes
}

// Contact is what a note met.
type Contact struct {
	Frets            []int
	FirstFret        int
	FirstS, LastS    float64
	ImpulseNS        float64
	FirstPeriodShare float64 // impulse of the first period over 2Th/c
	Toward           bool    // released from a triangle towards the board
	HeightMM         float64 // of the triangle released
}

// Note is one stop under one touch.
type Note struct {
	Fret    int
	Touch   string
	Margin  Margin // against the ideal string's reach
	Verdict Verdict
	Contact *Contact // nil where nothing was met
}

// Judged is what is said of one string.
type Judged struct {
	Rest  Rest
	Stops []Stop
	Notes [][]Note // by stop, then touch
	Ideal Needs    // the ideal string's reach under the judging touch
	Own   Needs    // the stiff string's
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
		rest, err := c.Lane.Rest(c.Setup)
		if err != nil {
			return nil, fmt.Errorf("string %d: %w", c.Lane.String, err)
		}
		stops := c.Lane.Stops(c.Setup, rest)
		ideal, err := IdealNeeds(c.Lane, stops, c.Touches[c.Judge], c.String.TensionN)
		if err != nil {
			return nil, err
		}
		out[i] = Judged{Rest: rest, Stops: stops, Notes: make([][]Note, len(stops)), Ideal: ideal, Own: make(Needs, len(stops))}
		for s := range stops {
			pieces = append(pieces, piece{i, s})
		}
	}
	errs := make([]error, len(pieces))
	var next atomic.Int64
	var failed atomic.Bool
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(pieces)) {
		wait.Go(func() {
			for !failed.Load() {
				i := int(next.Add(1)) - 1
				if i >= len(pieces) {
					return
				}
				p := pieces[i]
				if errs[i] = cases[p.c].judgeStop(ctx, &out[p.c], p.stop); errs[i] != nil {
					failed.Store(true)
				}
			}
		})
	}
	wait.Wait()
	for _, err := range errs { // the first in order, whoever met it first
		if err != nil {
			return nil, err
		}
	}
	return out, ctx.Err()
}

// judgeStop judges the notes of one stop and writes them into their places.
func (c *Case) judgeStop(ctx context.Context, out *Judged, i int) error {
	stop := out.Stops[i]
	beyond := c.Lane.Crowns[stop.Beyond:]
	x, gaps := make([]float64, len(beyond)), make([]float64, len(beyond))
	for k, crown := range beyond {
		x[k], gaps[k] = crown.XMM-stop.XMM, stop.Gap(crown, out.Rest)
	}
	bed, err := c.bed(stop, x)
	if err != nil {
		return err
	}
	out.Notes[i] = make([]Note, len(c.Touches))
	for t, touch := range c.Touches {
		p, err := PluckOf(touch, c.String.TensionN, stop.LengthMM)
		if err != nil {
			return touchError(touch, c.Lane.String, stop.Fret, err)
		}
		w := newWorkpiece(bed, p, gaps)
		if t == c.Judge {
			if out.Own[i], err = w.ownReach(ctx); err != nil {
				return err
			}
		}
		n := Note{Fret: stop.Fret, Touch: touch.Name, Verdict: Clear}
		for k, crown := range beyond {
			if m := gaps[k] - p.HeightMM*Reach(x[k], p.AtMM, stop.LengthMM); !n.Margin.Any || m < n.Margin.LeastMM {
				n.Margin = Margin{LeastMM: m, Nearest: crown.Fret, Any: true}
			}
		}
		if err := w.judge(ctx, c, beyond, &n); err != nil {
			return err
		}
		out.Notes[i][t] = n
	}
	return nil
}

// bed lays the string's span over the crowns beyond a stop.
func (c *Case) bed(stop Stop, x []float64) (*Bed, error) {
	if len(x) == 0 {
		return nil, nil
	}
	m, err := NewModes(c.Span(stop))
	if err != nil {
		return nil, fmt.Errorf("string %d stopped at fret %d: %w", c.Lane.String, stop.Fret, err)
	}
	return NewBed(m, x), nil
}

// workpiece is one pluck on one bed.
type workpiece struct {
	bed   *Bed
	pluck Pluck
	gaps  []float64
	unit  []float64 // modes of a triangle of 1 mm
	steps int
	below []float64 // the free string's reach for each mm of height, where it is known
	above []float64
}

func newWorkpiece(b *Bed, p Pluck, gaps []float64) *workpiece {
	w := &workpiece{bed: b, pluck: p, gaps: gaps}
	if b != nil {
		w.unit = make([]float64, len(b.Omega))
		b.triangle(w.unit, p.AtMM)
		w.steps = int(math.Round(WindowS / b.StepS))
	}
	return w
}

// ownReach is how far the free stiff string comes down at each crown, the pluck
// taken both ways.
func (w *workpiece) ownReach(ctx context.Context) ([]float64, error) {
	if w.bed == nil {
		return nil, nil
	}
	var err error
	w.below, w.above, err = w.bed.Reach(ctx, w.unit, w.steps)
	needs := make([]float64, len(w.below))
	for k := range needs {
		needs[k] = w.pluck.HeightMM * math.Max(w.below[k], w.above[k])
	}
	return needs, err
}

// towardHeight is the height of the triangle pressed towards the board: the
// pluck's, but no deeper than the first crown it meets allows.
func (w *workpiece) towardHeight() float64 { return w.bed.Toward(w.unit, w.pluck.HeightMM, w.gaps) }

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
	if w.bed == nil {
		return nil
	}
	var worst *Met
	h, toward := 0.0, false
	try := func(reach []float64, height, way float64) error {
		if w.proved(reach, height) {
			return nil
		}
		met, err := w.run(ctx, height*way)
		if err == nil && met.Touched() && (worst == nil || met.ImpulseNS > worst.ImpulseNS) {
			worst, h, toward = met, height, way < 0
		}
		return err
	}
	if err := try(w.below, w.pluck.HeightMM, 1); err != nil {
		return err
	}
	if err := try(w.above, w.towardHeight(), -1); err != nil {
		return err
	}
	if worst == nil {
		return nil
	}
	n.Contact = contactOf(worst, w.bed, beyond, h, toward)
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
	return w.bed.Simulate(ctx, start, floor, w.steps)
}

// contactOf puts what a run met into a note's terms.
func contactOf(met *Met, b *Bed, beyond []Crown, height float64, toward bool) *Contact {
	c := &Contact{ImpulseNS: met.ImpulseNS, Toward: toward, HeightMM: height}
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
	c.FirstS, c.LastS = float64(first)*b.StepS, float64(last)*b.StepS
	c.FirstPeriodShare = met.FirstPeriodNS / (2 * b.Span.TensionN * height / b.Span.Wave())
	return c
}
