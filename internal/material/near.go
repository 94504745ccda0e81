package material

import (
	"maps"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
)

// UnknownError is a name that no table holds, with the nearest that are.
type UnknownError struct {
	Kind  string // "wood" or "alloy"
	Asked string
	Near  []string
}

// Error names the nearest known names.
func (e *UnknownError) Error() string {
	return "unknown " + e.Kind + " \"" + e.Asked + "\"; near it: " + strings.Join(e.Near, ", ")
}

// maxNear is how many near names an UnknownError lists.
const maxNear = 5

// near lists the known names closest to what was asked: those with the word
// nearest to one of its words first, then by the fewest letters changed.
func near(asked string, known []string) []string {
	score := map[string]int{}
	for _, k := range known {
		score[k] = distance(normal(asked), normal(k))
	}
	names := slices.Sorted(maps.Keys(score))
	slices.SortStableFunc(names, func(x, y string) int { return score[x] - score[y] })
	return names[:min(maxNear, len(names))]
}

// distance scores how far two names are apart: by the nearest pair of words,
// so that one word almost right counts for more than a short name that happens
// to be near, then by the whole names.
func distance(a, b string) int {
	best := fileerr.Slips(a, b)
	for _, x := range strings.Fields(a) {
		for _, y := range strings.Fields(b) {
			if len(x) > 2 && len(y) > 2 {
				best = min(best, fileerr.Slips(x, y))
			}
		}
	}
	return best*100 + fileerr.Slips(a, b)
}

// normal is a name without case, punctuation and double spaces; the per cent
// sign and digits stay.
func normal(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '%' || r > 127)
	}), " ")
}
