package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

func TestRunLength_ChampWoodall1987(t *testing.T) {
	c := casetest.Columns(t, "metro_arl_champ_woodall1987")
	shifts := casetest.Numbers(t, c["shift"])
	sets := []struct {
		column string
		rules  []Rule
	}{
		{"C1", []Rule{Beyond3}},
		{"C12", []Rule{Beyond3, TwoOfThree}},
		{"C13", []Rule{Beyond3, FourOfFive}},
		{"C14", []Rule{Beyond3, EightOneSide}},
	}
	for _, set := range sets {
		for i, want := range casetest.Numbers(t, c[set.column]) {
			t.Run(fmt.Sprintf("%s at %g", set.column, shifts[i]), func(t *testing.T) {
				got, err := RunLength(set.rules, NormalZones(shifts[i]))
				if err != nil {
					t.Fatal(err)
				}
				casetest.Near(t, "run length", got, want, 0.005001) // printed to 0.01
			})
		}
	}
	// Their text: 91.75 with all four rules, no shift.
	all, err := RunLength(ZoneRules(), NormalZones(0))
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "all four rules", all, 91.75, 0.005)
}

// printed returns what share of a unit in the last printed digit a number may
// be off.
func printed(cell string, share float64) float64 {
	_, decimals, _ := strings.Cut(cell, ".")
	return share * 1.0001 * math.Pow(10, -float64(len(decimals)))
}

func TestCusumRunLength_LucasCrosier1982(t *testing.T) {
	c := casetest.Columns(t, "metro_arl_lucas_crosier1982")
	for i, shift := range casetest.Numbers(t, c["shift"]) {
		for _, start := range []struct {
			column string
			head   float64
		}{{"arl_zero_start", 0}, {"arl_fir", 2}} {
			cell := c[start.column][i]
			want, _ := strconv.ParseFloat(cell, 64)
			// Their table cuts some last digits: 1.32 at 3 sigma for 1.3254.
			casetest.Near(t, fmt.Sprintf("%s at %g", start.column, shift),
				CusumRunLength(0.5, 4, start.head, shift), want, printed(cell, 1))
		}
	}
	// Textbook values of other schemes: h 5, one-sided h 3, and k 0.25, h 8.
	casetest.Near(t, "k .5 h 5, no shift", CusumRunLength(0.5, 5, 0, 0), 465, 0.5)
	casetest.Near(t, "k .5 h 5, 1 sigma", CusumRunLength(0.5, 5, 0, 1), 10.4, 0.05)
	one, _ := OneSidedCusumRunLength(0.5, 3, 0, 0)
	casetest.Near(t, "one-sided h 3", one, 117.6, 0.05)
	// Quoted as 4.1500836225, of which the last three digits are not right: a
	// Markov chain of 300 and of 600 states, extrapolated, gives 4.15008372.
	one, _ = OneSidedCusumRunLength(0.25, 8, 0, 2.5)
	casetest.Near(t, "one-sided k .25 h 8, 2.5 sigma", one, 4.1500836225, 2e-7)
	casetest.Near(t, "the same, extrapolated chain", one, 4.1500837223816385, 5e-9)
}

func TestEWMARunLength_LucasSaccucci1990(t *testing.T) {
	c := casetest.Columns(t, "metro_arl_lucas_saccucci1990")
	for i, shift := range casetest.Numbers(t, c["shift"]) {
		for _, scheme := range []struct {
			column        string
			lambda, width float64
		}{{"arl_l050_L3071", 0.5, 3.071}, {"arl_l003_L2437", 0.03, 2.437}} {
			cell := c[scheme.column][i]
			want, _ := strconv.ParseFloat(cell, 64)
			casetest.Near(t, fmt.Sprintf("%s at %g", scheme.column, shift),
				EWMARunLength(scheme.lambda, scheme.width, shift), want, printed(cell, 0.5))
		}
	}
	casetest.Near(t, "lambda .2, L 3", EWMARunLength(0.2, 3, 0), 560, 0.5)
	casetest.Near(t, "lambda .2, L 3, 1 sigma", EWMARunLength(0.2, 3, 1), 10.8, 0.05)
}

// A run length by two routes: the chain, and runs of the rules themselves.
func TestRunLength_AgainstSimulation(t *testing.T) {
	sets := map[string][]Rule{
		"zone rules":    ZoneRules(),
		"Nelson 1 2 7":  {Beyond3, NineOneSide, FifteenWithin},
		"Nelson 1 8":    {Beyond3, EightBeyond},
		"Nelson 1 5 6":  {Beyond3, TwoOfThree, FourOfFive},
		"Nelson 2 only": {NineOneSide},
	}
	for name, rules := range sets {
		for _, shift := range []float64{0, 0.7} {
			t.Run(fmt.Sprintf("%s at %g", name, shift), func(t *testing.T) {
				exact, err := RunLength(rules, NormalZones(shift))
				if err != nil {
					t.Fatal(err)
				}
				mean, u := SimulatedRunLength(rules, shift, 4000, rand.NewPCG(1987, 393))
				casetest.Near(t, "simulated", mean, exact, 4*u)
			})
		}
	}
}

