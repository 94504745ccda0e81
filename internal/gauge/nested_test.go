package gauge

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
)

// mpc61 returns the visits of probe 2362 in the given runs.
func mpc61(t *testing.T, runs string) (visits []Visit) {
	t.Helper()
	c := casetest.Columns(t, "metro_nist_gauge_study_mpc61")
	mean, sd := casetest.Numbers(t, c["average"]), casetest.Numbers(t, c["stddev"])
	for i, probe := range c["probe"] {
		run := c["run"][i]
		if probe != "2362" || runs != "" && run != runs {
			continue
		}
		visits = append(visits, Visit{
			Part: c["wafer"][i], Run: run, Day: c["month"][i] + "-" + c["day"][i] + "-" + string(rune('a'+i)),
			Mean: mean[i], SD: sd[i], N: 6,
		})
	}
	if len(visits) == 0 {
		t.Fatal("no visit of the probe")
	}
	return visits
}

// NIST/SEMATECH e-Handbook 2.6.1.2 prints .0658, .0758 and .0710 for the
// repeatability of probe 2362; its own table of data gives the values below,
// 2.6 % larger throughout. The reason is not known; these are of the table.
func TestAnalyseNested_MPC61(t *testing.T) {
	one, err := AnalyseNested(mpc61(t, "1"))
	if err != nil {
		t.Fatal(err)
	}
	two, err := AnalyseNested(mpc61(t, "2"))
	if err != nil {
		t.Fatal(err)
	}
	both, err := AnalyseNested(mpc61(t, ""))
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "s1 of run 1", one.Reading.SD, 0.067509, 1e-5)
	casetest.Near(t, "s1 of run 2", two.Reading.SD, 0.077857, 1e-5)
	casetest.Near(t, "s1", both.Reading.SD, 0.072867, 1e-5)
	casetest.Near(t, "s2", both.Day.SD, 0.036168, 1e-5)
	casetest.Near(t, "s3", both.Run.SD, 0.019645, 1e-5)
	if both.Reading.DF != 300 || both.Day.DF != 50 || both.Run.DF != 5 {
		t.Errorf("degrees of freedom %d, %d, %d; want 300, 50, 5", both.Reading.DF, both.Day.DF, both.Run.DF)
	}
}

func TestAnalyseNested_GUMH5(t *testing.T) {
	c := casetest.Columns(t, "metro_gum_h5_voltage")
	mean, sd := casetest.Numbers(t, c["mean_v"]), casetest.Numbers(t, c["sd_uv"])
	var visits []Visit
	var grand float64
	for i := range mean {
		visits = append(visits, Visit{Part: "Zener", Day: c["day"][i], Mean: mean[i], SD: sd[i] / 1e6, N: 5})
		grand += mean[i] / float64(len(mean))
	}
	n, err := AnalyseNested(visits)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "mean", grand, 10.000097, 6e-7)
	casetest.Near(t, "sd of the daily means", n.Day.SD*1e6, 57, 0.5)
	casetest.Near(t, "pooled sd", n.Reading.SD*1e6, 85, 0.5)
	casetest.Near(t, "F", n.DayF.OrNaN(), 2.2615, 0.005) // they print 2.25, of rounded values
	if n.DayP.OrNaN() > 0.05 || n.DayP.OrNaN() < 0.025 {
		t.Errorf("p %v: they find it above 0.025 and below 0.05", n.DayP)
	}
	if n.Run.DF != 0 || n.Runs.Known() {
		t.Errorf("one run shows a scatter of runs: %+v", n)
	}
}

// Over many studies the shares hit the truth.
func TestAnalyseNested_Unbiased(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	const trials = 400
	var repeat, days, runs float64
	for range trials {
		var visits []Visit
		for _, part := range []string{"a", "b", "c"} {
			for _, run := range []string{"1", "2", "3"} {
				offRun := 2 * r.NormFloat64()
				for _, day := range []string{"1", "2", "3", "4"} {
					offDay := 1.5 * r.NormFloat64()
					var x []float64
					for range 3 {
						x = append(x, 10+offRun+offDay+r.NormFloat64())
					}
					visits = append(visits, visitOf(part, run, run+"."+day, x))
				}
			}
		}
		n, err := AnalyseNested(visits)
		if err != nil {
			t.Fatal(err)
		}
		repeat += n.Repeat * n.Repeat / trials
		days += n.Days * n.Days / trials
		runs += n.Runs.Or(0) * n.Runs.Or(0) / trials
	}
	casetest.Near(t, "repeatability", repeat, 1, 0.04)
	casetest.Near(t, "days", days, 2.25, 0.2)
	casetest.Near(t, "runs", runs, 4, 0.5)
}

func TestAnalyseNested_Refuses(t *testing.T) {
	for name, visits := range map[string][]Visit{
		"none":        nil,
		"one reading": {{Part: "a", Day: "1", N: 1}, {Part: "a", Day: "2", N: 2}},
		"one day":     {{Part: "a", Day: "1", N: 3, SD: 1}},
	} {
		if _, err := AnalyseNested(visits); !errors.Is(err, ErrTooFew) {
			t.Errorf("%s: %v, want ErrTooFew", name, err)
		}
	}
	if _, err := AnalyseNested([]Visit{{N: 2, Mean: math.NaN()}}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("NaN: %v", err)
	}
}
