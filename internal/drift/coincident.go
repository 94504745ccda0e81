package drift

import "sort"

// CoincidentTag is a tag whose value changed together with a step of the level. It
// tells where to look, not what the cause is.
type CoincidentTag struct {
	Tag       string  `json:"tag"`
	Value     string  `json:"value"`
	BeforePct float64 `json:"before_pct"` // of the necks just before and just after the step, those that carry it
	AfterPct  float64 `json:"after_pct"`
}

// Of the tags around a step: how many necks each side are looked at, and by how
// much the share that carries a value must rise to be named.
const (
	coincidentNecks = 40
	coincidentMin   = 8 // fewer necks a side tell nothing
	coincidentRise  = 0.8
)

// CoincidentTags names the tags that changed together with a step: values that few
// of the necks just before it carry and nearly all of those from it on. The
// necks between which the step came are left out, but for its first. In order
// of tags.
func CoincidentTags(c Shift, h Heights) []CoincidentTag {
	tags := func(from, to int) (all []map[string]string) {
		for i := from; i < to; i++ {
			all = append(all, h.Tags(i))
		}
		return all
	}
	before := tags(max(c.Start-1, c.Earliest-1-coincidentNecks), c.Earliest-1)
	after := tags(c.Latest-1, min(c.End, c.Latest-1+coincidentNecks))
	if len(before) < coincidentMin || len(after) < coincidentMin {
		return []CoincidentTag{}
	}
	count := map[CoincidentTag]int{}
	for _, of := range after {
		for k, v := range of {
			count[CoincidentTag{Tag: k, Value: v}]++
		}
	}
	named := []CoincidentTag{}
	for k, n := range count {
		now := float64(n) / float64(len(after))
		if now < coincidentRise {
			continue
		}
		had := 0
		for _, of := range before {
			if of[k.Tag] == k.Value {
				had++
			}
		}
		was := float64(had) / float64(len(before))
		if now-was >= coincidentRise {
			k.BeforePct, k.AfterPct = 100*was, 100*now
			named = append(named, k)
		}
	}
	sort.Slice(named, func(i, j int) bool { return named[i].Tag < named[j].Tag })
	return named
}
