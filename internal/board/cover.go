package board

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
)

// How much of a board must be read, as parts of the length between the first and
// the last slot, and of the spread of the strings: a convention of this program.
const (
	mostStep   = 0.36    // along a lane, between neighbouring slots read
	mostEnd    = 1.0 / 8 // from a lane's last reading to the board's end
	mostAside  = 0.25    // from the outer string to the first lane read, across
	mostLane   = 0.65    // between neighbouring lanes read
	leastLanes = 3       // on a board of three strings or more
	leastArch  = 3       // places read across
	mostArch   = 0.55    // between neighbouring places read across
	mostArchAt = 0.34    // from the first or the last of them to the board's end
	tiny       = 1e-9    // for rounding
)

// Unread is a part of the board that was not read, so nothing is said of it.
type Unread struct {
	Across           bool      // by an arch gauge; else along lanes
	Lanes            []float64 // that should be read, or read farther
	FromFret, ToFret int       // the slots that lie in it
	Few              bool      // too few readings across, wherever they are
}

// cover names what was not read.
func (j *job) cover() {
	whole := j.coverAlong()
	j.coverLanes(whole)
	j.coverAcross()
}

// coverAlong names the unread parts of each lane, and lists the lanes that have
// none.
func (j *job) coverAlong() (whole []float64) {
	for i, s := range j.sources {
		gaps, ok := j.unreadAlong(s.at)
		if ok {
			whole = append(whole, j.a.Lanes[i].Lane)
			continue
		}
		for _, g := range gaps {
			j.a.Unread = append(j.a.Unread, Unread{Lanes: []float64{j.a.Lanes[i].Lane}, FromFret: g[0], ToFret: g[1]})
		}
	}
	return whole
}

// unreadAlong lists the runs of slots of a lane that are too far from any reading.
func (j *job) unreadAlong(at []int) (gaps [][2]int, whole bool) {
	first, last := j.l.FirstFret(), j.l.LastFret()
	x := func(f int) float64 { return j.l.CentreX(f) }
	length := x(last) - x(first)
	frets := make([]int, len(at))
	for i, p := range at {
		frets[i] = j.places.list[p].fret
	}
	slices.Sort(frets)
	if x(frets[0])-x(first) > mostEnd*length+tiny {
		gaps = append(gaps, [2]int{first, frets[0] - 1})
	}
	for i := 1; i < len(frets); i++ {
		if x(frets[i])-x(frets[i-1]) > mostStep*length+tiny {
			gaps = append(gaps, [2]int{frets[i-1] + 1, frets[i] - 1})
		}
	}
	if end := frets[len(frets)-1]; x(last)-x(end) > mostEnd*length+tiny {
		gaps = append(gaps, [2]int{end + 1, last})
	}
	return gaps, len(gaps) == 0
}

// coverLanes names the lanes to read where those read from end to end leave too
// much of the width unread. A lane that is only read in part is named already.
func (j *job) coverLanes(whole []float64) {
	n := j.l.Strings()
	read := slices.Clone(whole)
	var wanted []float64
	middle := float64(n+1) / 2
	share := func(lane float64) float64 { return j.l.Fraction(lane) }
	covered := func(ok func(f float64) bool) bool {
		return slices.ContainsFunc(read, func(l float64) bool { return ok(share(l)) })
	}
	ask := func(lane float64) {
		if !slices.Contains(read, lane) {
			wanted, read = append(wanted, lane), append(read, lane)
		}
	}
	if n == 1 {
		if len(read) == 0 {
			ask(1)
		}
	} else {
		if !covered(func(f float64) bool { return f <= mostAside+tiny }) {
			ask(1)
		}
		if !covered(func(f float64) bool { return f >= 1-mostAside-tiny }) {
			ask(float64(n))
		}
		slices.Sort(read)
		for i := 1; i < len(read); i++ {
			if share(read[i])-share(read[i-1]) > mostLane+tiny {
				ask(middle)
				break
			}
		}
		if len(read) < min(leastLanes, n) {
			for _, lane := range []float64{middle, 1, float64(n)} {
				if len(read) < min(leastLanes, n) {
					ask(lane)
				}
			}
		}
	}
	if len(wanted) == 0 {
		j.forgive(whole)
		return
	}
	slices.Sort(wanted)
	for _, u := range j.a.Unread { // these lanes are named with the part that lacks
		wanted = slices.DeleteFunc(wanted, func(l float64) bool { return slices.Contains(u.Lanes, l) })
	}
	if len(wanted) > 0 {
		j.a.Unread = append(j.a.Unread, Unread{Lanes: wanted, FromFret: j.l.FirstFret(), ToFret: j.l.LastFret()})
	}
}

