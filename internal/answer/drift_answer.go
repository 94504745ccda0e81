package answer

import "math"

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

	Groups      []GroupAnswer      `json:"groups,omitempty"`
	FalseAlarms []FalseAlarms      `json:"false_alarms"`
	Changes     []ChangeAnswer     `json:"changes"`
	Neighbours  *float64           `json:"neighbour_correlation"` // null where it cannot be told
	Capability  *CapabilityAnswer  `json:"capability,omitempty"`
	By          string             `json:"by,omitempty"`
	Parts       []DriftPart        `json:"parts,omitempty"`
	PartsDiffer *PartsDifferAnswer `json:"parts_differ,omitempty"`
	Warnings    []string           `json:"warnings"`
}

// ChartAnswer is one control chart. Where limits differ from point to point,
// Lower and Upper are those of the last point (for an EWMA, those that a long
// run settles to), and LowerPoints and UpperPoints hold all.
type ChartAnswer struct {
	Chart       string  `json:"chart"`
	Centre      float64 `json:"centre"`
	Lower       float64 `json:"lower"`
	Upper       float64 `json:"upper"`
	NoLower     bool    `json:"no_lower_limit,omitempty"` // Lower is under 0, the values cannot be: no limit is there
	Sigma       float64 `json:"sigma"`                    // of one value
	First       int     `json:"first_index"`
	Points      Numbers `json:"points"`
	LowerPoints Numbers `json:"lower_points,omitempty"`
	UpperPoints Numbers `json:"upper_points,omitempty"`
	Signals     Signals `json:"signals"`
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
	Lambda float64 `json:"lambda"`
	Width  float64 `json:"width"` // of the limits, in sigmas of the average
	ChartAnswer
}

// CusumAnswer is a pair of cumulative sums.
type CusumAnswer struct {
	K         float64 `json:"k"` // slack, in sigmas of a point
	H         float64 `json:"h"` // limit, in sigmas of a point
	HeadStart float64 `json:"head_start"`
	Target    float64 `json:"target"`
	Sigma     float64 `json:"sigma"` // of a point
	Limit     float64 `json:"limit"`
	High      Numbers `json:"high"`
	Low       Numbers `json:"low"`
	Signals   Signals `json:"signals"`
}

// GroupAnswer is a rational subgroup: a point of the means' chart.
type GroupAnswer struct {
	Group  string `json:"group"`
	Values int    `json:"values"`
}

// FalseAlarms says what a chart's signals are worth while nothing changes.
type FalseAlarms struct {
	Chart          string   `json:"chart"`
	Separate       int      `json:"separate_signals"`      // runs of neighbouring points that signalled here
	PointsPerAlarm *float64 `json:"points_per_alarm"`      // null: none ever comes, or not known
	UPoints        *float64 `json:"u_points,omitempty"`    // where it was simulated
	Expected       *float64 `json:"expected"`              // in a series of this length
	ChanceOfAny    *float64 `json:"chance_of_any"`         // that at least one comes
	ShiftFound     *float64 `json:"points_to_find_1sigma"` // a mean that moves by one sigma of a point
	How            string   `json:"how"`                   // "exact", "simulated", "not known"
}

// ChangeAnswer is a step of the level.
type ChangeAnswer struct {
	Index    int     `json:"index"` // the first point at the new level
	Earliest int     `json:"earliest"`
	Latest   int     `json:"latest"`
	Before   float64 `json:"before"`
	After    float64 `json:"after"`
	UBefore  float64 `json:"u_before"`
	UAfter   float64 `json:"u_after"`
	P        float64 `json:"p"`
	Label    string  `json:"label,omitempty"`
	Date     string  `json:"date,omitempty"`
	FromDate string  `json:"earliest_date,omitempty"`
	ToDate   string  `json:"latest_date,omitempty"`
}

// CapabilityAnswer says how well the process keeps what is wanted.
type CapabilityAnswer struct {
	Least           *float64     `json:"at_least"`
	Most            *float64     `json:"at_most"`
	Aim             *float64     `json:"aim"`
	Mean            float64      `json:"mean"`
	SigmaWithin     float64      `json:"sigma_within"`
	SigmaOverall    float64      `json:"sigma_overall"`
	Confidence      float64      `json:"confidence"`
	Cp              *IndexAnswer `json:"cp"`
	Cpl             *IndexAnswer `json:"cpl"`
	Cpu             *IndexAnswer `json:"cpu"`
	Cpk             *IndexAnswer `json:"cpk"`
	Cpm             *IndexAnswer `json:"cpm"`
	Pp              *IndexAnswer `json:"pp"`
	Ppk             *IndexAnswer `json:"ppk"`
	Outside         int          `json:"values_outside"`
	ExpectedOutside float64      `json:"expected_outside_pct"`
}

// IndexAnswer is a capability index with its limits of confidence.
type IndexAnswer struct {
	Value float64 `json:"value"`
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// DriftPart is the answer for the values that share one value of a tag.
type DriftPart struct {
	Tag    string       `json:"tag"`
	Why    string       `json:"why,omitempty"` // there is no answer
	Answer *DriftAnswer `json:"answer"`
}

// PartsDifferAnswer says whether the parts of a split differ in their mean, or share.
type PartsDifferAnswer struct {
	Test      string   `json:"test"`
	F         *float64 `json:"f,omitempty"`
	ChiSquare *float64 `json:"chi_square,omitempty"`
	P         float64  `json:"p"`
}

// known returns a pointer to a number, nil where it is none.
func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
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

// Digits is how many decimals centre and limits deserve: the last one is worth
// a fifth of the scatter at most, and more than a fiftieth of it.
func (a *DriftAnswer) Digits() int {
	scale := (a.Upper - a.Lower) / 6
	if !(scale > 0) {
		return 3
	}
	return max(0, min(9, int(math.Ceil(-math.Log10(scale/5)))))
}
