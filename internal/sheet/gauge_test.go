package sheet

import (
	"fmt"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/gauge"
)

// studies are one of each kind, invented.
func studies() map[string]gauge.Study {
	known := func(v float64) *float64 { return &v }
	crossed := gauge.Study{Kind: gauge.KindCrossed, Unit: "mm"}
	nested := gauge.Study{Kind: gauge.KindNested, Unit: "mm"}
	repeat := gauge.Study{Kind: gauge.KindRepeat, Unit: "mm"}
	blocks := gauge.Study{Kind: gauge.KindLinearity, Unit: "mm"}
	for p := range 8 {
		for h, hand := range []string{"Ida", "Per", "Wim"} {
			for trial := range 3 {
				v := 0.01*float64(p%5) + 0.001*float64(h) + 0.0004*float64((p*7+h*3+trial*5)%9)
				crossed.Readings = append(crossed.Readings, gauge.Reading{Part: fmt.Sprint("fret ", p+1), Operator: hand, Trial: fmt.Sprint(trial), Value: v})
				nested.Readings = append(nested.Readings, gauge.Reading{Part: hand, Day: fmt.Sprint(p), Value: v})
			}
		}
		repeat.Readings = append(repeat.Readings, gauge.Reading{Value: 0.41 + 0.001*float64(p*5%7)})
		blocks.Readings = append(blocks.Readings, gauge.Reading{Reference: known(1 + 0.1*float64(p/2)), Value: 1.001 + 0.1*float64(p/2) + 0.0005*float64(p%3)})
	}
	return map[string]gauge.Study{"crossed": crossed, "nested": nested, "repeat": repeat, "linearity": blocks}
}

// judged is a study with what was found of it.
func judged(study gauge.Study) gaugeSheet {
	return gaugeSheet{study, &answer.GaugeAnswer{Report: gauge.Report{
		Unit: "mm", CrossedReport: &gauge.CrossedReport{ByRange: gauge.ByRange{RangeLimit: 0.0025}},
		Repeat: &gauge.Repeat{SD: 0.002}, Linearity: &gauge.Linearity{Intercept: -0.001, Slope: 0.002},
		Decides: &gauge.Decisions{
			AnyHand: []gauge.DecisionRule{{Passes: 1, U: 0.004}, {Passes: 2, U: 0.0035}, {Passes: 4, U: 0.003}},
			OneHand: []gauge.DecisionRule{{Passes: 1, U: 0.003}, {Passes: 2, U: 0.0021}, {Passes: 4, U: 0.0015}},
			Zone:    0.03, LargestU: 0.00765, SharpU: 0.00456,
		},
	}}}
}

func TestGauge_Pages(t *testing.T) {
	for name, study := range studies() {
		t.Run(name, func(t *testing.T) {
			s := judged(study)
			p, err := s.page("One reading is worth so much.", Micrometres)
			if err != nil {
				t.Fatal(err)
			}
			clean(t, p, 1.13)
			if name == "crossed" {
				golden(t, p, "gauge.svg")
			}
		})
	}
}
