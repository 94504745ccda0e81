package wear

import (
	"sort"
	"time"

	"ringtrue/internal/num"
)

// WornCrown is a worn crown and how long it lasts if it is played as before, as
// JSON has it. The years are calendar years, such as 2031.4; missing where none
// can be given.
type WornCrown struct {
	Fret         int     `json:"fret"`
	Lane         float64 `json:"lane"`
	DepthMM      float64 `json:"depth_mm"`
	UMM          float64 `json:"u_mm"`
	RatePerYear  num.Opt `json:"rate_mm_per_year"`
	CrownMM      float64 `json:"crown_mm"` // its height at the second stage
	Measured     bool    `json:"crown_measured"`
	LeftMM       float64 `json:"left_mm"` // above level.least_crown
	SoonestYear  num.Opt `json:"soonest_year"`
	LatestYear   num.Opt `json:"latest_year"`
	BelowAlready bool    `json:"below_already"`
}

// LeastCrownYear is when the first crown is worn down to level.least_crown.
type LeastCrownYear struct {
	LeastMM      float64 `json:"least_mm"`
	Fret         int     `json:"fret"` // the crown that may be first
	Lane         float64 `json:"lane"`
	SoonestYear  num.Opt `json:"soonest_year"` // wear in proportion to time
	LatestYear   num.Opt `json:"latest_year"`  // with the square root of time; missing: not certain
	BelowAlready bool    `json:"below_already"`
}

// Playing is what tells how long worn crowns last.
type Playing struct {
	Years      num.Opt   // between the stages; missing: not known
	To         time.Time // the second stage
	LeastMM    float64   // level.least_crown; 0: none is set
	Confidence float64
	// Stands is how high a crown stands at the second stage, and whether that was read.
	Stands func(Change) (mm float64, measured bool)
}

// Last says how deep each worn crown is, how fast it wears and when it is worn
// down, the soonest first, and when the first crown of the neck is. The second is
// nil where nothing is worn, no least is set, or no time is known.
func (r *Result) Last(p Playing) ([]WornCrown, *LeastCrownYear) {
	worn := []WornCrown{}
	for _, x := range r.Changes {
		if x.Verdict != Worn {
			continue
		}
		w := WornCrown{Fret: x.Fret, Lane: x.Lane, DepthMM: -x.MM, UMM: x.UMM}
		w.CrownMM, w.Measured = p.Stands(x)
		w.LeftMM = w.CrownMM - p.LeastMM
		if years, known := p.Years.Get(); known {
			if l, err := LifeOf(w.DepthMM, w.UMM, years, w.LeftMM, p.Confidence); err == nil {
				w.RatePerYear, w.BelowAlready = num.Some(l.RateMMPerYear), l.AlreadyReached
				if p.LeastMM > 0 {
					w.SoonestYear, w.LatestYear = p.year(l.SoonestYears), p.year(l.LatestYears)
				}
			}
		}
		worn = append(worn, w)
	}
	sort.SliceStable(worn, func(i, j int) bool { return worn[i].SoonestYear.Or(never) < worn[j].SoonestYear.Or(never) })
	if p.LeastMM <= 0 || !p.Years.Known() || len(worn) == 0 {
		return worn, nil
	}
	first := &LeastCrownYear{LeastMM: p.LeastMM, Fret: worn[0].Fret, Lane: worn[0].Lane, SoonestYear: worn[0].SoonestYear}
	for _, w := range worn {
		if w.LatestYear.Or(never) < first.LatestYear.Or(never) {
			first.LatestYear = w.LatestYear
		}
		first.BelowAlready = first.BelowAlready || w.BelowAlready
	}
	return worn, first
}

// DaysPerYear is how long a calendar year is, on the mean.
const DaysPerYear = 365.2425

const (
	lastYear = 9999         // the farthest that a forecast is worth saying
	never    = lastYear + 1 // past any year that is told
)

// YearsBetween is the time from one day to another, in years.
func YearsBetween(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 / DaysPerYear }

// year is the calendar year, with its fraction, some years after the second
// stage; missing where it never comes.
func (p Playing) year(after float64) num.Opt {
	at := p.To.UTC()
	y := float64(at.Year()) + YearsBetween(time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC), at) + after
	if y > lastYear {
		return num.Opt{}
	}
	return num.Some(y)
}
