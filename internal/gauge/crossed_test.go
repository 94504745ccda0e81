package gauge

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

// crossed builds a study from columns of a table; rows may stand in any order.
func crossed(t *testing.T, parts, operators, trials []string, readings []float64) Crossed {
	t.Helper()
	var rows []Reading
	for i := range readings {
		rows = append(rows, Reading{Part: parts[i], Operator: operators[i], Trial: trials[i], Value: readings[i]})
	}
	c, err := Cross(rows)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func aiag(t *testing.T) Crossed {
	c := casetest.Columns(t, "metro_grr_aiag")
	return crossed(t, c["part"], c["appraiser"], c["trial"], casetest.Numbers(t, c["y"]))
}

func sixSigma(t *testing.T) Crossed {
	c := casetest.Columns(t, "metro_grr_sixsigma")
	return crossed(t, c["prototype"], c["operator"], c["run"], casetest.Numbers(t, c["time1"]))
}

func TestAnalyse_AIAG(t *testing.T) {
	a, err := Analyse(aiag(t))
	if err != nil {
		t.Fatal(err)
	}
	// MSA 4th ed., fig. III-B 6 and its analysis of variance.
	for i, want := range []float64{9.81799, 1.58363, 0.01994, 0.04598} {
		casetest.Near(t, "mean square of "+a.Full[i].Source, a.Full[i].MS, want, 1e-5)
	}
	casetest.Near(t, "interaction F", a.Full[2].F.OrNaN(), 0.434, 6e-4)
	casetest.Near(t, "interaction p", a.InteractionP.OrNaN(), 0.974, 6e-4)
	if !a.Pooled {
		t.Error("the interaction is not pooled")
	}
	casetest.Near(t, "repeatability", a.Repeatability, 0.03997, 1e-5)
	casetest.Near(t, "reproducibility", a.Reproducibility(), 0.05146, 1e-5)
	casetest.Near(t, "gauge", a.Gauge(), 0.09143, 1e-5)
	casetest.Near(t, "part", a.Part, 1.08645, 1e-5)
	casetest.Near(t, "total", a.Total(), 1.17788, 1e-5)
	total := math.Sqrt(a.Total())
	casetest.Near(t, "repeatability %", 100*math.Sqrt(a.Repeatability)/total, 18.42, 0.006)
	casetest.Near(t, "reproducibility %", 100*math.Sqrt(a.Reproducibility())/total, 20.90, 0.006)
	casetest.Near(t, "gauge %", 100*math.Sqrt(a.Gauge())/total, 27.86, 0.006)
	casetest.Near(t, "part %", 100*math.Sqrt(a.Part)/total, 96.04, 0.006)
	casetest.Near(t, "categories", a.Categories()*math.Sqrt2/1.41, 4.875, 6e-4) // 4.875 is with √2; with 1.41 it is 4.861; they print 4
	if math.Floor(a.Categories()) != 4 {
		t.Errorf("categories %g, want 4 rounded down", a.Categories())
	}
}

func TestAnalyse_SixSigma(t *testing.T) {
	a, err := Analyse(sixSigma(t))
	if err != nil {
		t.Fatal(err)
	}
	// Cano, Moguerza & Redchuk 2012, chapter 5; test of R package SixSigma.
	for i, want := range []float64{1.2007, 0.0529, 0.0834, 0.3854} {
		casetest.Near(t, "squares of "+a.Full[i].Source, a.Full[i].SS, want, 5.1e-5)
	}
	for i, want := range []float64{28.797, 1.270, 0.974} {
		casetest.Near(t, "F of "+a.Full[i].Source, a.Full[i].F.OrNaN(), want, 5.1e-4)
	}
	for i, want := range []float64{0.00422, 0.37415, 0.44619} {
		casetest.Near(t, "p of "+a.Full[i].Source, a.Full[i].P.OrNaN(), want, 5.1e-6)
	}
	casetest.Near(t, "pooled squares", a.Rows[2].SS, 0.4688, 5.1e-5)
	if a.Rows[2].DF != 22 {
		t.Errorf("pooled df %d, want 22", a.Rows[2].DF)
	}
	casetest.Near(t, "gauge", math.Sqrt(a.Gauge()), 0.14792656, 1e-8)
	casetest.Near(t, "repeatability", math.Sqrt(a.Repeatability), 0.14597518, 1e-8)
	casetest.Near(t, "reproducibility", math.Sqrt(a.Reproducibility()), 0.02394813, 1e-8)
	casetest.Near(t, "part", math.Sqrt(a.Part), 0.25365123, 1e-8)
	casetest.Near(t, "total", math.Sqrt(a.Total()), 0.29363449, 1e-8)
	if math.Floor(a.Categories()) != 2 {
		t.Errorf("categories %g, want 2 rounded down", a.Categories())
	}
}

func TestAverageAndRange_AIAG(t *testing.T) {
	b, err := AverageAndRange(aiag(t))
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "K1", b.Repeatability/b.MeanRange, 0.5908, 5e-5)
	casetest.Near(t, "K2", 1/ofOneSample(3), 0.5231, 5e-5)
	casetest.Near(t, "K3", 1/ofOneSample(10), 0.3146, 5e-5)
	casetest.Near(t, "EV", b.Repeatability, 0.20188, 5e-5)
	casetest.Near(t, "AV", b.Reproducibility.OrNaN(), 0.22963, 7e-5) // they round K2 to 0.5231
	casetest.Near(t, "GRR", b.Gauge, 0.30575, 5e-5)
	casetest.Near(t, "PV", b.Part, 1.10456, 1.2e-4) // they round K3 to 0.3146
	casetest.Near(t, "TV", b.Total, 1.14610, 1.2e-4)
	casetest.Near(t, "EV %", 100*b.Repeatability/b.Total, 17.62, 0.01)
	casetest.Near(t, "AV %", 100*b.Reproducibility.OrNaN()/b.Total, 20.04, 0.01)
	casetest.Near(t, "GRR %", 100*b.Gauge/b.Total, 26.68, 0.01)
	casetest.Near(t, "PV %", 100*b.Part/b.Total, 96.38, 0.01)
	if *b.Categories != 5 {
		t.Errorf("categories %d, want 5 rounded down", *b.Categories)
	}
	casetest.Near(t, "range limit", b.RangeLimit, 0.8795, 3e-4) // they round D4
	if len(b.Wide) != 1 || b.Wide[0].Part != "4" || b.Wide[0].Operator != "B" {
		t.Fatalf("wide ranges %+v, want operator B, part 4", b.Wide)
	}
	casetest.Near(t, "its range", b.Wide[0].Range, 1.02, 1e-12)
}

