package findings

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// Each lane's crowns are drawn off their own line, about what was read of them; a
// lane without errors is drawn as read, to the last digit.
func TestMayBe_AboutWhatWasRead(t *testing.T) {
	b := newBench(t, 3)
	b.seated(0.004)
	b.read("a")
	n := b.judge()
	sure := &n.Lanes[1]
	sure.Cov = mat.NewSymDense(len(sure.Frets), nil)
	sure.U = make([]float64, len(sure.Frets))
	all, err := n.MayBe(40)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != len(n.Lanes) {
		t.Fatalf("%d lanes of %d", len(all), len(n.Lanes))
	}
	for k, l := range n.Lanes {
		mean := make([]float64, len(l.Off))
		for d, off := range all[k] {
			if k == 1 && !slices.Equal(off, l.Off) {
				t.Fatalf("draw %d of a lane without errors: %v, read %v", d, off, l.Off)
			}
			a, slope, err := straight.ReferenceLine(l.X, off)
			if err != nil || math.Abs(a) > 1e-9 || math.Abs(slope) > 1e-12 {
				t.Fatalf("lane %g, draw %d: line %g %g, %v", l.Lane.Lane, d, a, slope, err)
			}
			for i := range mean {
				mean[i] += off[i] / 40
			}
		}
		for i := range mean {
			if far := math.Abs(mean[i] - l.Off[i]); far > 4*math.Max(l.U[i], 1e-9) {
				t.Errorf("lane %g, fret %d: %g in the mean, read %g with u %g", l.Lane.Lane, l.Frets[i], mean[i], l.Off[i], l.U[i])
			}
		}
	}
}
