package board

import (
	"maps"
	"slices"

	"ringtrue/internal/reading"
)

// minOfPass is how many slots a pass must touch to say anything: two are used
// up by its offset and tilt.
const minOfPass = 3

// tied finds the places of a lane that its rows fix up to a straight line: the
// largest set that grows from one pass, or one reading over three slots, by all
// that share two slots with it.
func tied(rows []*row) map[int]bool {
	sets := clusters(rows)
	var best map[int]bool
	for _, seed := range sets {
		if len(seed) < minOfPass || len(best) > 0 && shared(seed, best) == len(seed) {
			continue
		}
		grown := maps.Clone(seed)
		for more := true; more; {
			more = false
			for _, s := range sets {
				if k := shared(s, grown); k >= 2 && k < len(s) {
					maps.Copy(grown, s)
					more = true
				}
			}
		}
		if len(grown) > len(best) {
			best = grown
		}
	}
	return best
}

// clusters lists the sets of places that are fixed once two of them are.
func clusters(rows []*row) []map[int]bool {
	index := map[reading.Setup]int{}
	var out []map[int]bool
	for _, r := range rows {
		k, known := index[r.setup]
		if r.setup == (reading.Setup{}) || !known {
			k = len(out)
			out = append(out, map[int]bool{})
			if r.setup != (reading.Setup{}) {
				index[r.setup] = k
			}
		}
		for _, p := range r.at {
			out[k][p] = true
		}
	}
	return out
}

func shared(a, b map[int]bool) (n int) {
	for p := range a {
		if b[p] {
			n++
		}
	}
	return n
}

// useful are the rows whose places are all fixed and whose set-up touches enough
// of them.
func useful(rows []*row, fixed map[int]bool) []*row {
	inside := make([]*row, 0, len(rows))
	for _, r := range rows {
		if !slices.ContainsFunc(r.at, func(p int) bool { return !fixed[p] }) {
			inside = append(inside, r)
		}
	}
	touched := map[reading.Setup]map[int]bool{}
	for _, r := range inside {
		if touched[r.setup] == nil {
			touched[r.setup] = map[int]bool{}
		}
		touched[r.setup][r.at[0]] = true
	}
	out := inside[:0]
	for _, r := range inside {
		if r.setup == (reading.Setup{}) || len(touched[r.setup]) >= minOfPass {
			out = append(out, r)
		}
	}
	return out
}