// simulate draws a study whose components are known.
func simulate(r *rand.Rand, p, o, n int, part, operator, both, repeat float64) Crossed {
	c := Crossed{Parts: make([]string, p), Operators: make([]string, o)}
	hands := make([]float64, o)
	for j := range hands {
		hands[j] = operator * r.NormFloat64()
	}
	for range p {
		height := part * r.NormFloat64()
		var cells [][]float64
		for j := range o {
			own := both * r.NormFloat64()
			cell := make([]float64, n)
			for k := range cell {
				cell[k] = height + hands[j] + own + repeat*r.NormFloat64()
			}
			cells = append(cells, cell)
		}
		c.Readings = append(c.Readings, cells)
	}
	return c
}

// The mean squares are what their textbook expectations say: estimates over
// many studies hit the truth.
func TestAnalyse_Unbiased(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	const trials = 1500
	var v Variances
	for range trials {
		a, err := Analyse(simulate(r, 10, 6, 2, 4, 2, 1.5, 1))
		if err != nil {
			t.Fatal(err)
		}
		v.Part += a.Part / trials
		v.Operator += a.Operator / trials
		v.Interaction += a.Interaction / trials
		v.Repeatability += a.Repeatability / trials
	}
	casetest.Near(t, "part", v.Part, 16, 0.9)
	casetest.Near(t, "operator", v.Operator, 4, 0.35)
	casetest.Near(t, "interaction", v.Interaction, 2.25, 0.05)
	casetest.Near(t, "repeatability", v.Repeatability, 1, 0.02)
}

