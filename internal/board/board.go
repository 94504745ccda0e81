// Package board judges the bare board before a fret goes in: is it straight
// along each lane, is its radius what the maker wants, and where to sand.
//
// Readings of a beam or an edge are of the board just behind slot n; straightness
// is taken without the shape that crowns shall have later.
package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Verdict is what is said of a lane, an arch or the whole board.
type Verdict string

// The words: of a lane, of an arch, of the board; any may be in doubt.
const (
	Straight    Verdict = "straight"
	NotStraight Verdict = "not straight"
	Round       Verdict = "round"
	NotRound    Verdict = "not round"
	Ready       Verdict = "ready"
	NotReady    Verdict = "not ready"
	InDoubt     Verdict = "in doubt"
)

// seed makes the draws of the lane verdicts repeatable.
const seed = 412

// Lane is one lane's straightness.
type Lane struct {
	Lane    float64
	Judged  straight.LaneJudgement
	Verdict Verdict
	Bow     straight.Sum
	Frets   []int
	OffMM   []float64 // from the reference line
	UMM     []float64
	SandMM  []float64 // least sanding that brings the lane within board.flat
}

// Arch is the board's radius at one place. RadiusMM is +Inf where the gauge
// shows no hollow under it, and WantedMM where the board shall be flat.
type Arch struct {
	Fret          int
	Lane          float64
	RadiusMM, UMM float64
	WantedMM      float64
	Verdict       Verdict
	MiddleMM      float64 // how far the middle of the board stands proud of a board of the wanted radius that touches its edges
}

// Cone is the straight line through the radii along the board.
type Cone struct{ NutMM, LastMM, UNutMM, ULastMM float64 }

// Answer is a board judged.
type Answer struct {
	Verdict  Verdict
	Lanes    []Lane
	Open     []heights.Undetermined
	Misreads []heights.Misread
	Arches   []Arch
	Cone     *Cone // nil where fewer than two places were read
}

// Judge judges a bare board from its readings. An error is of the arithmetic
// alone; readings that leave something open are answered with a doubt.
func Judge(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*Answer, error) {
	e, err := heights.From(heights.Input{Layout: l, Readings: readings})
	if err != nil {
		return nil, err
	}
	a := &Answer{Misreads: e.Misreads}
	read := map[float64]bool{}
	for _, h := range e.Lanes {
		j, err := judgeLane(m, h)
		if err != nil {
			return nil, fmt.Errorf("lane %g: %w", h.Lane, err)
		}
		read[h.Lane] = true
		a.Lanes = append(a.Lanes, j)
	}
	for _, u := range e.Undetermined {
		if u.Why != heights.WhyLaneNotRead && u.Why != heights.WhyNotRead { // slots may be skipped on a board
			a.Open = append(a.Open, u)
		}
	}
	for _, r := range readings {
		if r.Method == reading.Arch {
			a.Arches = append(a.Arches, judgeArch(m, l, r))
		}
	}
	a.Cone = cone(l, a.Arches)
	a.Verdict = a.worst()
	return a, nil
}

func judgeLane(m neck.Model, h heights.Lane) (Lane, error) {
	j := Lane{Lane: h.Lane, Frets: h.Frets, OffMM: make([]float64, len(h.Z)), UMM: make([]float64, len(h.Z))}
	a, b, err := straight.ReferenceLine(h.X, h.Z)
	if err != nil {
		return j, err
	}
	for i := range h.Z {
		j.OffMM[i] = h.Z[i] - a - b*h.X[i]
		j.UMM[i] = math.Sqrt(math.Max(0, h.Cov.At(i, i)))
	}
	if j.Judged, err = straight.LaneVerdict(h.X, h.Z, h.Cov, m.Board.Flat, seed); err != nil {
		return j, err
	}
	if j.Bow, err = straight.Bow(h.X, h.Z); err != nil {
		return j, err
	}
	p, err := level.Least([]level.Lane{{Lane: h.Lane, Frets: h.Frets, X: h.X, D: h.Z}}, m.Board.Flat)
	if err != nil {
		return j, err
	}
	j.SandMM = p.Lanes[0].RemoveMM
	switch j.Judged.Verdict {
	case straight.Level:
		j.Verdict = Straight
	case straight.NotLevel:
		j.Verdict = NotStraight
	default:
		j.Verdict = InDoubt
	}
	return j, nil
}

