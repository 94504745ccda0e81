package level

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/num"
)

// UnfairError says that no smooth removal leaves every crown within the zone,
// and on which frets it fails by how much at least: the fret's crowns lie too
// unevenly across (a pit, a burr, a groove) to be filed as one curve.
type UnfairError struct {
	Frets   []int     // ascending
	ShortMM []float64 // how far each fret's lowest crown would end below the zone
}

// Error names the frets.
func (e *UnfairError) Error() string {
	parts := make([]string, len(e.Frets))
	for i, f := range e.Frets {
		parts[i] = fmt.Sprintf("fret %d by %.4f mm", f, e.ShortMM[i])
	}
	return "no plan that is smooth across each fret stays within the zone: " + strings.Join(parts, ", ")
}

// Fair plans the least metal whose removal also varies smoothly across each
// fret, as a file on a radius leaves it.
//
// Model: what comes off a fret is one parabola across the board, r(y) = c0 + c1·y
// + c2·y² ≥ 0 at every lane (a straight line or a constant where fewer than
// three lanes are read there); each lane has its own target line, and after
// filing each crown lies between it and one zone below it. Crown and file are
// both arcs of large radius, so what a file that touches the whole width takes
// off is a parabola; that is a linear program, and its total is proved least.
//
// Limits: a file that touches one end of a fret only leaves the rest alone,
// which no parabola does; the plan then takes a little more than the hand would.
// Where several plans are least it takes any one.
//
// An *UnfairError names the frets where no such removal exists; other errors as
// Least.
func Fair(lanes []Lane, zoneMM float64) (Plan, error) {
	if err := check(lanes, zoneMM); err != nil {
		return Plan{}, err
	}
	m := newFairModel(lanes, zoneMM, false)
	v, _, err := m.program.Solve()
	if err == nil {
		return m.plan(v), nil
	}
	if !errors.Is(err, num.ErrInfeasible) {
		return Plan{}, fmt.Errorf("the fair plan: %w", err)
	}
	m = newFairModel(lanes, zoneMM, true)
	if v, _, err = m.program.Solve(); err != nil {
		return Plan{}, fmt.Errorf("the fair plan: %w", err)
	}
	return Plan{}, m.short(v)
}

// crown is one crown of a fret: place i in lane l.
type crown struct{ l, i int }

// fairFret is a fret's crowns and its polynomial across.
type fairFret struct {
	number int
	crowns []crown
	across [][]float64 // across[k][j]: the j-th term at crown k
	at     int         // its first variable
	short  int         // the variable that says how far the zone is missed, or −1
}

// fairModel is the program: two variables a lane, up to three a fret.
type fairModel struct {
	lanes   []Lane
	zone    float64
	frets   []*fairFret
	middle  []float64 // of each lane's x
	reach   []float64 // half its length
	program *num.Program
}

// shortCost is what a millimetre outside the zone costs in millimetres filed
// where the least shortfall is sought: more than any plan trades for it.
const shortCost = 1e6

func newFairModel(lanes []Lane, zoneMM float64, elastic bool) *fairModel {
	m := &fairModel{lanes: lanes, zone: zoneMM}
	m.gather()
	cost := make([]float64, 2*len(lanes))
	for _, l := range lanes {
		first, last := l.X[0], l.X[len(l.X)-1]
		m.middle = append(m.middle, (first+last)/2)
		m.reach = append(m.reach, math.Max((last-first)/2, 1))
	}
	for _, f := range m.frets {
		f.at = len(cost)
		cost = append(cost, make([]float64, len(f.across[0]))...)
		for _, terms := range f.across {
			for j, t := range terms {
				cost[f.at+j] += t
			}
		}
		f.short = -1
		if elastic {
			f.short = len(cost)
			cost = append(cost, shortCost)
		}
	}
	m.program = num.NewProgram(cost)
	for _, f := range m.frets {
		for k := range f.crowns {
			m.add(f, k)
		}
	}
	return m
}

