package answer

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// PatternAnswer is what many necks have in common. Heights are over each
// lane's own line.
type PatternAnswer struct {
	Of         string  `json:"of"`
	Unit       string  `json:"unit"`
	Stage      string  `json:"stage"`
	From       string  `json:"from"` // dates of the first and the last neck
	To         string  `json:"to"`
	Confidence float64 `json:"confidence"`
	Crown1P    float64 `json:"crown_p_below"` // what one crown's p must stay under, by Šidák's rule
	Fret1P     float64 `json:"fret_p_below"`
	Steady     bool    `json:"steady"` // no fret sits off by more than chance, none steps
	PatternPart
	Findings []string      `json:"findings"`
	By       string        `json:"by,omitempty"`
	Parts    []PatternPart `json:"parts,omitempty"`
	Differ   []FretDiffers `json:"frets_differ,omitempty"`
	Warnings []string      `json:"warnings"`
}

// PatternPart is the pattern of some necks.
type PatternPart struct {
	Tag    string        `json:"tag,omitempty"`
	Why    string        `json:"why,omitempty"` // there is no pattern
	Necks  int           `json:"necks"`
	Lanes  []float64     `json:"lanes"`
	Frets  []FretPattern `json:"frets"`
	Crowns []CrownLevel  `json:"crowns"`
}

// StandsAnswer is where something stands on average. Null: not known.
type StandsAnswer struct {
	Necks     int      `json:"necks"`
	MeanMM    *float64 `json:"mean_mm"`
	ScatterMM *float64 `json:"scatter_mm"` // standard deviation from neck to neck
	UMM       *float64 `json:"u_mm"`       // of the mean
	P         *float64 `json:"p"`
	Verdict   string   `json:"verdict"` // "high", "low", "within chance", "not tested"
}

// CrownLevel is one crown's.
type CrownLevel struct {
	Fret int     `json:"fret"`
	Lane float64 `json:"lane"`
	StandsAnswer
}

// FretPattern is the mean of a fret's crowns, and its steps in time.
type FretPattern struct {
	Fret int `json:"fret"`
	StandsAnswer
	Steps []PatternStep `json:"steps"`
}

// PatternStep is a step of a fret's level; indices count necks in order of time.
type PatternStep struct {
	ChangeAnswer
	With []TagAnswer `json:"with"` // tags that changed at the same time
}

// TagAnswer is a tag's value: the share of the necks just before and just after
// a step that carry it.
type TagAnswer struct {
	Tag       string  `json:"tag"`
	Value     string  `json:"value"`
	BeforePct float64 `json:"before_pct"`
	AfterPct  float64 `json:"after_pct"`
}

// FretDiffers says whether a fret stands differently in the parts.
type FretDiffers struct {
	Fret    int     `json:"fret"`
	F       float64 `json:"f"`
	P       float64 `json:"p"`
	Differs bool    `json:"differs"`
}

// tell puts the pattern into sentences, the farthest first.
func (a *PatternAnswer) tell() {
	a.Steady = true
	for _, f := range a.Frets {
		a.Steady = a.Steady && len(f.Steps) == 0 && f.Verdict != "high" && f.Verdict != "low"
	}
	type said struct {
		size  float64
		words string
	}
	var all []said
	small := 0
	for _, f := range a.Frets {
		size, words := f.sentence()
		switch {
		case words == "":
		case size < worthMM:
			small++
		default:
			all = append(all, said{size, words})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].size > all[j].size })
	for _, s := range all {
		a.Findings = append(a.Findings, s.words)
	}
	if small > 0 {
		a.Findings = append(a.Findings, fmt.Sprintf("%d %s off by more than chance, but by less than %.3f mm", small, either(small, "fret stands", "frets stand"), worthMM))
	}
	for _, p := range a.Parts {
		if p.Tag == "" {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%d necks carry no tag %s", p.Necks, a.By))
		}
	}
}

// sentence says where a fret stands, and how far off that is; nothing where it
// stands within chance.
func (f FretPattern) sentence() (sizeMM float64, words string) {
	var steps []PatternStep
	for _, s := range f.Steps {
		if math.Abs(s.After-s.Before) >= worthMM {
			steps = append(steps, s)
		}
	}
	switch {
	case len(steps) == 0 && (f.Verdict == "high" || f.Verdict == "low"):
		return math.Abs(*f.MeanMM), fmt.Sprintf("fret %d sits %s on average", f.Fret, standing(*f.MeanMM))
	case len(steps) == 0:
		return 0, ""
	}
	last := steps[len(steps)-1]
	size := math.Max(math.Abs(last.After), math.Abs(last.Before))
	if n, rises := oneWay(steps); n && len(steps) > 2 {
		way := "down"
		if rises {
			way = "up"
		}
		return size, fmt.Sprintf("fret %d goes %s in %d steps, as a slow drift does, from %s before neck %s (%s) to %s since neck %s (%s)%s", f.Fret, way, len(steps),
			signed(steps[0].Before), steps[0].Label, month(steps[0].Date), signed(last.After), last.Label, month(last.Date), together(last.With))
	}
	words = fmt.Sprintf("fret %d sits %s since neck %s (%s)%s; %s before", f.Fret, standing(last.After), last.Label, month(last.Date), together(last.With), signed(last.Before))
	if more := len(steps) - 1; more > 0 {
		words += fmt.Sprintf(", and %d earlier %s", more, either(more, "step", "steps"))
	}
	return size, words
}

// oneWay says whether all steps go the same way, and which.
func oneWay(steps []PatternStep) (all, up bool) {
	up = steps[0].After > steps[0].Before
	for _, s := range steps {
		if (s.After > s.Before) != up {
			return false, up
		}
	}
	return true, up
}

// standing words a height over the lanes' lines.
func standing(mm float64) string {
	switch {
	case math.Abs(mm) < 0.0005:
		return "on its lanes' lines"
	case mm > 0:
		return fmt.Sprintf("%.3f mm high", mm)
	}
	return fmt.Sprintf("%.3f mm low", -mm)
}

func signed(mm float64) string {
	if math.Abs(mm) < 0.0005 {
		return "0.000 mm"
	}
	return fmt.Sprintf("%+.3f mm", mm)
}

// together names the tags that changed with a step.
func together(with []TagAnswer) string {
	if len(with) == 0 {
		return ""
	}
	var names []string
	for _, w := range with {
		names = append(names, w.Tag+" "+w.Value)
	}
	return ", with " + strings.Join(names, " and ")
}

func month(date string) string { return date[:min(len(date), len("2026-03"))] }

func either(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