func TestRunLength_OfCounts(t *testing.T) {
	// With the limits alone a count chart is a coin tossed each time.
	z := CountZones(16)
	var all float64
	for _, p := range z {
		all += p
	}
	casetest.Near(t, "all zones", all, 1, 1e-12)
	got, err := RunLength(LimitRule(), z)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "count chart", got, 1/(z[0]+z[zoneCount-1]), 1e-6*got)
	if z[farthestZone] == 0 {
		t.Error("a count of 16 lies on the centre 16")
	}
	p := ProportionZones(0.2313, 50)
	all = 0
	for _, q := range p {
		all += q
	}
	casetest.Near(t, "all zones of a proportion", all, 1, 1e-12)
}

func TestRunLength_NoSignalCanCome(t *testing.T) {
	var z Zones
	z[farthestZone+1], z[farthestZone-1] = 0.5, 0.5
	got, err := RunLength(LimitRule(), z)
	if err != nil || !math.IsInf(got, 1) {
		t.Errorf("RunLength = %v, %v; want +Inf", got, err)
	}
}

func BenchmarkRunLength_ZoneRules(b *testing.B) {
	for b.Loop() {
		if _, err := RunLength(ZoneRules(), NormalZones(0)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCusumRunLength(b *testing.B) {
	for b.Loop() {
		CusumRunLength(0.5, 5, 0, 0)
	}
}

func BenchmarkEWMARunLength(b *testing.B) {
	for b.Loop() {
		EWMARunLength(0.2, 3, 0)
	}
}

func TestRangeSurvival_ClosedForm(t *testing.T) {
	// Of two values the range is the size of a normal deviate times √2.
	for _, w := range []float64{0.1, 1, 2.5, 3.7, 5} {
		casetest.Near(t, "two values", RangeSurvival(2, w), 2*phi(-w/math.Sqrt2), 1e-10)
	}
	// The 5 % points of the range of 5 and of 10: 3.858 and 4.474 (tables of the
	// studentised range with infinite degrees of freedom, from memory).
	casetest.Near(t, "of 5", RangeSurvival(5, 3.858), 0.05, 5e-5)
	casetest.Near(t, "of 10", RangeSurvival(10, 4.474), 0.05, 5e-5)
}

func TestMovingRangeRunLength_Simulated(t *testing.T) {
	r := rand.New(rand.NewPCG(1987, 5))
	limit := D2(2) + 3*D3(2)
	const runs = 40_000
	var sum, square float64
	for range runs {
		last := r.NormFloat64()
		for n := 1.0; ; n++ {
			next := r.NormFloat64()
			if math.Abs(next-last) > limit {
				sum += n / runs
				square += n * n / runs
				break
			}
			last = next
		}
	}
	u := math.Sqrt((square - sum*sum) / runs)
	casetest.Near(t, "run length", MovingRangeRunLength(), sum, 4*u)
	if alone := 1 / RangeSurvival(2, limit); sum < alone {
		t.Errorf("sharing values shortens it from %.1f to %.1f", alone, sum)
	}
}

func TestSpreadRunLength_Groups(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1987))
	const groups, n = 200_000, 7
	ranges, deviations := 0, 0
	g := make([]float64, n)
	k := newConstants([][]float64{g}, ByRange)[n]
	s := newConstants([][]float64{g}, ByDeviation)[n]
	for range groups {
		for i := range g {
			g[i] = r.NormFloat64()
		}
		if math.Abs(ByRange.of(g)-k.mean) > 3*k.sd {
			ranges++
		}
		if math.Abs(ByDeviation.of(g)-s.mean) > 3*s.sd {
			deviations++
		}
	}
	check := func(what string, count int, runLength float64) {
		want := groups / runLength
		casetest.Near(t, what, float64(count), want, 4*math.Sqrt(want))
	}
	check("ranges", ranges, SpreadRunLength(KindRanges, n))
	check("standard deviations", deviations, SpreadRunLength(KindDeviations, n))
}

// How well 20 points give sigma, which warnings of few points rest on.
func TestIndividuals_SigmaScatter(t *testing.T) {
	const trials = 2000
	var sum, square float64
	for seed := range trials {
		c, _, err := Individuals(noise(uint64(90_000+seed), 20), Basis{})
		if err != nil {
			t.Fatal(err)
		}
		sum += c.Sigma / trials
		square += c.Sigma * c.Sigma / trials
	}
	casetest.Near(t, "mean sigma", sum, 1, 0.02)
	casetest.Near(t, "scatter of sigma", math.Sqrt(square-sum*sum), 0.20, 0.02)
}
