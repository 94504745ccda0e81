package level

import "math"

// Line is a target line: its height at x is A + B·x, mm, x in mm, the shape not
// included.
type Line struct{ A, B float64 }

// At is the line's height at x.
func (l Line) At(x float64) float64 { return l.A + l.B*x }

// LanePlan is what comes off one lane. RemoveMM has one entry a crown, in the
// lane's order: exactly 0 where nothing is filed.
type LanePlan struct {
	Target   Line
	RemoveMM []float64
	// StrayMM is how far the moves that carry it out end from RemoveMM, crown by crown,
	// root mean square; nil where each crown is filed to its number.
	StrayMM []float64
	TotalMM float64
	MaxMM   float64
}

// Plan is what comes off a neck, lane by lane in the order given.
type Plan struct {
	Lanes   []LanePlan
	TotalMM float64 // 0 exactly where it is below 1e-12
	MaxMM   float64
}

// Least plans the least metal, summed over all crowns, after which every crown
// lies between its lane's target line and one zone below it. zoneMM ≥ 0. Of
// lines that tie a lane takes the one whose largest removal is least.
//
// The answer is exact: it meets its dual within 1e-12 mm (TestLeast_Dual).
// Lanes of one or two crowns lose nothing. Errors: ErrLength, ErrOrder,
// ErrNotFinite, ErrZone. Cost: order n log n a lane.
func Least(lanes []Lane, zoneMM float64) (Plan, error) {
	if err := check(lanes, zoneMM); err != nil {
		return Plan{}, err
	}
	var s Solver
	p := Plan{Lanes: make([]LanePlan, len(lanes))}
	for i, l := range lanes {
		p.Lanes[i] = l.filed(s.w.line(l.X, l.D, zoneMM))
	}
	p.sum()
	return p, nil
}

// Solver finds one lane's target after the other without allocating anew. The
// zero value is ready; it is not for several goroutines at once.
type Solver struct{ w work }

// Target is the best target line of a lane, as Least finds it, and what comes
// off down to it in all. x ascends strictly, d has its length, zoneMM ≥ 0, all
// are finite: the caller has checked that.
func (s *Solver) Target(x, d []float64, zoneMM float64) (t Line, totalMM float64) {
	t = s.w.line(x, d, zoneMM)
	for i, xi := range x {
		r := d[i] - t.At(xi)
		above := uint64(int64(math.Float64bits(nothingMM-r)) >> 63) // as in solve
		totalMM += math.Float64frombits(math.Float64bits(r) & above)
	}
	return t, totalMM
}

// line is the best target line of a lane of any length.
func (w *work) line(x, d []float64, zoneMM float64) Line {
	switch len(x) {
	case 0:
		return Line{}
	case 1:
		return Line{A: d[0] + zoneMM}
	case 2:
		b := (d[1] - d[0]) / (x[1] - x[0])
		return Line{A: d[0] + zoneMM - b*x[0], B: b}
	}
	t := w.solve(x, d, zoneMM)
	return Line{A: d[t.pivot] + zoneMM - t.b*x[t.pivot], B: t.b}
}

// filed is the lane after filing down to a line.
func (l Lane) filed(t Line) LanePlan {
	p := LanePlan{Target: t, RemoveMM: make([]float64, len(l.X))}
	for i, x := range l.X {
		if r := l.D[i] - t.At(x); r > nothingMM {
			p.RemoveMM[i] = r
			p.TotalMM += r
			p.MaxMM = math.Max(p.MaxMM, r)
		}
	}
	return p
}

// sum adds the lanes up.
func (p *Plan) sum() {
	p.TotalMM, p.MaxMM = 0, 0
	for _, l := range p.Lanes {
		p.TotalMM += l.TotalMM
		p.MaxMM = math.Max(p.MaxMM, l.MaxMM)
	}
}

// FlatWidth is the width in mm of the flat that a file leaves on a crown of radius
// radiusMM when it takes removeMM off: the chord 2·√(2Rr − r²). 0 for nothing
// removed; the whole width 2R once half the circle is gone.
func FlatWidth(radiusMM, removeMM float64) float64 {
	if removeMM <= 0 || radiusMM <= 0 {
		return 0
	}
	r := math.Min(removeMM, radiusMM)
	return 2 * math.Sqrt(r*(2*radiusMM-r))
}
