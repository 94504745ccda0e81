package pace

import (
	"cmp"
	"math"
	"slices"
	"time"

	"ringtrue/internal/num"
)

// Visit is one reading of a neck at a stage of its work.
type Visit struct {
	Serial, Stage string
	At            time.Time
}

// Wait is how long necks stay between two stages, as JSON has it.
type Wait struct {
	From       string  `json:"from"`
	To         string  `json:"to"`
	Necks      int     `json:"necks"` // that went this way
	MedianDays num.Opt `json:"median_days"`
	NinetyDays num.Opt `json:"ninety_days"` // nine in ten waited no longer; missing under ten necks
}

// Waiting is the necks that are at a stage now, as JSON has it.
type Waiting struct {
	Stage       string  `json:"stage"`
	Necks       int     `json:"necks"`
	LongestDays float64 `json:"longest_days"`
	Serial      string  `json:"serial"` // of the one that has waited longest
	Late        int     `json:"late"`   // longer than nine in ten did before, or of five to nine any; of fewer none is
}

// Waits is where necks wait, the slowest first, and what waits now.
type Waits struct {
	Between []Wait    `json:"between"`
	Now     []Waiting `json:"now"` // the most necks first
	// Ends are stages that most necks never leave, or only after years: the neck is
	// done, or with its owner. What follows on them is not the shop's waiting.
	Ends []string `json:"ends"`
}

// minNinety is how many cases tell what nine in ten stay within, minLate how many what
// is late at all: conventions.
const (
	minNinety = 10
	minLate   = 5
)

// way is from one stage to the next.
type way struct{ from, to string }

// stay is a neck at a stage that it has not left.
type stay struct {
	serial string
	days   float64
}

// WaitsOf counts visits, in any order. A neck waits from its last reading at a stage to
// its first at the next. A stage is an end where fewer than half of the necks that were
// there for longer than nine in ten waited have gone on, or where the half that went
// on took longer than a quarter of a year.
func WaitsOf(visits []Visit, now time.Time) Waits {
	gone, here := courses(visits, now)
	days := map[string][]float64{}
	w := Waits{Between: []Wait{}, Now: []Waiting{}, Ends: []string{}}
	for k, d := range gone {
		slices.Sort(d)
		days[k.from] = append(days[k.from], d...)
	}
	end := map[string]bool{}
	for stage, d := range days {
		slices.Sort(d)
		end[stage] = isEnd(d, here[stage])
	}
	for stage := range here {
		end[stage] = end[stage] || len(days[stage]) == 0
	}
	for k, d := range gone {
		if !end[k.from] {
			w.Between = append(w.Between, Wait{k.from, k.to, len(d), quantile(d, 0.5, 1), quantile(d, 0.9, minNinety)})
		}
	}
	slices.SortFunc(w.Between, func(a, b Wait) int {
		return cmp.Or(-cmp.Compare(a.MedianDays.Or(0), b.MedianDays.Or(0)), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	for stage, list := range here {
		if end[stage] {
			w.Ends = append(w.Ends, stage)
			continue
		}
		w.Now = append(w.Now, waitingAt(stage, list, days[stage]))
	}
	slices.Sort(w.Ends)
	slices.SortFunc(w.Now, func(a, b Waiting) int { return cmp.Or(b.Necks-a.Necks, cmp.Compare(a.Stage, b.Stage)) })
	return w
}

// courses follows each neck through its stages.
func courses(visits []Visit, now time.Time) (gone map[way][]float64, here map[string][]stay) {
	gone, here = map[way][]float64{}, map[string][]stay{}
	sorted := slices.Clone(visits)
	slices.SortStableFunc(sorted, func(a, b Visit) int { return cmp.Or(cmp.Compare(a.Serial, b.Serial), a.At.Compare(b.At)) })
	for i, v := range sorted {
		switch next := i + 1; {
		case next == len(sorted) || sorted[next].Serial != v.Serial:
			here[v.Stage] = append(here[v.Stage], stay{v.Serial, max(0, daysBetween(v.At, now))})
		case sorted[next].Stage != v.Stage:
			k := way{v.Stage, sorted[next].Stage}
			gone[k] = append(gone[k], daysBetween(v.At, sorted[next].At))
		}
	}
	return gone, here
}

func daysBetween(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// longStay is how many days a neck stays in no shop: a convention.
const longStay = 91

// isEnd reports whether a stage is one that necks end at; went are the waits of those
// that went on, ascending.
func isEnd(went []float64, here []stay) bool {
	long := went[rank(len(went), 0.9)]
	stayed := 0
	for _, s := range here {
		if s.days > long {
			stayed++
		}
	}
	return stayed > len(went) || went[rank(len(went), 0.5)] > longStay
}

func waitingAt(stage string, list []stay, went []float64) Waiting {
	w := Waiting{Stage: stage, Necks: len(list)}
	long := went[len(went)-1]
	if len(went) >= minNinety {
		long = went[rank(len(went), 0.9)]
	}
	for _, s := range list {
		if w.Serial == "" || s.days > w.LongestDays {
			w.Serial, w.LongestDays = s.serial, s.days
		}
		if len(went) >= minLate && s.days > long {
			w.Late++
		}
	}
	return w
}

// rank is the place of a quantile among n ascending values.
func rank(n int, p float64) int { return max(0, int(math.Ceil(p*float64(n)))-1) }

// quantile of ascending values; missing of fewer than least.
func quantile(ascending []float64, p float64, least int) num.Opt {
	if len(ascending) < least {
		return num.Opt{}
	}
	return num.Some(ascending[rank(len(ascending), p)])
}
