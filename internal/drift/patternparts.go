package drift

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
)

// PatternPart is the pattern of the necks that share one value of a tag.
type PatternPart struct {
	Tag string `json:"tag,omitempty"`
	Why string `json:"why,omitempty"` // there is no pattern
	Pattern
}

// FretDifference says whether a fret stands differently in the parts.
type FretDifference struct {
	Fret    int     `json:"fret"`
	F       float64 `json:"f"`
	P       float64 `json:"p"`
	Differs bool    `json:"differs"`
}

// Parts makes a pattern of the necks of each value of a tag, and compares the
// frets of the pattern between them by analysis of variance, allowing for so
// many frets. ErrNoTag: no neck carries the tag.
func (p Pattern) Parts(ctx context.Context, h Heights, tag string, confidence float64) ([]PatternPart, []FretDifference, error) {
	part := make([]int32, h.Len())
	at := map[string]int32{}
	var order []string
	for i := range part {
		v := h.Tag(i, tag)
		k, seen := at[v]
		if !seen {
			k = int32(len(order))
			at[v], order = k, append(order, v)
		}
		part[i] = k
	}
	if len(order) == 1 && order[0] == "" {
		return nil, nil, fmt.Errorf("%w: %s", ErrNoTag, tag)
	}
	found, errs, err := patterns(ctx, h, len(order), func(neck int) int { return int(part[neck]) }, confidence)
	if err != nil {
		return nil, nil, err
	}
	parts := make([]PatternPart, len(order))
	levels := make([][]Level, len(p.Frets)) // by fret
	for i, v := range order {
		parts[i] = PatternPart{Tag: v, Pattern: found[i]}
		if errs[i] != nil {
			parts[i].Why = errs[i].Error()
			continue
		}
		for _, f := range found[i].Frets {
			if at := f.Fret - p.Frets[0].Fret; at >= 0 && at < len(levels) {
				levels[at] = append(levels[at], f.Level)
			}
		}
	}
	return parts, p.differ(levels, confidence), nil
}

// differ says of each fret whether the parts differ by more than chance.
func (p Pattern) differ(levels [][]Level, confidence float64) (all []FretDifference) {
	for i, l := range levels {
		if f, chance := ANOVA(l); !math.IsNaN(chance) {
			all = append(all, FretDifference{Fret: p.Frets[i].Fret, F: f, P: chance})
		}
	}
	below := EachBelow(confidence, len(all))
	for i := range all {
		all[i].Differs = all[i].P < below
	}
	return all
}

// WorthMM is the height under which a fret's level is not worth a sentence:
// below what a dial shows.
const WorthMM = 0.002

// FretFinding says of a fret that it stands off by more than chance, since when,
// and with what.
type FretFinding struct {
	Fret   int
	SizeMM float64     // how far off that is
	MeanMM float64     // where it stands on average; for frets without steps
	Shifts []FretShift // those worth naming, in order of time
	Creeps bool        // more than two steps, all one way: a slow drift
}

// Findings says which frets stand off, the farthest first, and how many more do
// by less than WorthMM.
func (p Pattern) Findings() (all []FretFinding, small int) {
	for _, f := range p.Frets {
		switch found, off := f.finding(); {
		case !off:
		case found.SizeMM < WorthMM:
			small++
		default:
			all = append(all, found)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].SizeMM > all[j].SizeMM })
	return all, small
}

func (l FretLevel) finding() (f FretFinding, off bool) {
	f = FretFinding{Fret: l.Fret, MeanMM: l.Mean.Or(0)}
	for _, s := range l.Shifts {
		if math.Abs(s.After-s.Before) >= WorthMM {
			f.Shifts = append(f.Shifts, s)
		}
	}
	if len(f.Shifts) == 0 {
		f.SizeMM = math.Abs(f.MeanMM)
		return f, l.Standing.Off()
	}
	last := f.Shifts[len(f.Shifts)-1]
	f.SizeMM = math.Max(math.Abs(last.After), math.Abs(last.Before))
	f.Creeps = len(f.Shifts) > 2 && !slices.ContainsFunc(f.Shifts, func(s FretShift) bool { return s.Rises() != last.Rises() })
	return f, true
}
