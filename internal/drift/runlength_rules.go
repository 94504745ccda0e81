package drift

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrNoChain: a rule looks at how values rise and fall, which zones alone do
// not tell; SimulatedRunLength serves.
var ErrNoChain = errors.New("a rule of rising and falling values has no exact run length")

// memory is all that the rules need to know of the points so far.
type memory struct {
	up2, down2   uint8 // which of the last 2 points lay beyond 2 sigma, a bit each
	up1, down1   uint8 // which of the last 4 lay beyond 1 sigma
	side         int8  // how many in a row on one side, with its sign
	inside       int8  // how many in a row within 1 sigma
	outside      int8  // how many in a row beyond 1 sigma, on whatever side
	outsideAlike int8  // how many of those at the end lie on one side
}

// place is a zone taken apart: how far out, and on which side.
type place struct {
	size     int // 0 the centre, 1 within 1 sigma, ... 4 beyond 3
	up, down bool
}

// side is 1 above the centre and −1 below it.
func (p place) side() int8 {
	if p.down {
		return -1
	}
	return 1
}

// after returns what is remembered once a point in the given zone has been
// added, and whether one of the rules signals at it. Histories are kept only
// as long as the rules in force need.
func (m memory) after(zone int, rules []Rule) (next memory, signal bool) {
	p := place{size: max(zone, -zone), up: zone > 0, down: zone < 0}
	for _, r := range rules {
		var hit bool
		switch r {
		case Beyond3:
			hit = p.size == farthestZone
		case TwoOfThree:
			hit = p.size > 2 && (p.up && m.up2 != 0 || p.down && m.down2 != 0)
			next.up2 = push(m.up2, p.up && p.size > 2, 2)
			next.down2 = push(m.down2, p.down && p.size > 2, 2)
		case FourOfFive:
			hit = p.size > 1 && (p.up && ones(m.up1) >= 3 || p.down && ones(m.down1) >= 3)
			next.up1 = push(m.up1, p.up && p.size > 1, 4)
			next.down1 = push(m.down1, p.down && p.size > 1, 4)
		case EightOneSide:
			hit = m.oneSide(p, 8, &next)
		case NineOneSide:
			hit = m.oneSide(p, 9, &next)
		case FifteenWithin:
			hit = m.within(p, 15, &next)
		case EightBeyond:
			hit = m.beyond(p, 8, &next)
		}
		signal = signal || hit
	}
	return next, signal
}

// oneSide follows a run on one side of the centre. A point on the centre ends it.
func (m memory) oneSide(p place, most int8, next *memory) bool {
	if p.size == 0 {
		return false
	}
	alike := longer(m.side, p.side(), most)
	next.side = p.side() * alike
	return alike == most
}

// within follows a run within 1 sigma.
func (m memory) within(p place, most int8, next *memory) bool {
	if p.size > 1 {
		return false
	}
	next.inside = min(most, m.inside+1)
	return next.inside == most
}

// beyond follows a run beyond 1 sigma, and how much of its end lies on one
// side: a run all on one side does not signal.
func (m memory) beyond(p place, most int8, next *memory) bool {
	if p.size <= 1 {
		return false
	}
	alike := longer(m.outsideAlike, p.side(), most)
	next.outside = min(most, m.outside+1)
	next.outsideAlike = p.side() * alike
	return next.outside == most && alike < most
}

// longer adds a point on the given side to a run with its sign, up to most,
// and returns its length.
func longer(run, side, most int8) int8 {
	if run*side <= 0 {
		return 1
	}
	return min(most, run*side+1)
}

// push adds a bit to a history of the given length.
func push(history uint8, bit bool, length int) uint8 {
	history = history << 1 & (1<<length - 1)
	if bit {
		history |= 1
	}
	return history
}

// ones counts the bits of a history.
func ones(history uint8) (n int) {
	for ; history != 0; history &= history - 1 {
		n++
	}
	return n
}

