package drift

import "slices"

// Company is a tag whose value changed together with a step of the level. It
// tells where to look, not what the cause is.
type Company struct {
	Tag, Value    string
	Before, After float64 // share of the necks just before and just after the step that carry it
}

// Of the tags around a step: how many necks each side are looked at, and by how
// much the share that carries a value must rise to be named.
const (
	companyNecks = 40
	companyLeast = 8 // fewer necks a side tell nothing
	companyRise  = 0.8
)

// CompanyOf names the tags that changed together with a step: values that few
// of the necks just before it carry and nearly all of those from it on. The
// necks between which the step came are left out, but for its first. tags[i]
// belongs to neck i+1. In order of tags.
func CompanyOf(c Change, tags []map[string]string) []Company {
	before := tags[max(c.Start-1, c.Earliest-1-companyNecks) : c.Earliest-1]
	after := tags[c.Latest-1 : min(c.End, c.Latest-1+companyNecks)]
	if len(before) < companyLeast || len(after) < companyLeast {
		return nil
	}
	count := map[Company]int{}
	for _, of := range after {
		for k, v := range of {
			count[Company{Tag: k, Value: v}]++
		}
	}
	var named []Company
	for k, n := range count {
		k.After = float64(n) / float64(len(after))
		if k.After < companyRise {
			continue
		}
		had := 0
		for _, of := range before {
			if of[k.Tag] == k.Value {
				had++
			}
		}
		if k.Before = float64(had) / float64(len(before)); k.After-k.Before >= companyRise {
			named = append(named, k)
		}
	}
	slices.SortFunc(named, func(a, b Company) int {
		if a.Tag < b.Tag {
			return -1
		}
		return 1
	})
	return named
}
