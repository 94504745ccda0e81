package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

func TestRunLength_ChampWoodall1987(t *testing.T) {
	c := published(t, "metro_arl_champ_woodall1987")
	shifts := numbers(t, c["shift"])
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
		for i, want := range numbers(t, c[set.column]) {
			t.Run(fmt.Sprintf("%s at %g", set.column, shifts[i]), func(t *testing.T) {
				got, err := RunLength(set.rules, NormalZones(shifts[i]))
				if err != nil {
					t.Fatal(err)
				}
				near(t, "run length", got, want, 0.005001) // printed to 0.01
			})
		}
	}
	// Their text: 91.75 with all four rules, no shift.
	all, err := RunLength(ZoneRules(), NormalZones(0))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "all four rules", all, 91.75, 0.005)
}

// printed returns what share of a unit in the last printed digit a number may
// be off.
func printed(cell string, share float64) float64 {
	_, decimals, _ := strings.Cut(cell, ".")
	return share * 1.0001 * math.Pow(10, -float64(len(decimals)))
}

func TestCusumRunLength_LucasCrosier1982(t *testing.T) {
	c := published(t, "metro_arl_lucas_crosier1982")
	for i, shift := range numbers(t, c["shift"]) {
		for _, start := range []struct {
			column string
			head   float64
		}{{"arl_zero_start", 0}, {"arl_fir", 2}} {
			cell := c[start.column][i]
			want, _ := strconv.ParseFloat(cell, 64)
			// Their table cuts some last digits: 1.32 at 3 sigma for 1.3254.
			near(t, fmt.Sprintf("%s at %g", start.column, shift),
				CusumRunLength(0.5, 4, start.head, shift), want, printed(cell, 1))
		}
	}
	// Textbook values of other schemes: h 5, one-sided h 3, and k 0.25, h 8.
	near(t, "k .5 h 5, no shift", CusumRunLength(0.5, 5, 0, 0), 465, 0.5)
	near(t, "k .5 h 5, 1 sigma", CusumRunLength(0.5, 5, 0, 1), 10.4, 0.05)
	one, _ := OneSidedCusumRunLength(0.5, 3, 0, 0)
	near(t, "one-sided h 3", one, 117.6, 0.05)
	// Quoted as 4.1500836225, of which the last three digits are not right: a
	// Markov chain of 300 and of 600 states, extrapolated, gives 4.15008372.
	one, _ = OneSidedCusumRunLength(0.25, 8, 0, 2.5)
	near(t, "one-sided k .25 h 8, 2.5 sigma", one, 4.1500836225, 2e-7)
	near(t, "the same, extrapolated chain", one, 4.1500837223816385, 5e-9)
}

func TestEWMARunLength_LucasSaccucci1990(t *testing.T) {
	c := published(t, "metro_arl_lucas_saccucci1990")
	for i, shift := range numbers(t, c["shift"]) {
		for _, scheme := range []struct {
			column        string
			lambda, width float64
		}{{"arl_l050_L3071", 0.5, 3.071}, {"arl_l003_L2437", 0.03, 2.437}} {
			cell := c[scheme.column][i]
			want, _ := strconv.ParseFloat(cell, 64)
			near(t, fmt.Sprintf("%s at %g", scheme.column, shift),
				EWMARunLength(scheme.lambda, scheme.width, shift), want, printed(cell, 0.5))
		}
	}
	near(t, "lambda .2, L 3", EWMARunLength(0.2, 3, 0), 560, 0.5)
	near(t, "lambda .2, L 3, 1 sigma", EWMARunLength(0.2, 3, 1), 10.8, 0.05)
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
				near(t, "simulated", mean, exact, 4*u)
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
	near(t, "all zones", all, 1, 1e-12)
	got, err := RunLength(LimitRule(), z)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "count chart", got, 1/(z[0]+z[zoneCount-1]), 1e-6*got)
	if z[farthestZone] == 0 {
		t.Error("a count of 16 lies on the centre 16")
	}
	p := ProportionZones(0.2313, 50)
	all = 0
	for _, q := range p {
		all += q
	}
	near(t, "all zones of a proportion", all, 1, 1e-12)
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