// RunLength is how many points a chart takes on average to signal by any of
// the rules, from its start on, values being independent with the given zone
// probabilities. It is exact: the chart's memory is a Markov chain, whose mean
// time to a signal solves (I − Q)μ = 1. It is +Inf where no signal can come. A
// window counts as soon as enough of its points are in, which at the very
// start is a point or two before Signals does.
//
// ErrNoChain: a rule of rising or alternating values.
// Source: Champ & Woodall, Technometrics 29 (1987) 393; checked by
// TestRunLength_ChampWoodall.
func RunLength(rules []Rule, zones Zones) (float64, error) {
	for _, r := range rules {
		if r == SixTrend || r == FourteenUpDown {
			return 0, fmt.Errorf("%w: %s", ErrNoChain, r)
		}
	}
	to := reachable(rules, zones)
	class, count := lump(to)
	a := mat.NewDense(count, count, nil)
	for i := range count {
		a.Set(i, i, 1)
	}
	done := make([]bool, count)
	ends := false
	for s, row := range to {
		c := class[s]
		if done[c] {
			continue
		}
		done[c] = true
		for z, t := range row {
			switch {
			case zones[z] == 0:
			case t == signals:
				ends = true
			default:
				a.Set(c, class[t], a.At(c, class[t])-zones[z])
			}
		}
	}
	if !ends {
		return math.Inf(1), nil
	}
	mean := solveOnes(a)
	if mean == nil {
		return math.Inf(1), nil
	}
	return mean.AtVec(class[0]), nil
}

// meanTimes is the mean time to a signal from each of n states of a chart's
// memory, (I − Q)μ = 1, q being the chance to get from one to another; nil where
// signals are too rare to tell.
func meanTimes(n int, q func(from, to int) float64) *mat.VecDense {
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, -q(i, j))
		}
		a.Set(i, i, a.At(i, i)+1)
	}
	return solveOnes(a)
}

// solveOnes solves aμ = 1; nil where a is singular to rounding.
func solveOnes(a *mat.Dense) *mat.VecDense {
	n, _ := a.Dims()
	one := mat.NewVecDense(n, nil)
	for i := range n {
		one.SetVec(i, 1)
	}
	var mean mat.VecDense
	if err := mean.SolveVec(a, one); err != nil {
		return nil
	}
	return &mean
}

// signals stands in a transition table for the end of the run.
const signals = -1

// reachable lists, for each state that can be reached from the start (state
// 0), the state that each zone leads to. Zones that never occur lead nowhere
// of interest and are marked as a signal.
func reachable(rules []Rule, zones Zones) [][zoneCount]int {
	states := []memory{{}}
	number := map[memory]int{{}: 0}
	var to [][zoneCount]int
	for s := 0; s < len(states); s++ {
		var row [zoneCount]int
		for z := range row {
			row[z] = signals
			if zones[z] == 0 {
				continue
			}
			next, signal := states[s].after(z-farthestZone, rules)
			if signal {
				continue
			}
			n, seen := number[next]
			if !seen {
				n = len(states)
				number[next] = n
				states = append(states, next)
			}
			row[z] = n
		}
		to = append(to, row)
	}
	return to
}

// lump puts states that no future can tell apart into one class: it splits
// the classes by where each zone leads until nothing splits (Moore, 1956).
func lump(to [][zoneCount]int) (class []int, count int) {
	class = make([]int, len(to))
	count = 1
	for {
		type key struct {
			own  int
			next [zoneCount]int
		}
		number := map[key]int{}
		split := make([]int, len(to))
		for s, row := range to {
			k := key{own: class[s]}
			for z, t := range row {
				k.next[z] = signals
				if t != signals {
					k.next[z] = class[t]
				}
			}
			n, seen := number[k]
			if !seen {
				n = len(number)
				number[k] = n
			}
			split[s] = n
		}
		if len(number) == count {
			return class, count
		}
		class, count = split, len(number)
	}
}
