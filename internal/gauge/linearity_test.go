package gauge

import (
	"errors"
	"math"
	"testing"

	"ringtrue/internal/casetest"
)

// blocksAIAG is the linearity example of AIAG MSA 4th ed., chapter III B:
// five parts, twelve readings each. Readings and answers are from memory; that
// the five printed means of bias come out confirms the readings.
func blocksAIAG() []Block {
	return []Block{
		{Reference: 2, Readings: []float64{2.7, 2.5, 2.4, 2.5, 2.7, 2.3, 2.5, 2.5, 2.4, 2.4, 2.6, 2.4}},
		{Reference: 4, Readings: []float64{5.1, 3.9, 4.2, 5.0, 3.8, 3.9, 3.9, 3.9, 3.9, 4.0, 4.1, 3.8}},
		{Reference: 6, Readings: []float64{5.8, 5.7, 5.9, 5.9, 6.0, 6.1, 6.0, 6.1, 6.4, 6.3, 6.0, 6.1}},
		{Reference: 8, Readings: []float64{7.6, 7.7, 7.8, 7.7, 7.8, 7.8, 7.8, 7.7, 7.8, 7.5, 7.6, 7.7}},
		{Reference: 10, Readings: []float64{9.1, 9.3, 9.5, 9.3, 9.4, 9.5, 9.5, 9.5, 9.6, 9.2, 9.3, 9.4}},
	}
}

func TestAnalyseLinearity_AIAG(t *testing.T) {
	l, err := AnalyseLinearity(blocksAIAG(), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.491667, 0.125, 0.025, -0.291667, -0.616667} {
		casetest.Near(t, "bias", l.Blocks[i].Mean, want, 1e-6)
	}
	casetest.Near(t, "slope", l.Slope, -0.131667, 1e-6)
	casetest.Near(t, "intercept", l.Intercept, 0.736667, 1e-6)
	casetest.Near(t, "s", l.ResidualSD, 0.23954, 5e-6)
	casetest.Near(t, "R²", l.R2, 0.714, 5e-4)
	// Their t: −12.043 and 10.158 with 58 degrees of freedom.
	casetest.Near(t, "t of the slope", l.Slope/l.SlopeU, -12.043, 1e-3)
	casetest.Near(t, "t of the intercept", l.Intercept/l.InterceptU, 10.158, 1e-3)
}

func TestAnalyseLinearity_BlockUncertainty(t *testing.T) {
	blocks := []Block{
		{Reference: 1, U: 0.3, Readings: []float64{1.1, 1.3, 1.2, 1.2}},
		{Reference: 2, U: 0, Readings: []float64{2.1, 2.3, 2.2, 2.2}},
	}
	l, err := AnalyseLinearity(blocks, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// The same bias of 0.2: real where the block is known, not where it is not.
	if l.Blocks[0].Detected || !l.Blocks[1].Detected {
		t.Errorf("detected %v, %v; want false, true", l.Blocks[0].Detected, l.Blocks[1].Detected)
	}
	casetest.Near(t, "u", l.Blocks[0].U.OrNaN(), math.Hypot(0.3, l.Repeatability.OrNaN()/2), 1e-12)
	if l.BendP.Known() {
		t.Errorf("two blocks show a bend of p %v", l.BendP)
	}
}

// A gauge that reads the square of what it should bends away from any line.
func TestAnalyseLinearity_Bend(t *testing.T) {
	var blocks []Block
	for _, x := range []float64{1, 2, 3, 4, 5} {
		b := Block{Reference: x}
		for _, e := range []float64{-0.01, 0, 0.01} {
			b.Readings = append(b.Readings, x+0.1*x*x+e)
		}
		blocks = append(blocks, b)
	}
	l, err := AnalyseLinearity(blocks, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !(l.BendP.OrNaN() < 1e-6) {
		t.Errorf("p of the bend %v, want none to speak of", l.BendP)
	}
	straight, err := AnalyseLinearity(blocksAIAG(), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if straight.BendP.OrNaN() < 0.001 {
		t.Errorf("p of the bend %v in the published example", straight.BendP)
	}
}

func TestAnalyseLinearity_SingleReadings(t *testing.T) {
	l, err := AnalyseLinearity([]Block{{1, 0, []float64{1.1}}, {2, 0, []float64{2.2}}, {3, 0, []float64{3.2}}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if l.Repeatability.Known() || l.Blocks[0].U.Known() || l.Blocks[0].Detected {
		t.Errorf("single readings: %+v", l.Blocks[0])
	}
}

func TestAnalyseLinearity_Refuses(t *testing.T) {
	for name, c := range map[string]struct {
		blocks []Block
		want   error
	}{
		"one block": {[]Block{{1, 0, []float64{1, 1, 1}}}, ErrTooFew},
		"one size":  {[]Block{{1, 0, []float64{1, 1}}, {1, 0, []float64{1, 2}}}, ErrAlike},
		"empty":     {[]Block{{1, 0, nil}, {2, 0, []float64{2}}}, ErrTooFew},
		"NaN":       {[]Block{{math.NaN(), 0, []float64{1}}, {2, 0, []float64{2}}}, ErrNotFinite},
	} {
		if _, err := AnalyseLinearity(c.blocks, 0.95); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}
