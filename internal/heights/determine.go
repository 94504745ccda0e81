package heights

import (
	"fmt"
	"maps"
	"slices"

	"ringtrue/internal/geometry"

	"gonum.org/v1/gonum/mat"
)

// Undetermined is a crown that the readings cannot tell, and why.
type Undetermined struct {
	Fret int     `json:"fret"`
	Lane float64 `json:"lane"`
	Why  string  `json:"why"`
}

// Why a crown is not determined. WhyLaneNotRead is of a lane with no reading at all.
const (
	WhyNotRead     = "not read"
	WhyLaneNotRead = "lane not read"
	whyTooFew      = "too few crowns in this pass: the gauge's own offset and tilt use up two, so read three or more"
	whyNotTied     = "not tied to the lane's other crowns: let two passes share two frets or more"
	whyOneSided    = "the readings give only an upper or a lower limit"
)

// sortLanes splits crowns into those that exact readings determine, up to a
// straight line a lane, and those they do not.
func sortLanes(c *crowns, obs []observation) (ok []bool, out []Undetermined) {
	ok = make([]bool, len(c.list))
	byLane := map[float64][]observation{}
	for _, o := range obs {
		if o.bound == exact {
			byLane[o.lane] = append(byLane[o.lane], o)
		}
	}
	for _, span := range c.lanes {
		clusters := clustersOf(byLane[span.lane])
		largest := largestTied(clusters)
		if len(largest) < 3 {
			largest = nil
		}
		if full := crownsOf(clusters); len(largest) < len(full) && rankComplete(byLane[span.lane], full, c) {
			largest = full
		}
		for i := span.from; i < span.to; i++ {
			k := c.list[i]
			if ok[i] = largest[k.fret]; !ok[i] {
				out = append(out, Undetermined{k.fret, k.lane, reason(k.fret, clusters, largest)})
			}
		}
	}
	return ok, out
}

func reason(fret int, clusters []map[int]bool, largest map[int]bool) string {
	exactly := false
	for _, c := range clusters {
		exactly = exactly || c[fret]
	}
	switch {
	case !exactly:
		return whyOneSided
	case len(largest) == 0:
		return whyTooFew
	default:
		return whyNotTied
	}
}

// clustersOf lists the sets of frets within which a set-up, or a bridge, fixes
// every crown once two of them are fixed. A pass over fewer than three crowns
// tells nothing but is kept, to say why. Where each reading of a pass takes
// several crowns, two fixed ones may leave the pass's others open: such readings
// stand each for itself, and rankComplete tells what they fix jointly.
func clustersOf(obs []observation) []map[int]bool {
	passes := map[passKey]map[int]bool{}
	var keys []passKey
	var out []map[int]bool
	for _, o := range obs {
		if o.pass == (passKey{}) || len(o.frets) > 1 {
			set := map[int]bool{}
			for _, f := range o.frets {
				set[f] = true
			}
			out = append(out, set)
			continue
		}
		if passes[o.pass] == nil {
			passes[o.pass] = map[int]bool{}
			keys = append(keys, o.pass)
		}
		passes[o.pass][o.frets[0]] = true
	}
	for _, k := range keys {
		out = append(out, passes[k])
	}
	return out
}

func crownsOf(clusters []map[int]bool) map[int]bool {
	all := map[int]bool{}
	for _, c := range clusters {
		maps.Copy(all, c)
	}
	return all
}

// largestTied grows a set from each pair of crowns, adding every cluster that
// shares two crowns with it, and returns the largest set; of equal ones the one
// nearer the nut.
func largestTied(clusters []map[int]bool) map[int]bool {
	var best map[int]bool
	for _, seed := range clusters {
		if len(seed) < 3 || best != nil && contains(best, seed) {
			continue
		}
		set := maps.Clone(seed)
		for grown := true; grown; {
			grown = false
			for _, c := range clusters {
				if shared(c, set) >= 2 && !contains(set, c) {
					maps.Copy(set, c)
					grown = true
				}
			}
		}
		if len(set) > len(best) || len(set) == len(best) && lowest(set) < lowest(best) {
			best = set
		}
	}
	return best
}

func shared(a, b map[int]bool) (n int) {
	for f := range a {
		if b[f] {
			n++
		}
	}
	return n
}

func contains(set, part map[int]bool) bool { return shared(part, set) == len(part) }

func lowest(set map[int]bool) int { return slices.Min(slices.Collect(maps.Keys(set))) }

// rankComplete reports whether the readings of a lane, taken all together, fix
// every crown in want but for a straight line. Growing sets misses the odd case
// in which several readings only do so jointly.
func rankComplete(obs []observation, want map[int]bool, c *crowns) bool {
	if len(want) < 3 {
		return false
	}
	frets := slices.Sorted(maps.Keys(want))
	column := map[int]int{}
	for i, f := range frets {
		column[f] = i
	}
	a := newTied(len(frets))
	byPass := map[passKey][][]float64{}
	var keys []passKey
	for _, o := range obs {
		row := make([]float64, len(frets)+2)
		for k, f := range o.frets {
			row[column[f]] = o.weights[k]
		}
		if o.pass == (passKey{}) {
			a.add(row[:len(frets)])
			continue
		}
		row[len(frets)], row[len(frets)+1] = 1, c.list[c.index[place{o.frets[0], o.lane}]].x/100
		if byPass[o.pass] == nil {
			keys = append(keys, o.pass)
		}
		byPass[o.pass] = append(byPass[o.pass], row)
	}
	for _, k := range keys {
		for _, row := range withoutSetup(byPass[k], len(frets)) {
			a.add(row)
		}
	}
	return a.rank() >= len(frets)-2 // beside the lane's straight line
}

// unread lists the crowns of the neck's own lanes, and of other lanes read,
// that no reading touches.
func unread(l *geometry.Layout, c *crowns) []Undetermined {
	var out []Undetermined
	read := map[float64]bool{}
	for p := range c.index { // the determined crowns and those already named
		read[p.lane] = true
	}
	lanes := slices.Collect(maps.Keys(read))
	for i := 1; i <= l.Strings(); i++ {
		if !read[float64(i)] {
			lanes = append(lanes, float64(i))
		}
	}
	slices.Sort(lanes)
	for _, lane := range lanes {
		why := WhyNotRead
		if !read[lane] {
			why = WhyLaneNotRead
		}
		for f := l.FirstFret(); f <= l.LastFret(); f++ {
			if _, known := c.index[place{f, lane}]; !known {
				out = append(out, Undetermined{f, lane, why})
			}
		}
	}
	return out
}

// misreadTouch names a probe's touch that does not lie on its crown.
func misreadTouch(in Input, p place, touches []touch, k int) Misread {
	r := in.Readings[touches[k].reading]
	rest := append(append([]touch{}, touches[:k]...), touches[k+1:]...)
	m := Misread{Reading: touches[k].reading, Fret: p.fret, Lane: p.lane, ValueMM: r.Z, ExpectedMM: r.Z}
	if fit, err := fitCircle(rest, in.CrownRadiusMM); err == nil {
		one := []touch{touches[k]}
		a, b := mat.NewDense(1, 2, nil), mat.NewVecDense(1, nil)
		if linearise(one, fit.at, a, b) {
			m.ExpectedMM = r.Z - b.AtVec(0)*touches[k].u
		}
	}
	m.Why = fmt.Sprintf("this touch is %s off the crown through the others. Read it again", microns(r.Z-m.ExpectedMM))
	return m
}
