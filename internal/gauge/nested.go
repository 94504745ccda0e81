package gauge

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/num"
)

// Visit is one day's readings of one part: their mean and standard deviation.
type Visit struct {
	Part, Run, Day string
	Mean, SD       float64
	N              int // readings
}

// Level is the scatter at one level of a nested study: the standard deviation
// of the means of the level below it, with its degrees of freedom.
type Level struct {
	Name string  `json:"level"` // "reading", "day", "run"
	SD   float64 `json:"sd"`
	DF   int     `json:"df"`
}

// Nested is what a nested study says. Levels are as measured; Repeat, Days and
// Runs are the shares left when what the level below adds is taken off, as
// standard deviations, not below 0.
type Nested struct {
	Repeat     float64 `json:"-"`
	Days       float64 `json:"days_sd"`
	Runs       num.Opt `json:"runs_sd"`            // missing with one run
	OneReading float64 `json:"one_reading_sd"`     // any day of any run
	DF         float64 `json:"degrees_of_freedom"` // of OneReading
	DayF       num.Opt `json:"days_f"`             // are days more than repeatability explains
	DayP       num.Opt `json:"days_p"`
	Levels     []Level `json:"levels"` // Reading, Day, and Run where there is more than one

	Reading, Day, Run Level `json:"-"`
}

// AnalyseNested takes a study apart in which each part was read several times
// a day, on several days, in one or more runs of days months apart. Parts
// differ; their own heights have no share in what is said of the gauge.
//
// Each visit needs 2 or more readings (N) and each run 2 or more days:
// ErrTooFew. Visits need not be equally large; what a level below adds is then
// taken with the mean of 1/N. Run's DF is 0 where there is one run.
// Source: NIST/SEMATECH e-Handbook 2.4.3; JCGM 100:2008 H.5. Checked by
// TestAnalyseNested_MPC61 and TestAnalyseNested_GUMH5.
func AnalyseNested(visits []Visit) (Nested, error) {
	type key struct{ part, run string }
	days := map[key][]float64{}
	runs := map[string][]float64{}
	var order []key
	var names []string
	var inside, perReading float64
	n := Nested{Reading: Level{Name: "reading"}, Day: Level{Name: "day"}, Run: Level{Name: "run"}}
	for _, v := range visits {
		if v.N < 2 {
			return Nested{}, fmt.Errorf("%w: part %s, day %s needs 2 readings or more", ErrTooFew, v.Part, v.Day)
		}
		if err := checkFinite([]float64{v.Mean, v.SD}); err != nil {
			return Nested{}, err
		}
		k := key{v.Part, v.Run}
		if _, seen := days[k]; !seen {
			order = append(order, k)
		}
		days[k] = append(days[k], v.Mean)
		inside += float64(v.N-1) * v.SD * v.SD
		n.Reading.DF += v.N - 1
		perReading += 1 / float64(v.N)
	}
	if len(visits) == 0 {
		return Nested{}, fmt.Errorf("%w: none", ErrTooFew)
	}
	n.Reading.SD = math.Sqrt(inside / float64(n.Reading.DF))
	var between, perDay float64
	for _, k := range order {
		if len(days[k]) < 2 {
			return Nested{}, fmt.Errorf("%w: part %s needs 2 days or more in each run", ErrTooFew, k.part)
		}
		between += squares(days[k])
		n.Day.DF += len(days[k]) - 1
		perDay += 1 / float64(len(days[k]))
		if _, seen := runs[k.part]; !seen {
			names = append(names, k.part)
		}
		runs[k.part] = append(runs[k.part], stat.Mean(days[k], nil))
	}
	n.Day.SD = math.Sqrt(between / float64(n.Day.DF))
	var across float64
	for _, part := range names {
		across += squares(runs[part])
		n.Run.DF += len(runs[part]) - 1
	}
	if n.Run.DF > 0 {
		n.Run.SD = math.Sqrt(across / float64(n.Run.DF))
	}
	n.take(perReading/float64(len(visits)), perDay/float64(len(order)))
	return n, nil
}

// take takes off each level what the one below adds to it: the mean of a day
// holds perReading of a reading's variance, that of a run perDay of a day's.
func (n *Nested) take(perReading, perDay float64) {
	square := func(v float64) float64 { return v * v }
	n.Repeat = n.Reading.SD
	n.Days = math.Sqrt(math.Max(0, square(n.Day.SD)-perReading*square(n.Reading.SD)))
	n.Levels = []Level{n.Reading, n.Day}
	if n.Run.DF > 0 {
		n.Runs = num.Some(math.Sqrt(math.Max(0, square(n.Run.SD)-perDay*square(n.Day.SD))))
		n.Levels = append(n.Levels, n.Run)
	}
	f, p := fTest(square(n.Day.SD)/perReading, square(n.Reading.SD), n.Day.DF, n.Reading.DF)
	n.DayF, n.DayP = num.Some(f), num.Some(p)
	// One reading's variance as a sum over the levels, each level's own mean
	// square times its weight, for the degrees of freedom.
	parts := []Share{{U: n.Reading.SD * math.Sqrt(1-perReading), DF: float64(n.Reading.DF)}}
	day := 1.0
	if n.Run.DF > 0 {
		parts = append(parts, Share{U: n.Run.SD, DF: float64(n.Run.DF)})
		day = 1 - perDay
	}
	parts = append(parts, Share{U: n.Day.SD * math.Sqrt(day), DF: float64(n.Day.DF)})
	_, n.DF = Combine(parts)
	n.OneReading = math.Sqrt(square(n.Repeat) + square(n.Days) + square(n.Runs.Or(0)))
}

// visitOf sums up one day's readings of one part.
func visitOf(part, run, day string, values []float64) Visit {
	v := Visit{Part: part, Run: run, Day: day, N: len(values), Mean: stat.Mean(values, nil)}
	if v.N > 1 {
		v.SD = stat.StdDev(values, nil)
	}
	return v
}

// squares is the sum of squares about the mean.
func squares(v []float64) float64 {
	return stat.Variance(v, nil) * float64(len(v)-1)
}
