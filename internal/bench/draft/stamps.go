package draft

import (
	"slices"

	"ringtrue/internal/readplan"
)

// Stamps lists when the readings of a stage were typed, a list for each pass in
// order of time. Readings that came by file have no time of their own.
func (s *State) Stamps(stage int) [][]readplan.Stamp {
	var out [][]readplan.Stamp
	for _, p := range s.Passes {
		if p.Stage != stage {
			continue
		}
		var pass []readplan.Stamp
		for site, e := range s.entries[p.Number] {
			pass = append(pass, readplan.Stamp{Lane: site.Lane(), At: e.At})
		}
		slices.SortFunc(pass, func(a, b readplan.Stamp) int { return a.At.Compare(b.At) })
		out = append(out, pass)
	}
	return out
}
