package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/straight"
	"ringtrue/internal/trial"
)

// filed is what came of a neck that was filed by its moves, read again, and filed
// again where it was not level.
type filed struct {
	seed     uint64
	metal    bool    // the answer takes metal off
	moves    bool    // by moves
	next     bool    // the next reading calls it level
	one, two bool    // level after one round and after two at most, read on where in doubt
	wrong    bool    // called level and is not
	low      bool    // a crown ended under least_crown
	takenMM  float64 // in all rounds
	planned  float64 // by the answers that were carried out
	crowns   bool    // crown by crown, each to its number: the next reading calls it level
	crownsMM float64
	firstMM  float64 // planned by the first answer
	chance   float64 // that the answer gave the moves
	why      string  // where it is not level
}

// readings after filing: passes of a beam, and its uncertainty, mm. A machine's
// touches are surer.
const (
	passesAfter = 2
	uAfter      = 0.005
	uProbe      = 0.0015
	readOn      = 2 // so often more is read where a neck is in doubt
)

// bench is a neck on the bench.
type bench struct {
	n *trial.Neck
	r *rand.Rand
	q answer.FretsRequest
	z [][]float64 // its crowns now
	u float64
}

// byHands has a neck filed by hands that know its moves alone, twice at most.
func byHands(n *trial.Neck) (filed, error) {
	b := bench{n: n, r: rand.New(rand.NewPCG(n.Seed, 17)), z: n.Truth.Crowns(), u: uAfter,
		q: answer.FretsRequest{Model: n.Model, Layout: n.Layout, Readings: n.Readings, Moves: true}}
	if n.Class == "probe" {
		b.u = uProbe
	}
	out := filed{seed: n.Seed}
	a, err := answer.Frets(context.Background(), b.q)
	if err != nil || a.Work == nil || len(a.Work.Crowns) == 0 {
		return out, err
	}
	w := a.Work
	out.metal, out.moves, out.chance, out.firstMM = true, len(w.Moves) > 0, w.Arrives, w.TotalRemoveMM
	if err := n.Truth.Press(b.z, firstOf(w)); err != nil {
		return out, err
	}
	if err := b.crownByCrown(w, &out); err != nil {
		return out, err
	}
	for round := 1; round <= 2 && w != nil && len(w.Moves) > 0 && !out.two; round++ {
		if w, err = b.round(round, w, &out); err != nil {
			return out, err
		}
	}
	for k := range b.z {
		for i := range b.z[k] {
			out.low = out.low || n.Model.Wire.CrownHeight-(n.Truth.Z[k][i]-b.z[k][i]) < n.Model.Level.LeastCrown
		}
	}
	return out, nil
}

// round files by moves and reads again. It returns the work that is left.
func (b *bench) round(round int, w *answer.Work, out *filed) (*answer.Work, error) {
	if round > 1 {
		if err := b.n.Truth.Press(b.z, firstOf(w)); err != nil {
			return nil, err
		}
	}
	pressed := total(b.z)
	b.n.TakeOff(b.z, w.Moves, b.n.UsualHands(), b.r)
	out.takenMM, out.planned = out.takenMM+pressed-total(b.z), out.planned+w.TotalRemoveMM
	var a *answer.FretsAnswer
	b.q.After = nil
	for more := 0; more <= readOn && (a == nil || a.Verdict == string(straight.InDoubt)); more++ {
		again := b.n.Beamed(b.z, passesAfter, b.u, b.r)
		for i := range again {
			again[i].Pass += fmt.Sprint(more)
		}
		b.q.After = append(slices.Clone(b.q.After), again...)
		whole, err := answer.Frets(context.Background(), b.q)
		if err != nil {
			return nil, err
		}
		a = &whole.After.FretsAnswer
		if round == 1 && more == 0 {
			out.next = a.Verdict == string(straight.Level)
		}
	}
	b.q.Readings = b.q.After
	if a.Verdict != string(straight.Level) {
		out.why += fmt.Sprintf("round %d: %s; ", round, a.Verdict)
		if a.Work == nil && a.Verdict == string(straight.InDoubt) {
			return b.askedFor()
		}
		return a.Work, nil
	}
	truly, err := b.n.Level(b.z)
	out.one, out.two, out.wrong = round == 1, true, !truly
	return nil, err
}

// askedFor is the work to half the limit, for a neck that stays in doubt: who asks
// for a zone means to file.
func (b *bench) askedFor() (*answer.Work, error) {
	b.q.After, b.q.PlanToMM = nil, b.n.Model.Level.Zone/2
	a, err := answer.Frets(context.Background(), b.q)
	if err != nil {
		return nil, err
	}
	return a.Work, nil
}

// Of a hand that files each crown to its number: so much it errs by itself, and in
// parts of what comes off. From memory.
const (
	crownHandMM = 0.002
	crownHand   = 0.1
)

// crownByCrown files each crown to its number.
func (b *bench) crownByCrown(w *answer.Work, out *filed) error {
	z, q := make([][]float64, len(b.z)), b.q
	for k := range z {
		z[k] = slices.Clone(b.z[k])
		for _, c := range w.Crowns {
			if c.Lane == b.n.Truth.Lanes[k] {
				off := max(0, c.RemoveMM+math.Hypot(crownHandMM, crownHand*c.RemoveMM)*b.r.NormFloat64())
				z[k][c.Fret-b.n.Truth.Frets[0]] -= off
				out.crownsMM += off
			}
		}
	}
	q.After, q.Moves = b.n.Beamed(z, passesAfter, b.u, b.r), false
	a, err := answer.Frets(context.Background(), q)
	if err == nil {
		out.crowns = a.After.Verdict == string(straight.Level)
	}
	return err
}

func firstOf(w *answer.Work) (frets []int) {
	for _, f := range w.First {
		frets = append(frets, f.Fret)
	}
	return frets
}

func total(z [][]float64) (sum float64) {
	for _, l := range z {
		for _, v := range l {
			sum += v
		}
	}
	return sum
}
