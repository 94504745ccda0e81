package board

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
)

// How much of a board must be read, as parts of the length between the first and
// the last slot, and of the spread of the strings: a convention of this program.
const (
	maxStep   = 0.36    // along a lane, between neighbouring slots read
	maxEnd    = 1.0 / 8 // from a lane's last reading to the board's end
	maxAside  = 0.25    // from the outer string to the first lane read, across
	maxLane   = 0.65    // between neighbouring lanes read
	minLanes  = 3       // on a board of three strings or more
	minArch   = 3       // places read across
	maxArch   = 0.55    // between neighbouring places read across
	maxArchAt = 0.34    // from the first or the last of them to the board's end
	tiny      = 1e-9    // for rounding
)

// Unread is a part of the board that was not read, so nothing is said of it.
type Unread struct {
	Across   bool      `json:"across"` // by an arch gauge; else along lanes
	Lanes    []float64 `json:"lanes"`  // that should be read, or read farther
	FromFret int       `json:"from_fret"`
	ToFret   int       `json:"to_fret"`

	few bool // too few readings across, wherever they are
}

// cover names what was not read.
func (j *job) cover() {
	j.coverLanes(j.coverAlong())
	j.coverAcross()
}

// coverAlong names the unread parts of each lane, and lists the lanes that have
// none.
func (j *job) coverAlong() (whole []float64) {
	for i, s := range j.sources {
		gaps := j.unreadAlong(s.at)
		if len(gaps) == 0 {
			whole = append(whole, j.a.Lanes[i].Lane)
		}
		for _, g := range gaps {
			j.a.Unread = append(j.a.Unread, Unread{Lanes: []float64{j.a.Lanes[i].Lane}, FromFret: g[0], ToFret: g[1]})
		}
	}
	return whole
}

// unreadAlong lists the runs of slots of a lane that are too far from any reading.
func (j *job) unreadAlong(at []int) [][2]int {
	frets := make([]int, len(at))
	for i, p := range at {
		frets[i] = j.places.list[p].fret
	}
	slices.Sort(frets)
	return j.gaps(frets, maxEnd, maxStep)
}

// gaps lists the runs of slots before, between and after those read, ascending,
// where the board's end, or the next of them, is farther off than a part of its
// length.
func (j *job) gaps(frets []int, end, step float64) (gaps [][2]int) {
	first, last := j.l.FirstFret(), j.l.LastFret()
	length := j.l.CentreX(last) - j.l.CentreX(first)
	put := func(from, to int, most float64, before, after int) {
		if j.l.CentreX(after)-j.l.CentreX(before) > most*length+tiny {
			gaps = append(gaps, [2]int{from, to})
		}
	}
	put(first, frets[0]-1, end, first, frets[0])
	for i, f := range frets[1:] {
		put(frets[i]+1, f-1, step, frets[i], f)
	}
	put(frets[len(frets)-1]+1, last, end, frets[len(frets)-1], last)
	return gaps
}

// coverLanes names the lanes to read where those read from end to end leave too
// much of the width unread. A lane that is only read in part is named already; its
// unread part is forgiven where the others make up for it.
func (j *job) coverLanes(whole []float64) {
	n := j.l.Strings()
	read := slices.Clone(whole)
	var wanted []float64
	middle := float64(n+1) / 2
	covered := func(ok func(share float64) bool) bool {
		return slices.ContainsFunc(read, func(l float64) bool { return ok(j.l.Fraction(l)) })
	}
	ask := func(lane float64) {
		if !slices.Contains(read, lane) {
			wanted, read = append(wanted, lane), append(read, lane)
		}
	}
	if !covered(func(f float64) bool { return f <= maxAside+tiny }) {
		ask(1)
	}
	if !covered(func(f float64) bool { return f >= 1-maxAside-tiny }) {
		ask(float64(n))
	}
	slices.Sort(read)
	for i := 1; i < len(read); i++ {
		if j.l.Fraction(read[i])-j.l.Fraction(read[i-1]) > maxLane+tiny {
			ask(middle)
			break
		}
	}
	for _, lane := range []float64{middle, 1, float64(n)} {
		if len(read) < min(minLanes, n) {
			ask(lane)
		}
	}
	if len(wanted) == 0 {
		if len(whole) > 0 {
			j.a.Unread = []Unread{}
		}
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

// coverAcross names the parts that no arch gauge, or probe, read.
func (j *job) coverAcross() {
	put := func(from, to int, few bool) {
		j.a.Unread = append(j.a.Unread, Unread{Across: true, Lanes: []float64{}, FromFret: from, ToFret: to, few: few})
	}
	frets := j.acrossFrets()
	if len(frets) < minArch {
		put(j.l.FirstFret(), j.l.LastFret(), true)
		return
	}
	if from, to := j.uneven(frets); to >= 0 {
		put(from, to, false)
	}
	for _, g := range j.gaps(frets, maxArchAt, maxArch) {
		put(g[0], g[1], false)
	}
}

// acrossFrets lists the slots read across, ascending: by arch readings in use,
// and by a probe.
func (j *job) acrossFrets() []int {
	frets := j.probed()
	for _, a := range j.a.Arches {
		if !a.open {
			frets = append(frets, a.Fret)
		}
	}
	return ascending(frets)
}

// probed lists the slots that a probe read, where it read three lanes or more.
func (j *job) probed() (frets []int) {
	lanes := map[float64]bool{}
	for _, r := range j.rows {
		if r.method == reading.Probe && !r.aside {
			lanes[r.lane] = true
			frets = append(frets, j.places.list[r.at[0]].fret)
		}
	}
	if len(lanes) < 3 {
		return nil
	}
	return frets
}

// ascending sorts slots, each once.
func ascending(frets []int) []int {
	slices.Sort(frets)
	return slices.Compact(frets)
}

// unevenSigmas is how surely the lanes must show a slot off across, one of them
// all, for an arch to be asked for there.
const unevenSigmas = 3.0

// uneven are the first and the last of the slots at which the lanes show the board
// off across by more than the radius may stray, and no arch was read; to is -1 where there is none.
func (j *job) uneven(read []int) (from, to int) {
	to = -1
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
	return from, to
}
