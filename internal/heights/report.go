package heights

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// leaveOut leaves out readings that contradict each other and cannot be told apart,
// and names each.
func (e *Estimate) leaveOut(in Input, s *system, contrary []int, leftOut map[int]bool) {
	for _, k := range contrary {
		o := s.obs[k]
		leftOut[o.reading] = true
		for i := range s.rows {
			r := &s.rows[i]
			if r.obs != k {
				continue
			}
			left := s.left(r) / math.Max(1-s.cross(r, r)/(r.u*r.u), leastRedundancy)
			m := misreadOf(in, o, left)
			m.Why = fmt.Sprintf("this and %d other reading%s contradict each other by %s and the rest cannot tell which is wrong; take them again",
				len(contrary)-1, plural(len(contrary)-1), microns(math.Abs(left)))
			e.Misreads = append(e.Misreads, m)
		}
	}
}

func misreadOf(in Input, o observation, left float64) Misread {
	v := in.Readings[o.reading].Value
	return Misread{Reading: o.reading, Fret: o.reportedAt(), Lane: o.lane, ValueMM: v, ExpectedMM: v - left}
}

// report fills the estimate from the solved system.
func (e *Estimate) report(in Input, s *system, v verdicts) {
	aside := map[int]bool{}
	for _, a := range v.found {
		switch a.kind {
		case misread:
			o := s.obs[s.rows[a.rows[0]].obs]
			aside[s.rows[a.rows[0]].obs] = true
			m := misreadOf(in, o, s.x[a.at])
			if o.method == reading.Probe {
				m.ValueMM = in.Readings[o.reading].Z
				m.ExpectedMM = m.ValueMM - s.x[a.at]
			}
			if o.bound != exact || in.Readings[o.reading].Answer != reading.Number {
				m.ValueMM = o.value
				m.ExpectedMM = o.value - s.x[a.at]
			}
			m.Why = fmt.Sprintf("stands %s off what the other readings say, %.0f times its uncertainty; take it again: if it comes back, it is real",
				microns(s.x[a.at]), math.Abs(s.x[a.at])/o.u)
			e.Misreads = append(e.Misreads, m)
		case dent:
			k := s.c.list[a.crown]
			e.Dents = append(e.Dents, Dent{k.fret, k.lane, s.x[a.at], math.Sqrt(s.cov[a.at*s.stride+a.at]), e.touching(s, a.crown)})
		}
	}
	if v.full {
		e.Warnings = append(e.Warnings, "so many readings disagree that the search for wrong ones was ended: take the passes again")
	}
	e.sys, e.TauMM = s, s.tau
	read := make([]bool, len(s.c.list))
	for i, o := range s.obs {
		if !aside[i] && o.bound == exact {
			for _, f := range o.frets {
				read[s.c.index[place{f, o.lane}]] = true
			}
		}
	}
	for k := range s.c.lanes {
		e.Lanes = append(e.Lanes, s.lane(k, read))
	}
}

func (e *Estimate) touching(s *system, crown int) (n int) {
	k := s.c.list[crown]
	for _, o := range s.obs {
		for _, f := range o.frets {
			if o.bound == exact && o.lane == k.lane && f == k.fret {
				n++
			}
		}
	}
	return n
}

func (s *system) lane(k int, read []bool) Lane {
	span := s.c.lanes[k]
	n := span.to - span.from
	l := Lane{
		Lane: span.lane, from: span.from,
		Frets: make([]int, n), X: make([]float64, n), Z: make([]float64, n), Read: make([]bool, n),
		Cov: mat.NewSymDense(n, nil),
	}
	for i := range n {
		c := s.c.list[span.from+i]
		l.Frets[i], l.X[i], l.Z[i], l.Read[i] = c.fret, c.x, s.x[s.crownAt[span.from+i]], read[span.from+i]
		for j := i; j < n; j++ {
			l.Cov.SetSym(i, j, s.crownCov(k, span.from+i, span.from+j))
		}
	}
	return l
}

// CovBetween is the covariance, in mm², of crown i of lane a and crown j of
// lane b (places in Lanes and in the lane).
func (e *Estimate) CovBetween(a, i, b, j int) float64 {
	if a == b {
		return e.Lanes[a].Cov.At(i, j)
	}
	p := e.sys.crownAt[e.Lanes[a].from+i]
	q := e.sys.crownAt[e.Lanes[b].from+j]
	return e.sys.cov[p*e.sys.stride+q]
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
