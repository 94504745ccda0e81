package heights

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// Chances from which something is said of a reading or a crown.
const (
	saidMisread = 0.5
	saidGroove  = 0.8
	saidBurr    = 0.95
	// A reading whose place another may as well take: the two contradict each
	// other, and both are to be taken again.
	eitherMisread = 0.15
	surelyMisread = 0.05 // chance of being good below which a reading is surely wrong
)

// fill puts an answer into the estimate.
func (e *Estimate) fill(in Input, c *crowns, a *answer) {
	e.joint, e.Frets = a.cov, a.frets
	read := make([]int, len(c.list))
	contrary := e.contrary(in, c, a)
	for i, o := range e.obs {
		if a.good[i] > saidMisread && o.bound == exact {
			for _, f := range o.frets {
				read[c.index[place{f, o.lane}]]++
			}
		}
		if a.good[i] < 1-saidMisread && !contrary[i] {
			e.Misreads = append(e.Misreads, misreadOf(in, o, a.expected[i]))
		}
	}
	for i, k := range c.list {
		e.addDent(c, k, a, i)
	}
	for _, span := range c.lanes {
		e.Lanes = append(e.Lanes, laneOf(c, span, a, read))
	}
}

// addDent notes a crown that surely stands off its fret's curve.
func (e *Estimate) addDent(c *crowns, k crown, a *answer, i int) {
	off := a.z[i] - a.curve[i]
	readings := e.touching(c, i)
	switch {
	case a.groove[i] >= saidGroove:
	case a.burr[i] >= saidBurr && readings >= 2:
	default:
		return
	}
	e.Dents = append(e.Dents, Dent{k.fret, k.lane, off, math.Sqrt(a.cov.At(i, i))})
}

// contrary names readings of one crown that contradict each other where the rest
// cannot tell which is wrong. It returns them.
func (e *Estimate) contrary(in Input, c *crowns, a *answer) map[int]bool {
	byCrown, named := map[int][]int{}, map[int]bool{}
	for i, o := range e.obs {
		if len(o.frets) == 1 && a.good[i] < 1-eitherMisread {
			k := c.index[place{o.frets[0], o.lane}]
			byCrown[k] = append(byCrown[k], i)
		}
	}
	for k := range c.list {
		list := byCrown[k]
		if len(list) < 2 || !a.open(list) {
			continue
		}
		for _, i := range list {
			named[i] = true
			m := misreadOf(in, e.obs[i], a.expected[i])
			m.Why = fmt.Sprintf("this and %d other reading%s of the crown differ by %s, and it isn't clear which is wrong: read them again",
				len(list)-1, plural(len(list)-1), microns(a.apart(list)))
			e.Misreads = append(e.Misreads, m)
		}
		a.aside[k] = true
	}
	return named
}

// open reports whether any of the readings may as well be the good one.
func (a *answer) open(list []int) bool {
	for _, i := range list {
		if a.good[i] < surelyMisread {
			return false
		}
	}
	return true
}

// apart is how far readings of one crown lie from each other at most, mm.
func (a *answer) apart(list []int) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range list {
		lo, hi = math.Min(lo, a.off[i]), math.Max(hi, a.off[i])
	}
	return hi - lo
}

// misreadOf names a reading that does not agree with the others; expected is what
// they say it should be, as an observation's value.
func misreadOf(in Input, o observation, expected float64) Misread {
	r := in.Readings[o.reading]
	m := Misread{Reading: o.reading, Fret: o.reportedAt(), Lane: o.lane, ValueMM: r.Value}
	off := o.value - expected
	if o.method == reading.Probe {
		m.ValueMM = r.Z
	}
	if o.bound != exact || r.Answer != reading.Number {
		m.ValueMM = o.value
	}
	m.ExpectedMM = m.ValueMM - off
	m.Why = fmt.Sprintf("is %s away from the other readings, %.0f times its uncertainty. Read it again: if it repeats, it is real",
		microns(off), math.Abs(off)/o.u)
	return m
}

func (e *Estimate) touching(c *crowns, crown int) (n int) {
	k := c.list[crown]
	for _, o := range e.obs {
		for _, f := range o.frets {
			if o.bound == exact && o.lane == k.lane && f == k.fret {
				n++
			}
		}
	}
	return n
}

func laneOf(c *crowns, span laneSpan, a *answer, read []int) Lane {
	n := span.to - span.from
	l := Lane{
		Lane: span.lane, from: span.from,
		Frets: make([]int, n), X: make([]float64, n), Z: append([]float64{}, a.z[span.from:span.to]...),
		Read: make([]bool, n), Readings: append([]int{}, read[span.from:span.to]...), Aside: append([]bool{}, a.aside[span.from:span.to]...),
		Groove: append([]float64{}, a.groove[span.from:span.to]...), Burr: append([]float64{}, a.burr[span.from:span.to]...),
		Curve: append([]float64{}, a.curve[span.from:span.to]...), Parts: append([][]Part{}, a.parts[span.from:span.to]...),
		Cov: mat.NewSymDense(n, nil),
	}
	for i := range n {
		l.Frets[i], l.X[i] = c.list[span.from+i].fret, c.list[span.from+i].x
		l.Read[i] = l.Readings[i] > 0
		for j := i; j < n; j++ {
			l.Cov.SetSym(i, j, a.cov.At(span.from+i, span.from+j))
		}
	}
	return l
}

// CovBetween is the covariance, in mm², of crown i of lane a and crown j of
// lane b (places in Lanes and in the lane).
func (e *Estimate) CovBetween(a, i, b, j int) float64 {
	return e.joint.At(e.Lanes[a].from+i, e.Lanes[b].from+j)
}

func microns(mm float64) string { return fmt.Sprintf("%.0f µm", math.Abs(mm)*1000) }

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// ProbeTop is a crown's top as a probe saw it, in the frame of its pass.
type ProbeTop struct {
	Fret  int
	Lane  float64
	TopMM float64
}

// ProbeTops are the tops that a probe saw, pass by pass, but those set aside.
func (e *Estimate) ProbeTops() [][]ProbeTop {
	aside := map[int]bool{}
	for _, m := range e.Misreads {
		aside[m.Reading] = true
	}
	at := map[string]int{}
	var out [][]ProbeTop
	for _, o := range e.obs {
		if o.method != reading.Probe || aside[o.reading] {
			continue
		}
		k, known := at[o.pass.pass]
		if !known {
			k = len(out)
			at[o.pass.pass] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], ProbeTop{o.frets[0], o.lane, o.value})
	}
	return out
}