func TestLimits_Coverage(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	const trials = 250
	held := map[string]int{}
	hold := func(name string, l Limits, truth float64) {
		if l.Lower.OrNaN() <= truth && truth <= l.Upper.OrNaN() {
			held[name]++
		}
	}
	for range trials {
		a, err := Analyse(simulate(r, 10, 3, 3, 4, 1, 0.8, 1))
		if err != nil {
			t.Fatal(err)
		}
		l := a.limits(0.95, 2000)
		gauge := 1 + 0.64 + 1.0
		hold("gauge", l.Gauge, math.Sqrt(gauge))
		hold("part", l.Part, 4)
		hold("total", l.Total, math.Sqrt(16+gauge))
		hold("share", l.GaugePct, 100*math.Sqrt(gauge/(16+gauge)))
		hold("reproducibility", l.Reproducibility, math.Sqrt(1.64))
	}
	// 0.95 − 4 standard deviations of 250 tosses, less what rounding a pooled
	// interaction away may cost.
	for _, name := range []string{"gauge", "part", "total", "share", "reproducibility"} {
		if share := float64(held[name]) / trials; share < 0.89 {
			t.Errorf("%s: limits hold the truth in %.3f, want about 0.95", name, share)
		}
	}
}

func TestLimits_Exact(t *testing.T) {
	a, err := Analyse(aiag(t))
	if err != nil {
		t.Fatal(err)
	}
	l := a.Limits(0.95)
	exact := SDLimits(math.Sqrt(a.Repeatability), a.Rows[2].DF, 0.95)
	casetest.Near(t, "repeatability at least", l.Repeatability.Lower.OrNaN(), exact.Lower.OrNaN(), 0.01*exact.Lower.OrNaN())
	casetest.Near(t, "repeatability at most", l.Repeatability.Upper.OrNaN(), exact.Upper.OrNaN(), 0.01*exact.Upper.OrNaN())
	if again := a.Limits(0.95); again != l {
		t.Error("the limits of one study differ from call to call")
	}
}

// The same limits by another method: the modified large-sample interval of a
// sum of mean squares, Graybill & Wang, JASA 75 (1980) 869 (from memory).
func TestLimits_ModifiedLargeSample(t *testing.T) {
	a, err := Analyse(aiag(t))
	if err != nil {
		t.Fatal(err)
	}
	p, r := float64(a.Parts), float64(a.Trials)
	// Gauge = (MS operator + (pr − 1) MS repeat)/pr.
	weights := []float64{1 / (p * r), (p*r - 1) / (p * r)}
	rows := []Row{a.Rows[1], a.Rows[2]}
	var below, above float64
	for i, row := range rows {
		chi := distuv.ChiSquared{K: float64(row.DF)}
		g := 1 - float64(row.DF)/chi.Quantile(0.975)
		h := float64(row.DF)/chi.Quantile(0.025) - 1
		below += math.Pow(g*weights[i]*row.MS, 2)
		above += math.Pow(h*weights[i]*row.MS, 2)
	}
	lower, upper := math.Sqrt(a.Gauge()-math.Sqrt(below)), math.Sqrt(a.Gauge()+math.Sqrt(above))
	l := a.Limits(0.95)
	casetest.Near(t, "gauge at least", l.Gauge.Lower.OrNaN(), lower, 0.04*lower)
	casetest.Near(t, "gauge at most", l.Gauge.Upper.OrNaN(), upper, 0.04*upper)
}

// More draws move the ends by about a per cent at most.
func TestLimits_Draws(t *testing.T) {
	a, err := Analyse(aiag(t))
	if err != nil {
		t.Fatal(err)
	}
	some, many := a.limits(0.95, limitDraws), a.limits(0.95, 10*limitDraws)
	for _, c := range []struct{ some, many num.Opt }{
		{some.Gauge.Lower, many.Gauge.Lower}, {some.Part.Lower, many.Part.Lower}, {some.Part.Upper, many.Part.Upper},
		{some.Total.Upper, many.Total.Upper}, {some.GaugePct.Lower, many.GaugePct.Lower},
	} {
		casetest.Near(t, "an end", c.some.OrNaN(), c.many.OrNaN(), 0.015*c.many.OrNaN())
	}
}