// judgeArch turns a height s between feet a span w apart into a radius,
// R = w²/8s + s/2, with u(R) = |dR/ds|·u(s).
func judgeArch(m neck.Model, l *geometry.Layout, r reading.Reading) Arch {
	x := l.CentreX(r.Frets[0])
	a := Arch{Fret: r.Frets[0], Lane: r.Lane, RadiusMM: math.Inf(1), WantedMM: l.Radius(x)}
	w, s := r.Span, r.Value
	if s > 0 {
		a.RadiusMM = w*w/(8*s) + s/2
		a.UMM = math.Abs(0.5-w*w/(8*s*s)) * r.U
	}
	meant := 0.0
	if a.WantedMM > 0 {
		meant = sag(a.WantedMM, w/2)
	} else {
		a.WantedMM = math.Inf(1)
	}
	half := l.Width(x) / 2
	scale := half * half / (w * w / 4) // sags grow with the square of the width
	a.MiddleMM = (s - meant) * scale
	a.Verdict = judgeRadius(m, a, r)
	return a
}

// sag is the height of an arc of radius r over a chord of twice half.
func sag(r, half float64) float64 {
	half = math.Min(half, r)
	return half * half / (r + math.Sqrt(r*r-half*half))
}

// guard is how many standard uncertainties of a radius the tolerance's ends are
// drawn in, or out, before a radius is called round, or not: 84 % confidence
// each. A radius is a coarse thing to the player; this is a convention.
const guard = 1.0

// judgeRadius compares a radius with the one wanted. A flat board has none to be
// off by: there the gauge's height is held against board.flat.
func judgeRadius(m neck.Model, a Arch, r reading.Reading) Verdict {
	off, u, within := a.RadiusMM-a.WantedMM, a.UMM, m.Board.RadiusWithin
	switch {
	case math.IsInf(a.WantedMM, 1):
		off, u, within = r.Value, r.U, m.Board.Flat/2
	case math.IsInf(a.RadiusMM, 1): // read flat or hollow: held against the flattest arch that would do
		if r.Value+guard*r.U < sag(a.WantedMM+within, r.Span/2) {
			return NotRound
		}
		return InDoubt
	}
	switch off = math.Abs(off); {
	case off <= within-guard*u:
		return Round
	case off > within+guard*u:
		return NotRound
	}
	return InDoubt
}

// cone fits a straight line to the radii, weighted.
func cone(l *geometry.Layout, arches []Arch) *Cone {
	n := mat.NewSymDense(2, nil)
	rhs := mat.NewVecDense(2, nil)
	places := map[int]bool{}
	last := l.CentreX(l.LastFret())
	for _, a := range arches {
		if math.IsInf(a.RadiusMM, 1) || a.UMM <= 0 {
			continue
		}
		places[a.Fret] = true
		t := l.CentreX(a.Fret) / last
		row := mat.NewVecDense(2, []float64{1 - t, t})
		n.SymRankOne(n, 1/(a.UMM*a.UMM), row)
		rhs.AddScaledVec(rhs, a.RadiusMM/(a.UMM*a.UMM), row)
	}
	var chol mat.Cholesky
	if len(places) < 2 || !chol.Factorize(n) {
		return nil
	}
	var x mat.VecDense
	var cov mat.SymDense
	if chol.SolveVecTo(&x, rhs) != nil || chol.InverseTo(&cov) != nil {
		return nil
	}
	return &Cone{x.AtVec(0), x.AtVec(1), math.Sqrt(cov.At(0, 0)), math.Sqrt(cov.At(1, 1))}
}

// worst is the board's verdict: its worst lane's or arch's; in doubt where
// nothing was read or something was left open.
func (a *Answer) worst() Verdict {
	doubt := len(a.Lanes) == 0 || len(a.Open) > 0
	for _, l := range a.Lanes {
		switch l.Verdict {
		case NotStraight:
			return NotReady
		case InDoubt:
			doubt = true
		}
	}
	for _, r := range a.Arches {
		switch r.Verdict {
		case NotRound:
			return NotReady
		case InDoubt:
			doubt = true
		}
	}
	if doubt {
		return InDoubt
	}
	return Ready
}
