package wood

import "math"

// Curves are a board's moisture over days in the shop's air, and its width over
// a year.
type Curves struct {
	Days []Day  `json:"days"`
	Year []Week `json:"year"`
}

// Day is a board's mean moisture after some days in the shop's air, for the
// fastest, the likely and the slowest diffusion.
type Day struct {
	Day        float64 `json:"day"`
	FastestPct float64 `json:"fastest_pct"`
	LikelyPct  float64 `json:"likely_pct"`
	SlowestPct float64 `json:"slowest_pct"`
}

// curveDays is how many points a drying curve has.
const curveDays = 61

// Curves follows the drying until the slowest wood has gone 95 % of its way,
// closely at first where it is steep, and the year. Errors: Look's.
func (c Case) Curves() (*Curves, error) {
	all, err := c.slab().Days(0.95)
	if err != nil {
		return nil, err
	}
	days := make([]float64, curveDays)
	for i := range days {
		t := float64(i) / (curveDays - 1)
		days[i] = all.High * t * t
	}
	var out Curves
	if out.Days, err = c.Drying(days); err != nil {
		return nil, err
	}
	out.Year, err = c.Year()
	return &out, err
}

// Drying is a board's mean moisture after each number of days. Errors: Look's.
func (c Case) Drying(days []float64) ([]Day, error) {
	target, err := Equilibrium(c.TempC, c.HumidityPct)
	if err != nil {
		return nil, err
	}
	if !(c.ThicknessMM > 0) {
		return nil, ErrSlab
	}
	out := make([]Day, len(days))
	for i, t := range days {
		after := func(d float64) float64 { return c.MoisturePct + (target-c.MoisturePct)*c.slab().Fraction(t, d) }
		out[i] = Day{t, after(FastestM2S), after(LikelyM2S()), after(SlowestM2S)}
	}
	return out, nil
}

// weeksInYear and settleWeeks: a year is drawn by weeks, after a year before it
// that lets the start be forgotten.
const (
	weeksInYear = 52
	settleWeeks = 52
)

// Year is a board's change in width, in mm from now, week by week over a year
// whose humidity swings evenly from the driest to the dampest and back: Air
// where the wood would follow at once, Likely and Slowest where it lags.
//
// The slab's mean answers each week's step of the air as Fraction says, and
// steps add up (Duhamel).
func (c Case) Year() (weeks []Week, err error) {
	n := settleWeeks + weeksInYear + 1
	air := make([]float64, n)
	for i := range air {
		swing := -math.Cos(2 * math.Pi * float64(i) / weeksInYear)
		rh := (c.DriestPct+c.DampestPct)/2 + swing*(c.DampestPct-c.DriestPct)/2
		if air[i], err = Equilibrium(c.TempC, rh); err != nil {
			return nil, err
		}
	}
	if !(c.ThicknessMM > 0) {
		return nil, ErrSlab
	}
	likely, slowest := c.follow(air, LikelyM2S()), c.follow(air, SlowestM2S)
	for i := settleWeeks; i < n; i++ {
		weeks = append(weeks, Week{
			Week: i - settleWeeks, Air: c.width(air[i]).Likely,
			Likely: c.width(likely[i]).Likely, Slowest: c.width(slowest[i]).Likely,
		})
	}
	return weeks, nil
}

// Week is one week of a Year, in mm from the board's width now.
type Week struct {
	Week    int     `json:"week"`
	Air     float64 `json:"air_mm"`
	Likely  float64 `json:"likely_mm"`
	Slowest float64 `json:"slowest_mm"`
}

// follow is the slab's mean moisture at each week's end under air whose
// equilibrium moisture steps weekly.
func (c Case) follow(air []float64, diffusionM2S float64) []float64 {
	f := make([]float64, len(air)+1)
	for i := range f {
		f[i] = c.slab().Fraction(7*float64(i), diffusionM2S)
	}
	out := make([]float64, len(air))
	for i := range out {
		m, before := c.MoisturePct, c.MoisturePct
		for j := 0; j <= i; j++ {
			m += (air[j] - before) * f[i-j+1]
			before = air[j]
		}
		out[i] = m
	}
	return out
}