func TestAnalyse_OneOperator(t *testing.T) {
	c := Crossed{Parts: []string{"a", "b"}, Operators: []string{"x"}, Readings: [][][]float64{{{1, 3}}, {{5, 7}}}}
	a, err := Analyse(c)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "repeatability", a.Repeatability, 2, 1e-12)
	casetest.Near(t, "part", a.Part, (16-2)/2.0, 1e-12)
	if a.InteractionP.Known() || a.Reproducibility() != 0 {
		t.Errorf("one operator: p %v, reproducibility %g", a.InteractionP, a.Reproducibility())
	}
	if l := a.Limits(0.95); l.Reproducibility.Upper.Known() {
		t.Errorf("limits of one hand's reproducibility: %v", l.Reproducibility)
	}
}

func TestAnalyse_NoScatter(t *testing.T) {
	c := Crossed{
		Parts: []string{"a", "b"}, Operators: []string{"x", "y"},
		Readings: [][][]float64{{{0.1, 0.1}, {0.1, 0.1}}, {{0.3, 0.3}, {0.3, 0.3}}},
	}
	a, err := Analyse(c)
	if err != nil {
		t.Fatal(err)
	}
	if a.Gauge() != 0 || a.InteractionP.Known() || !math.IsInf(a.Categories(), 1) {
		t.Errorf("equal readings: gauge %g, p %v, categories %g", a.Gauge(), a.InteractionP, a.Categories())
	}
	for _, v := range c.Readings {
		for _, cell := range v {
			for i := range cell {
				cell[i] = 0.7
			}
		}
	}
	a, err = Analyse(c)
	if err != nil {
		t.Fatal(err)
	}
	if a.Total() != 0 || a.Categories() != 0 {
		t.Errorf("nothing moved: total %g, categories %g", a.Total(), a.Categories())
	}
	a.Limits(0.95)
}

func TestAnalyse_Refuses(t *testing.T) {
	tests := []struct {
		name string
		c    Crossed
		want error
	}{
		{"one part", Crossed{Readings: [][][]float64{{{1, 2}}}}, ErrTooFew},
		{"one trial", Crossed{Readings: [][][]float64{{{1}}, {{2}}}}, ErrTooFew},
		{"uneven trials", Crossed{Readings: [][][]float64{{{1, 2}}, {{2}}}}, ErrUneven},
		{"uneven operators", Crossed{Readings: [][][]float64{{{1, 2}, {3, 4}}, {{2, 3}}}}, ErrUneven},
		{"NaN", Crossed{Readings: [][][]float64{{{1, 2}}, {{2, math.NaN()}}}}, ErrNotFinite},
	}
	for _, tt := range tests {
		if _, err := Analyse(tt.c); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, err, tt.want)
		}
		if _, err := AverageAndRange(tt.c); !errors.Is(err, tt.want) {
			t.Errorf("%s by ranges: %v, want %v", tt.name, err, tt.want)
		}
	}
}

// A shift changes nothing, another unit all alike.
func TestAnalyse_Unit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		shift := rapid.Float64Range(-100, 100).Draw(t, "shift")
		one := simulate(rand.New(rand.NewPCG(seed, 1)), 4, 2, 2, 3, 1, 1, 1)
		other := simulate(rand.New(rand.NewPCG(seed, 1)), 4, 2, 2, 3, 1, 1, 1)
		for _, p := range other.Readings {
			for _, cell := range p {
				for i := range cell {
					cell[i] = shift - 25.4*cell[i]
				}
			}
		}
		a, err := Analyse(one)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Analyse(other)
		if err != nil {
			t.Fatal(err)
		}
		if ratio := math.Sqrt(b.Total() / a.Total()); math.Abs(ratio-25.4) > 1e-9 {
			t.Errorf("total grew by %g, want 25.4", ratio)
		}
		if math.Abs(a.InteractionP.OrNaN()-b.InteractionP.OrNaN()) > 1e-9 {
			t.Errorf("p %v, in another unit %v", a.InteractionP, b.InteractionP)
		}
	})
}

func BenchmarkAnalyse_10x3x3(b *testing.B) {
	c := simulate(rand.New(rand.NewPCG(1, 1)), 10, 3, 3, 4, 1, 1, 1)
	for b.Loop() {
		if _, err := Analyse(c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLimits_10x3x3(b *testing.B) {
	a, err := Analyse(simulate(rand.New(rand.NewPCG(1, 1)), 10, 3, 3, 4, 1, 1, 1))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		a.Limits(0.95)
	}
}
