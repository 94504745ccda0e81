package answer

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ringtrue/internal/gauge"
)

// dialStudy is invented: a dial of 0.002 mm repeatability in hands that differ
// by hands, on frets that stand spread off the line.
func dialStudy(hands, spread float64) gauge.Study {
	r := rand.New(rand.NewPCG(8, 3))
	s := gauge.Study{Kind: gauge.KindCrossed, Unit: "mm"}
	for p := range 10 {
		z := spread * r.NormFloat64()
		for h, name := range []string{"Ida", "Per", "Wim"} {
			for trial := range 3 {
				s.Readings = append(s.Readings, gauge.Reading{
					Part: fmt.Sprint(p), Operator: name, Trial: fmt.Sprint(trial), Value: z + hands*float64(h-1) + 0.002*r.NormFloat64(),
				})
			}
		}
	}
	return s
}

func mustGauge(t *testing.T, r GaugeRequest) *GaugeAnswer {
	t.Helper()
	a, err := Gauge(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The shape of the JSON that others read, and that shares fit the figures.
func TestGauge_JSON(t *testing.T) {
	data, err := json.Marshal(mustGauge(t, GaugeRequest{Study: dialStudy(0.001, 0.011), ZoneMM: 0.03}))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	number := func(key string) float64 {
		v, ok := got[key].(float64)
		if !ok {
			t.Fatalf("%s is %v in %s", key, got[key], data)
		}
		return v
	}
	grr := math.Hypot(number("repeatability_sd"), number("reproducibility_sd"))
	if math.Abs(number("grr_sd")-grr) > 1e-12 {
		t.Errorf("grr_sd %g, want %g", number("grr_sd"), grr)
	}
	if want := math.Hypot(grr, number("part_sd")); math.Abs(number("total_sd")-want) > 1e-12 {
		t.Errorf("total_sd %g, want %g", number("total_sd"), want)
	}
	if want := 100 * grr / number("total_sd"); math.Abs(number("grr_pct_of_total")-want) > 1e-9 {
		t.Errorf("grr_pct_of_total %g, want %g", number("grr_pct_of_total"), want)
	}
	if want := 100 * 6 * grr / 0.03; math.Abs(number("grr_pct_of_tolerance")-want) > 1e-9 {
		t.Errorf("grr_pct_of_tolerance %g, want %g", number("grr_pct_of_tolerance"), want)
	}
	if want := math.Floor(1.41 * number("part_sd") / grr); number("distinct_categories") != want {
		t.Errorf("distinct_categories %g, want %g", number("distinct_categories"), want)
	}
	number("interaction_p")
	if got["unit"] != "mm" {
		t.Errorf("unit %v", got["unit"])
	}
}

func TestGauge_WithoutTolerance(t *testing.T) {
	a := mustGauge(t, GaugeRequest{Study: dialStudy(0.001, 0.011)})
	if a.Decides != nil || a.GRRPctOfTolerance.Known() {
		t.Errorf("decides %+v without a zone", a.Decides)
	}
}

// A zone in millimetres is held against a study in inches.
func TestGauge_Inches(t *testing.T) {
	mm := dialStudy(0.001, 0.011)
	in := dialStudy(0.001, 0.011)
	in.Unit = "in"
	for i := range in.Readings {
		in.Readings[i].Value /= 25.4
	}
	a, b := mustGauge(t, GaugeRequest{Study: mm, ZoneMM: 0.03}), mustGauge(t, GaugeRequest{Study: in, ZoneMM: 0.03})
	if !(math.Abs(a.GRRPctOfTolerance.OrNaN()-b.GRRPctOfTolerance.OrNaN()) <= 1e-9) {
		t.Errorf("%g %% of the zone in mm, %g in inches", a.GRRPctOfTolerance.OrNaN(), b.GRRPctOfTolerance.OrNaN())
	}
	if !b.Decides.AnyHand[0].LevelWithin.Known() || !(math.Abs(a.Decides.AnyHand[0].LevelWithin.OrNaN()/25.4-b.Decides.AnyHand[0].LevelWithin.OrNaN()) <= 1e-9) {
		t.Errorf("level within %v mm, %v in", a.Decides.AnyHand[0].LevelWithin.OrNaN(), b.Decides.AnyHand[0].LevelWithin.OrNaN())
	}
}

// What is said agrees with what is so: hands that differ widely cannot be
// averaged away, one hand can.
func TestGauge_HandsThatDiffer(t *testing.T) {
	d := mustGauge(t, GaugeRequest{Study: dialStudy(0.012, 0.02), ZoneMM: 0.03}).Decides
	if d.PassesAnyHand != nil || d.PassesOneHand == nil || *d.PassesOneHand != 1 {
		t.Errorf("passes of any hand %v, of one %v; want none, 1", d.PassesAnyHand, d.PassesOneHand)
	}
	if d.AnyHand[0].LevelWithin.Known() || !d.OneHand[0].LevelWithin.Known() {
		t.Errorf("level within: any hand %v, one %v", d.AnyHand[0].LevelWithin, d.OneHand[0].LevelWithin)
	}
	words := strings.Join(mustGauge(t, GaugeRequest{Study: dialStudy(0.012, 0.02), ZoneMM: 0.03}).Words, "\n")
	if !strings.Contains(words, "One operator needs 1 pass") {
		t.Errorf("words: %s", words)
	}
}

func TestGauge_CoarseGaugeNeedsPasses(t *testing.T) {
	// 0.002 mm at a zone of 0.004: u must be 0.00102 or less, 4 passes of one hand.
	a := mustGauge(t, GaugeRequest{Study: dialStudy(0, 0.02), ZoneMM: 0.004})
	d := a.Decides
	if d.AnyHand[0].LevelWithin.Known() || d.PassesOneHand == nil {
		t.Fatalf("%+v", d)
	}
	n := float64(*d.PassesOneHand)
	u := a.Report.Repeatability.Or(0)
	if fixed := a.InteractionSD; math.Hypot(fixed, u/math.Sqrt(n)) > d.LargestU || math.Hypot(fixed, u/math.Sqrt(n-1)) <= d.LargestU {
		t.Errorf("%g passes at u %g for %g", n, u, d.LargestU)
	}
}

func TestGauge_OtherStudies(t *testing.T) {
	size := func(v float64) *float64 { return &v }
	nested := gauge.Study{Kind: gauge.KindNested, Unit: "mm"}
	blocks := gauge.Study{Kind: gauge.KindLinearity, Unit: "mm"}
	repeat := gauge.Study{Kind: gauge.KindRepeat, Unit: "mm"}
	for i := range 24 {
		e := 0.001 * float64(i*7%5)
		nested.Readings = append(nested.Readings, gauge.Reading{Part: fmt.Sprint(i / 12), Day: fmt.Sprint(i / 3), Value: e})
		blocks.Readings = append(blocks.Readings, gauge.Reading{Reference: size(float64(1 + i/6)), Value: 1.01*float64(1+i/6) + e})
		repeat.Readings = append(repeat.Readings, gauge.Reading{Value: e})
	}
	n := mustGauge(t, GaugeRequest{Study: nested, ZoneMM: 0.03})
	if n.Nested == nil || !n.Report.Repeatability.Known() || n.Runs.Known() || len(n.Levels) != 2 || n.Decides == nil {
		t.Errorf("nested: %+v", n.Nested)
	}
	l := mustGauge(t, GaugeRequest{Study: blocks, ZoneMM: 0.03})
	if l.Linearity == nil || len(l.Blocks) != 4 || math.Abs(l.Slope-0.01) > 0.001 {
		t.Errorf("linearity: %+v", l.Linearity)
	}
	r := mustGauge(t, GaugeRequest{Study: repeat, ZoneMM: 0.03})
	if r.Repeat == nil || math.Abs(r.Repeat.Step-0.001) > 1e-12 || r.Decides == nil {
		t.Errorf("repeat: %+v", r.Repeat)
	}
	for _, a := range []*GaugeAnswer{n, l, r} {
		if _, err := json.Marshal(a); err != nil {
			t.Errorf("%s: %v", a.Study, err)
		}
	}
}

func TestGauge_NothingMoves(t *testing.T) {
	s := gauge.Study{Kind: gauge.KindCrossed, Unit: "mm"}
	for i := range 8 {
		s.Readings = append(s.Readings, gauge.Reading{Part: fmt.Sprint(i / 4), Operator: fmt.Sprint(i / 2 % 2), Trial: fmt.Sprint(i % 2), Value: 0.1})
	}
	a := mustGauge(t, GaugeRequest{Study: s, ZoneMM: 0.03})
	if a.GRRPctOfTotal.Known() || len(a.Warnings) == 0 || a.InteractionP.Known() {
		t.Errorf("equal readings: %+v, warnings %q", a.CrossedReport, a.Warnings)
	}
	if _, err := json.Marshal(a); err != nil {
		t.Error(err)
	}
	same := gauge.Study{Kind: gauge.KindRepeat, Unit: "mm", Readings: []gauge.Reading{{Value: 0.1}, {Value: 0.1}}}
	if a := mustGauge(t, GaugeRequest{Study: same, ZoneMM: 0.03}); a.Decides != nil {
		t.Errorf("a gauge whose step hides all is said to decide: %+v", a.Decides)
	}
}

func TestGauge_Refuses(t *testing.T) {
	one := gauge.Study{Kind: gauge.KindRepeat, Unit: "mm", Readings: []gauge.Reading{{Value: 1}}}
	if _, err := Gauge(context.Background(), GaugeRequest{Study: one}); !errors.Is(err, gauge.ErrTooFew) {
		t.Errorf("one reading: %v", err)
	}
	if _, err := Gauge(context.Background(), GaugeRequest{Study: gauge.Study{Kind: "sideways", Unit: "mm"}}); err == nil {
		t.Error("an unknown kind was taken")
	}
}