// forgive takes back the unread parts of lanes that the others make up for.
func (j *job) forgive(whole []float64) {
	if len(whole) > 0 {
		j.a.Unread = nil
	}
}

// coverAcross names the part that no arch gauge, or probe, read.
func (j *job) coverAcross() {
	frets := j.acrossFrets()
	first, last := j.l.FirstFret(), j.l.LastFret()
	x := func(f int) float64 { return j.l.CentreX(f) }
	length := x(last) - x(first)
	gap := func(from, to int) {
		j.a.Unread = append(j.a.Unread, Unread{Across: true, FromFret: from, ToFret: to})
	}
	if len(frets) < leastArch {
		j.a.Unread = append(j.a.Unread, Unread{Across: true, FromFret: first, ToFret: last, Few: true})
		return
	}
	j.unevenUnread(frets)
	if x(frets[0])-x(first) > mostArchAt*length+tiny {
		gap(first, frets[0]-1)
	}
	for i := 1; i < len(frets); i++ {
		if x(frets[i])-x(frets[i-1]) > mostArch*length+tiny {
			gap(frets[i-1]+1, frets[i]-1)
		}
	}
	if end := frets[len(frets)-1]; x(last)-x(end) > mostArchAt*length+tiny {
		gap(end+1, last)
	}
}

// acrossFrets lists the slots read across, ascending: by arch readings in use,
// and, where three lanes or more were probed, by the probe.
func (j *job) acrossFrets() []int {
	seen := map[int]float64{}
	i := 0
	for _, r := range j.readings {
		if r.Method == reading.Arch {
			if !j.a.Arches[i].open {
				seen[r.Frets[0]] = 1
			}
			i++
		}
	}
	probed := map[float64]bool{}
	for _, r := range j.rows {
		if r.method == reading.Probe && !r.aside {
			probed[r.lane] = true
		}
	}
	for _, r := range j.rows {
		if len(probed) >= 3 && r.method == reading.Probe && !r.aside {
			seen[j.places.list[r.at[0]].fret] = math.NaN()
		}
	}
	return sortedKeys(seen)
}

// unevenSigmas is how surely the lanes must show a slot off across, one of them
// all, for an arch to be asked for there.
const unevenSigmas = 3.0

// unevenUnread names the slots at which the lanes show the board off across by
// more than the radius may stray, and no arch was read.
func (j *job) unevenUnread(read []int) {
	from, to := 0, -1
	for f := j.l.FirstFret(); f <= j.l.LastFret(); f++ {
		half := 0.4 * j.l.Width(j.l.CentreX(f))
		c, u := j.local(f, 0, half)
		_, slope := j.effect(about{}, j.l.CentreX(f), half)
		if slices.Contains(read, f) || u == 0 || math.Abs(c)-unevenSigmas*u <= math.Abs(slope)*j.mayStray() {
			continue
		}
		if to < 0 {
			from = f
		}
		to = f
	}
	if to >= 0 {
		j.a.Unread = append(j.a.Unread, Unread{Across: true, FromFret: from, ToFret: to})
	}
}
