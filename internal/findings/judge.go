package findings

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/feelers"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// seed makes the draws of the lane verdicts repeatable.
const seed = 412

// Lane is a lane's crowns judged against its shape.
type Lane struct {
	heights.Lane
	D        []float64 // crown less the shape, up to a line, mm
	Off      []float64 // from the lane's reference line, mm
	U        []float64 // standard uncertainty of Off in the free datum, mm
	Crown    []straight.Verdict
	Judged   straight.LaneJudgement
	Verdict  straight.Verdict // Judged's, but never level where a crown is undetermined
	Bow      straight.Sum
	UBow     float64
	Step     straight.StepResult
	Complete bool // every fret of the lane is determined
	// Brackets is what gaps felt with leaves allow; nil where none bears on the
	// lane. Judged's zone is then the middle of the range, its uncertainty covers
	// it, and Cov holds what the crowns may be wrong by.
	Brackets *feelers.Lane
	excess   []float64 // what that adds to each crown's uncertainty, mm
}

// Neck is a neck judged.
type Neck struct {
	Model    neck.Model
	Layout   *geometry.Layout
	Estimate *heights.Estimate
	Lanes    []Lane
	Open     []float64        // lanes read of which nothing is determined
	Verdict  straight.Verdict // the worst lane's
	crit     float64          // see critical; 0 before it is drawn
}

// Judge judges every lane and crown of an estimate; readings are those that it
// was made from (see reading.WithLeaves).
func Judge(m neck.Model, l *geometry.Layout, e *heights.Estimate, readings []reading.Reading) (*Neck, error) {
	n := &Neck{Model: m, Layout: l, Estimate: e, Verdict: straight.InDoubt}
	open := map[float64]bool{}
	for _, u := range e.Undetermined {
		open[u.Lane] = true
	}
	felt, err := feelers.Of(feelers.Input{Layout: l, Readings: readings, Estimate: e, CrownRadiusMM: m.Wire.CrownRadius})
	if err != nil {
		return nil, fmt.Errorf("feelers: %w", err)
	}
	for k, h := range e.Lanes {
		j, err := judgeLane(m, l, h)
		if err == nil && felt != nil {
			err = j.byBrackets(m.Level.Zone, felt[k])
		}
		if err != nil {
			return nil, fmt.Errorf("lane %g: %w", h.Lane, err)
		}
		j.Complete = !open[h.Lane]
		j.Verdict = j.Judged.Verdict
		if !j.Complete && j.Verdict == straight.Level {
			j.Verdict = straight.InDoubt // the missing crown may stand anywhere
		}
		n.Lanes = append(n.Lanes, j)
	}
	if err := n.settle(); err != nil {
		return nil, err
	}
	n.Open = openLanes(n.Lanes, e.Undetermined)
	n.Verdict = worst(n.Lanes)
	if len(n.Open) > 0 && n.Verdict == straight.Level {
		n.Verdict = straight.InDoubt
	}
	return n, nil
}

func judgeLane(m neck.Model, l *geometry.Layout, h heights.Lane) (Lane, error) {
	j := Lane{Lane: h, D: make([]float64, len(h.Z)), Off: make([]float64, len(h.Z)), U: make([]float64, len(h.Z)),
		Crown: make([]straight.Verdict, len(h.Z))}
	for i, s := range l.Shape(h.Lane, h.Frets) {
		j.D[i] = h.Z[i] - s
	}
	return j, j.measure(m.Level.Zone)
}

// measure works out what follows from the lane's crowns D and their covariance.
func (j *Lane) measure(limitMM float64) error {
	a, b, err := straight.ReferenceLine(j.X, j.D)
	if err != nil {
		return err
	}
	for i := range j.D {
		j.Off[i] = j.D[i] - a - b*j.X[i]
		j.U[i] = math.Sqrt(math.Max(0, j.Cov.At(i, i)))
		j.Crown[i] = straight.CrownVerdict(j.Off[i], j.U[i], limitMM)
	}
	if j.Judged, err = straight.LaneVerdict(j.X, j.D, j.Cov, limitMM, seed); err != nil {
		return err
	}
	if j.Bow, err = straight.Bow(j.X, j.D); err != nil {
		return err
	}
	j.UBow = j.Bow.U(j.Cov)
	j.Step, err = straight.Step(j.X, j.D)
	return err
}

// worst is the neck's verdict: its worst lane's; in doubt where none was read.
func worst(lanes []Lane) straight.Verdict {
	v := straight.Level
	if len(lanes) == 0 {
		return straight.InDoubt
	}
	for _, l := range lanes {
		switch {
		case l.Verdict == straight.NotLevel:
			return straight.NotLevel
		case l.Verdict == straight.InDoubt:
			v = straight.InDoubt
		}
	}
	return v
}

// at is the place of a fret in a lane, −1 where it is not determined.
func (l Lane) at(fret int) int { return slices.Index(l.Frets, fret) }

// lane is one of the neck's lanes by its number; one without crowns where none is
// determined.
func (n *Neck) lane(number float64) *Lane {
	for k := range n.Lanes {
		if n.Lanes[k].Lane.Lane == number {
			return &n.Lanes[k]
		}
	}
	return &Lane{}
}

// LevelLanes are the lanes as the levelling plan takes them.
func (n *Neck) LevelLanes() []level.Lane {
	lanes := make([]level.Lane, len(n.Lanes))
	for i, l := range n.Lanes {
		y := make([]float64, len(l.Frets))
		for k, f := range l.Frets {
			y[k] = n.Layout.At(f, l.Lane.Lane).Y
		}
		lanes[i] = level.Lane{Lane: l.Lane.Lane, Frets: l.Frets, X: l.X, D: l.D, Y: y, U: l.U}
	}
	return lanes
}

// openLanes are the lanes that were read and yet have no determined crown.
func openLanes(lanes []Lane, undetermined []heights.Undetermined) []float64 {
	known := map[float64]bool{}
	for _, l := range lanes {
		known[l.Lane.Lane] = true
	}
	read := map[float64]bool{}
	for _, u := range undetermined {
		if u.Why != heights.WhyNotRead && u.Why != heights.WhyLaneNotRead {
			read[u.Lane] = true
		}
	}
	var out []float64
	for _, u := range undetermined {
		if read[u.Lane] && !known[u.Lane] {
			known[u.Lane] = true
			out = append(out, u.Lane)
		}
	}
	return out
}
