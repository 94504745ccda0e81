package board

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Knocked is a pass in which the gauge moved: all readings from a slot on are
// shifted against those before.
type Knocked struct {
	Pass     string         `json:"pass"`
	Lane     float64        `json:"lane"`
	Method   reading.Method `json:"method"`
	Finding  string         `json:"finding"` // "knocked"
	FromFret int            `json:"from_fret"`
	StepMM   float64        `json:"step_mm"`
}

// A pass is knocked where a step makes its readings likelier by this much, in
// natural logarithms (a step is taken to come once in 500 passes, anywhere along
// it), is at least this high, leaves readings enough on both sides, and no other
// lane has it.
const (
	knockEvidence = 9.0
	minKnock      = 0.03 // mm
	knockRest     = 0.5  // of the pass's zone: what the step may leave
	knockSide     = 2
	minKnockPass  = 8 // readings of a pass
)

// findKnocks names the passes in which the gauge moved.
func (j *job) findKnocks(lanes [][]*item) error {
	for lane, items := range lanes {
		for _, pass := range passes(items) {
			if err := j.knock(lanes, lane, pass); err != nil {
				return err
			}
		}
	}
	return nil
}

// knock names one pass if the gauge moved in it.
func (j *job) knock(lanes [][]*item, lane int, pass []*item) error {
	if len(pass) < minKnockPass {
		return nil // too short to tell
	}
	wide := j.passZone(pass)
	if wide < knockRest*j.m.Board.Flat {
		return nil // too straight to matter
	}
	before, err := j.leaveOneOut(lanes[lane])
	if err != nil {
		return err
	}
	at, step := bestStep(before, pass)
	if at < 0 || math.Abs(step) < minKnock || j.steps(lanes, lane, pass[at], step) {
		return nil
	}
	for _, k := range pass[at:] {
		k.y -= step
	}
	straightened := j.passZone(pass) <= math.Max(j.m.Board.Flat, knockRest*wide)
	after, err := j.leaveOneOut(lanes[lane])
	if err != nil {
		return err
	}
	for _, k := range pass[at:] {
		k.y += step
	}
	if of := pass[at].setup; straightened && after.evidence-before.evidence > knockEvidence {
		j.a.Knocked = append(j.a.Knocked, Knocked{of.Pass, of.Lane, of.Method, "knocked", j.places.list[pass[at].at[0]].fret, step})
	}
	return nil
}

// passes lists the readings of each pass, in the order in which they begin, along
// the lane; less those set aside.
func passes(items []*item) (list [][]*item) {
	index := map[reading.Setup]int{}
	for _, k := range items {
		if k.setup == (reading.Setup{}) {
			continue
		}
		i, known := index[k.setup]
		if !known {
			i, index[k.setup], list = len(list), len(list), append(list, nil)
		}
		if !k.aside {
			list[i] = append(list[i], k)
		}
	}
	for _, pass := range list {
		slices.SortStableFunc(pass, func(a, b *item) int { return a.at[0] - b.at[0] })
	}
	return list
}

// passZone is how far a pass's readings spread about a straight line.
func (j *job) passZone(pass []*item) float64 {
	var x, y []float64
	for _, k := range pass {
		if at := j.places.list[k.at[0]].x; len(x) == 0 || at > x[len(x)-1] {
			x, y = append(x, at), append(y, k.y)
		}
	}
	v, err := straight.Zone(x, y)
	if err != nil {
		return 0
	}
	return v.WidthMM
}

// bestStep is the reading from which on a shift of a pass explains most, and the
// shift, mm: generalised least squares.
func bestStep(m smooth, pass []*item) (at int, step float64) {
	index := make(map[*item]int, len(m.in))
	for i, k := range m.in {
		index[k] = i
	}
	at, gain := -1, 0.0
	for from := knockSide; from <= len(pass)-knockSide; from++ {
		up, weight := 0.0, 0.0
		for _, a := range pass[from:] {
			up += m.by.AtVec(index[a])
			for _, b := range pass[from:] {
				weight += m.inverse.At(index[a], index[b])
			}
		}
		if g := up * up / weight; g > gain {
			at, step, gain = from, up/weight, g
		}
	}
	return at, step
}

// steps reports whether the board itself steps there: another lane does.
func (j *job) steps(lanes [][]*item, lane int, from *item, step float64) bool {
	x := j.places.list[from.at[0]].at.X
	for i, items := range lanes {
		if i == lane {
			continue
		}
		for _, pass := range passes(items) {
			for n := knockSide; n <= len(pass)-knockSide; n++ {
				if math.Abs(j.places.list[pass[n].at[0]].at.X-x) > besideMM {
					continue
				}
				rise := (pass[n].y + pass[n+1].y - pass[n-1].y - pass[n-2].y) / 2
				if rise -= j.slopeOf(pass, n); rise*step > 0 && math.Abs(rise) >= bornPart*math.Abs(step) {
					return true
				}
			}
		}
	}
	return false
}

// slopeOf is what the tilt of a whole pass, by the median of its slopes, makes of
// the rise from the two readings before the n-th to it and the next.
func (j *job) slopeOf(pass []*item, n int) float64 {
	x := func(k int) float64 { return j.places.list[pass[k].at[0]].x }
	half := len(pass) / 2
	var slopes []float64
	for k := 0; k+half < len(pass); k++ {
		if d := x(k+half) - x(k); d > 0 {
			slopes = append(slopes, (pass[k+half].y-pass[k].y)/d)
		}
	}
	if len(slopes) == 0 {
		return 0
	}
	slices.Sort(slopes)
	return slopes[len(slopes)/2] * (x(n) + x(n+1) - x(n-1) - x(n-2)) / 2
}