// gather lists the frets with their crowns and polynomials.
func (m *fairModel) gather() {
	byNumber := map[int]*fairFret{}
	for l, lane := range m.lanes {
		for i, number := range lane.Frets {
			f := byNumber[number]
			if f == nil {
				f = &fairFret{number: number}
				byNumber[number] = f
				m.frets = append(m.frets, f)
			}
			f.crowns = append(f.crowns, crown{l, i})
		}
	}
	slices.SortFunc(m.frets, func(f, g *fairFret) int { return f.number - g.number })
	for _, f := range m.frets {
		f.across = m.terms(f.crowns)
	}
}

// terms are 1, s and (3s² − 1)/2 at a fret's crowns, s running from −1 to 1
// across them; as many terms as there are crowns, three at most.
func (m *fairModel) terms(crowns []crown) [][]float64 {
	y := make([]float64, len(crowns))
	low, high := math.Inf(1), math.Inf(-1)
	for k, c := range crowns {
		y[k] = m.lanes[c.l].Lane
		if m.lanes[c.l].Y != nil {
			y[k] = m.lanes[c.l].Y[c.i]
		}
		low, high = math.Min(low, y[k]), math.Max(high, y[k])
	}
	terms := make([][]float64, len(crowns))
	for k := range crowns {
		s := 0.0
		if high > low {
			s = (2*y[k] - low - high) / (high - low)
		}
		terms[k] = []float64{1, s, (3*s*s - 1) / 2}[:min(3, len(crowns))]
	}
	return terms
}

// add puts the rows of one crown in: removal ≥ 0, not above the target, not
// more than the zone below it.
func (m *fairModel) add(f *fairFret, k int) {
	c := f.crowns[k]
	lane := m.lanes[c.l]
	terms := f.across[k]
	at := []int{2 * c.l, 2*c.l + 1}
	coef := []float64{1, (lane.X[c.i] - m.middle[c.l]) / m.reach[c.l]}
	for j, t := range terms {
		at, coef = append(at, f.at+j), append(coef, t)
	}
	m.program.AtLeast(0, at[2:], coef[2:])
	m.program.AtLeast(lane.D[c.i], at, coef)
	minus := make([]float64, len(coef))
	for j, v := range coef {
		minus[j] = -v
	}
	if f.short >= 0 {
		m.program.AtLeast(0, []int{f.short}, []float64{1})
		at, minus = append(at, f.short), append(minus, 1)
	}
	m.program.AtLeast(-lane.D[c.i]-m.zone, at, minus)
}

// filedLeastMM is the removal below which a solved program's number is 0.
const filedLeastMM = 1e-10

// plan reads a solution.
func (m *fairModel) plan(v []float64) Plan {
	p := Plan{Lanes: make([]LanePlan, len(m.lanes))}
	for l, lane := range m.lanes {
		b := v[2*l+1] / m.reach[l]
		p.Lanes[l].Target = Line{A: v[2*l] - b*m.middle[l], B: b}
		p.Lanes[l].RemoveMM = make([]float64, len(lane.X))
	}
	for _, f := range m.frets {
		for k, c := range f.crowns {
			r := 0.0
			for j, t := range f.across[k] {
				r += t * v[f.at+j]
			}
			if r < filedLeastMM {
				continue
			}
			lane := &p.Lanes[c.l]
			lane.RemoveMM[c.i] = r
			lane.TotalMM += r
			lane.MaxMM = math.Max(lane.MaxMM, r)
		}
	}
	p.sum()
	return p
}

// short reads which frets miss the zone.
func (m *fairModel) short(v []float64) error {
	e := &UnfairError{}
	for _, f := range m.frets {
		if v[f.short] > filedLeastMM {
			e.Frets, e.ShortMM = append(e.Frets, f.number), append(e.ShortMM, v[f.short])
		}
	}
	return e
}
