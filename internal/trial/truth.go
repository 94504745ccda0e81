package trial

import (
	"math"
	"slices"

	"ringtrue/internal/straight"
)

// Truth is what a neck really is. Tables run [lane][fret], in the order of Lanes
// and Frets; heights are in mm in the neck's own frame.
type Truth struct {
	Frets  []int
	Lanes  []float64
	X      [][]float64 // of each crown along its lane
	Shape  [][]float64 // what the neck file wants there, see geometry.Layout.Shape
	Z      [][]float64 // crown heights; of a loose end, where it stands untouched
	Curve  [][]float64 // the same without grooves and burrs
	Groove [][]float64 // depth of a groove, 0 where there is none
	Burr   [][]float64 // height of a burr, 0 where there is none
	Gives  [][]float64 // how far the crown may give under a gauge, 0 where it is firm

	Bad    []BadFret
	Whole  []WholeFault
	Passes []PassFault
	Wrong  []Slip // misread readings
	// Shifted tells the readings that a fault of their whole pass has put wrong.
	Shifted map[int]bool
	// At is where each reading was taken: of a bridge the middle crown.
	At []Place
}

// Place is a fret in a lane.
type Place struct {
	Fret int
	Lane float64
}

// BadFret is a fret that was put in badly.
type BadFret struct {
	Fret     int
	Kind     string // one of findings' kinds
	AmountMM float64
}

// WholeFault is what is wrong over several frets, or with the whole neck.
type WholeFault struct {
	Kind     string // one of findings' kinds
	Frets    []int  // nil: all
	AmountMM float64
}

// PassFault is what went wrong with a whole pass.
type PassFault struct {
	Method   string
	Lane     float64
	Pass     string
	Finding  string // heights.Knocked, Skipped or Swapped
	FromFret int
	StepMM   float64
}

// Slip is a reading that was misread by ByMM.
type Slip struct {
	Reading int // place among the readings
	ByMM    float64
}

// LaneTruth is a lane as a perfect judge would see it.
type LaneTruth struct {
	Off      []float64 // each crown from the lane's true reference line, mm
	CurveOff []float64 // each fret's own curve from the same line, mm
	ZoneMM   float64   // least zone of the shape; with a loose end the larger of free and half pressed, as a gauge meets it on average
	LeastMM  float64   // the smaller of the two
	Loose    bool
}

// Lane judges lane k of the truth.
func (t *Truth) Lane(k int) (LaneTruth, error) {
	d, pressed := make([]float64, len(t.Frets)), make([]float64, len(t.Frets))
	v := LaneTruth{Off: make([]float64, len(d)), CurveOff: make([]float64, len(d))}
	for i := range d {
		d[i] = t.Z[k][i] - t.Shape[k][i]
		pressed[i] = d[i] - t.Gives[k][i]/2
		v.Loose = v.Loose || t.Gives[k][i] > 0
	}
	a, b, err := straight.ReferenceLine(t.X[k], d)
	if err != nil {
		return v, err
	}
	for i, x := range t.X[k] {
		v.Off[i] = d[i] - a - b*x
		v.CurveOff[i] = t.Curve[k][i] - t.Shape[k][i] - a - b*x
	}
	free, err := straight.Zone(t.X[k], d)
	if err != nil {
		return v, err
	}
	down, err := straight.Zone(t.X[k], pressed)
	v.ZoneMM, v.LeastMM = math.Max(free.WidthMM, down.WidthMM), math.Min(free.WidthMM, down.WidthMM)
	return v, err
}

// place is a fret's place in Frets.
func (t *Truth) place(fret int) int { return fret - t.Frets[0] }

// laneOf is a lane's place in Lanes, −1 where it is none.
func (t *Truth) laneOf(lane float64) int { return slices.Index(t.Lanes, lane) }

// table is a table of lanes by frets.
func table(lanes, frets int) [][]float64 {
	out := make([][]float64, lanes)
	for k := range out {
		out[k] = make([]float64, frets)
	}
	return out
}
