package answer

import "ringtrue/internal/drift"

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
	drift.PatternPart
	Findings []string               `json:"findings"`
	By       string                 `json:"by,omitempty"`
	Parts    []drift.PatternPart    `json:"parts,omitempty"`
	Differ   []drift.FretDifference `json:"frets_differ,omitempty"`
	Warnings []string               `json:"warnings"`
}

func either(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
