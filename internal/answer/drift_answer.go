package answer

import (
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// DriftAnswer is what `drift` says of a series. All values are in the series'
// unit; indices count from 1.
type DriftAnswer struct {
	Of     string `json:"of,omitempty"`
	Unit   string `json:"unit,omitempty"`
	Stage  string `json:"stage,omitempty"` // of the book's records
	Steady bool   `json:"steady"`          // no signal on any chart, no step found
	Values int    `json:"values"`
	ChartAnswer

	Spread *ChartAnswer `json:"spread,omitempty"` // moving ranges, ranges or standard deviations
	EWMA   *EWMAAnswer  `json:"ewma,omitempty"`
	CUSUM  *CusumAnswer `json:"cusum,omitempty"`

	Groups      []GroupAnswer       `json:"groups,omitempty"`
	FalseAlarms []drift.FalseAlarms `json:"false_alarms"`
	Shifts      []drift.Shift       `json:"changes"`
	Neighbours  num.Opt             `json:"neighbour_correlation"` // null where it cannot be told
	Capability  *drift.Capability   `json:"capability,omitempty"`
	By          string              `json:"by,omitempty"`
	Parts       []DriftPart         `json:"parts,omitempty"`
	PartsDiffer *drift.Difference   `json:"parts_differ,omitempty"`
	Warnings    []string            `json:"warnings"`
}

// ChartAnswer is one control chart. Where limits differ from point to point,
// Lower and Upper are those of the last point (for an EWMA, those that a long
// run settles to), and LowerPoints and UpperPoints hold all.
type ChartAnswer struct {
	Chart       drift.Kind `json:"chart"`
	Centre      float64    `json:"centre"`
	Lower       float64    `json:"lower"`
	Upper       float64    `json:"upper"`
	NoLower     bool       `json:"no_lower_limit,omitempty"` // Lower is under 0, the values cannot be: no limit is there
	Sigma       float64    `json:"sigma"`                    // of one value
	First       int        `json:"first_index"`
	Points      Numbers    `json:"points"`
	LowerPoints Numbers    `json:"lower_points,omitempty"`
	UpperPoints Numbers    `json:"upper_points,omitempty"`
	Signals     Signals    `json:"signals"`
}

// SignalAnswer is a point that calls for a look.
type SignalAnswer struct {
	Index int     `json:"index"`
	Rule  string  `json:"rule"`
	Since int     `json:"since,omitempty"` // for a cumulative sum: where its run began
	Value float64 `json:"value"`
	Label string  `json:"label,omitempty"`
	Date  string  `json:"date,omitempty"`
}

// EWMAAnswer is a chart of the exponentially weighted moving average.
type EWMAAnswer struct {
	drift.EWMADesign
	ChartAnswer
}

// CusumAnswer is a pair of cumulative sums.
type CusumAnswer struct {
	drift.CusumDesign
	Target  float64 `json:"target"`
	Sigma   float64 `json:"sigma"` // of a point
	Limit   float64 `json:"limit"`
	High    Numbers `json:"high"`
	Low     Numbers `json:"low"`
	Signals Signals `json:"signals"`
}

// GroupAnswer is a rational subgroup: a point of the means' chart.
type GroupAnswer struct {
	Group  string `json:"group"`
	Values int    `json:"values"`
}

// DriftPart is the answer for the values that share one value of a tag.
type DriftPart struct {
	Tag    string       `json:"tag"`
	Why    string       `json:"why,omitempty"` // there is no answer
	Answer *DriftAnswer `json:"answer"`
}

// Flagged is how many points signal on any of the charts.
func (a *DriftAnswer) Flagged() int {
	all := []Signals{a.Signals}
	if a.Spread != nil {
		all = append(all, a.Spread.Signals)
	}
	if a.EWMA != nil {
		all = append(all, a.EWMA.Signals)
	}
	if a.CUSUM != nil {
		all = append(all, a.CUSUM.Signals)
	}
	seen := make([]bool, a.Values+1) // a point is at least one value
	n := 0
	for _, signals := range all {
		for _, s := range signals.found {
			if !seen[s.Index] {
				seen[s.Index] = true
				n++
			}
		}
	}
	return n
}

// Digits is how many decimals centre and limits deserve.
func (a *DriftAnswer) Digits() int { return drift.Digits(a.Lower, a.Upper) }
