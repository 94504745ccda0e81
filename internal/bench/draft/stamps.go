package draft

import (
	"cmp"
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
		var sites []Site
		for site := range s.entries[p.Number] {
			sites = append(sites, site)
		}
		slices.SortFunc(sites, func(a, b Site) int { // versions count up as readings are typed
			return cmp.Compare(s.entries[p.Number][a].Version, s.entries[p.Number][b].Version)
		})
		var pass []readplan.Stamp
		for _, site := range sites {
			pass = append(pass, readplan.Stamp{Lane: site.Lane(), At: s.entries[p.Number][site].At})
		}
		out = append(out, pass)
	}
	return out
}
