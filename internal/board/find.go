package board

import (
	"math"
	"slices"
	"sort"

	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Kind is what a finding is of.
type Kind string

// The kinds of findings.
const (
	Hump    Kind = "hump"
	Dip     Kind = "dip"
	Rise    Kind = "rise" // towards the board's end
	Bow     Kind = "bow"
	Twisted Kind = "twist"
	Radius  Kind = "radius"
)

// Finding is something true of the board over several slots.
type Finding struct {
	Kind  Kind      `json:"kind"`
	Frets []int     `json:"frets"` // ascending
	Lanes []float64 `json:"lanes"`
	// DepthMM is its size at its highest or deepest; of a bow hollow positive, of a
	// twist treble side up, of a radius how far the board's middle stands proud.
	DepthMM float64 `json:"depth_mm"`
	UMM     float64 `json:"u_mm"`
}

// A run of slots is a hump or a dip where it stands off the lane's line by this
// part of board.flat at its peak, and by this many standard uncertainties as a
// whole: runs are picked from all there are (tried on sound boards).
const (
	peakPart   = 0.5
	runSigmas  = 4.5
	mainPart   = 0.3     // of the largest: smaller ones are not worth a word beside it
	edgePart   = 1.0 / 3 // of the peak: where a run ends
	alikePart  = 1.0 / 3 // of the deepest lane: others that share it
	bowPart    = 0.6     // of a zone: how much of it one bow must explain
	bowRest    = 0.5     // of a zone: what it may leave
	bowedLanes = 0.5     // of the lanes: how many must share it
)

// find names what is true of the board over several slots.
func (j *job) find() {
	if !j.findBow() {
		j.findRuns()
	}
	j.findTwist()
	j.findRadius()
}

// findBow names one bow that most lanes share.
func (j *job) findBow() bool {
	var lanes []float64
	sum, u := 0.0, 0.0
	var frets []int
	for i, l := range j.a.Lanes {
		if l.knocked || l.Verdict == Straight || math.Abs(l.BowMM) < bowPart*l.ZoneMM || j.restZone(i) > math.Max(j.m.Board.Flat, bowRest*l.ZoneMM) {
			continue
		}
		if len(lanes) > 0 && l.BowMM*sum < 0 {
			return false
		}
		lanes, sum, u = append(lanes, l.Lane), sum+l.BowMM, math.Max(u, l.UZoneMM)
		frets = append(frets, l.frets...)
	}
	if len(lanes) == 0 || float64(len(lanes)) < bowedLanes*float64(len(j.a.Lanes)) {
		return false
	}
	j.a.Findings = append(j.a.Findings, Finding{Bow, ascending(frets), lanes, sum / float64(len(lanes)), u})
	return true
}

// restZone is how far a lane's slots spread beside its bow.
func (j *job) restZone(i int) float64 {
	s, bow := j.sources[i], j.a.Lanes[i].BowMM
	first, span := s.x[0], s.x[len(s.x)-1]-s.x[0]
	rest := make([]float64, len(s.x))
	for k, x := range s.x {
		t := (x - first) / span
		rest[k] = s.z[k] + 4*t*(1-t)*bow
	}
	num.Detrend(s.x, rest)
	return slices.Max(rest) - slices.Min(rest)
}

// stretch is a part of a lane off its line.
type stretch struct {
	lane     int // place in Lanes
	from, to int // places in the lane
	sign     float64
	peak, u  float64
}

// runs lists the stretches of a lane off its line by more than their uncertainty.
func (j *job) runs(i int) []stretch {
	l, s := j.a.Lanes[i], j.sources[i]
	var out []stretch
	for from := 0; from < len(l.offMM); {
		sign := math.Copysign(1, l.offMM[from])
		to := from
		for to+1 < len(l.offMM) && l.offMM[to+1]*sign > 0 {
			to++
		}
		if r := trim(stretch{lane: i, from: from, to: to, sign: sign}, l.offMM); r.peak > 0 {
			mean, v := 0.0, 0.0
			for a := r.from; a <= r.to; a++ {
				mean += l.offMM[a] * sign
				for b := r.from; b <= r.to; b++ {
					v += s.cov.At(a, b)
				}
			}
			r.u = math.Sqrt(math.Max(0, v)) / float64(r.to-r.from+1)
			if mean/float64(r.to-r.from+1) > runSigmas*r.u {
				out = append(out, r)
			}
		}
		from = to + 1
	}
	return out
}

// trim narrows a stretch to where it stands off by a third of its peak or more.
func trim(r stretch, off []float64) stretch {
	top := r.from
	for k := r.from; k <= r.to; k++ {
		if off[k]*r.sign > off[top]*r.sign {
			top = k
		}
	}
	r.peak = off[top] * r.sign
	from, to := top, top
	for from > r.from && off[from-1]*r.sign >= edgePart*r.peak {
		from--
	}
	for to < r.to && off[to+1]*r.sign >= edgePart*r.peak {
		to++
	}
	r.from, r.to = from, to
	return r
}

// findRuns names humps, dips and rises of lanes that are not straight, with the
// lanes that share them.
func (j *job) findRuns() {
	all := make([][]stretch, len(j.a.Lanes))
	var heads []stretch
	for i, l := range j.a.Lanes {
		if l.knocked {
			continue
		}
		all[i] = j.runs(i)
		for _, r := range all[i] {
			if l.Verdict != Straight && r.peak >= peakPart*j.m.Board.Flat && (r.to > r.from || j.sharedBeside(i, r.from)) {
				heads = append(heads, r)
			}
		}
	}
	sort.SliceStable(heads, func(i, j int) bool { return heads[i].peak > heads[j].peak })
	used := map[[2]int]bool{}
	for _, h := range heads {
		if h.peak >= mainPart*heads[0].peak && !used[[2]int{h.lane, h.from}] {
			j.a.Findings = append(j.a.Findings, j.join(h, all, used))
		}
	}
}

// join makes a finding of a stretch and of those of other lanes that share it.
func (j *job) join(h stretch, all [][]stretch, used map[[2]int]bool) Finding {
	first, last := j.a.Lanes[h.lane].frets[h.from], j.a.Lanes[h.lane].frets[h.to]
	from, to := first, last
	f := Finding{Kind: Dip, DepthMM: h.peak, UMM: h.u}
	end := false
	for i, l := range j.a.Lanes {
		for _, r := range all[i] {
			a, b := l.frets[r.from], l.frets[r.to]
			if r.sign != h.sign || r.peak < alikePart*h.peak || used[[2]int{i, r.from}] ||
				b < first || a > last {
				continue
			}
			used[[2]int{i, r.from}] = true
			if !slices.Contains(f.Lanes, l.Lane) {
				f.Lanes = append(f.Lanes, l.Lane)
			}
			if r.peak >= 2*edgePart*h.peak {
				from, to = min(from, a), max(to, b)
			}
			end = end || r.to == len(l.frets)-1
		}
	}
	if h.sign > 0 {
		f.Kind = Hump
		if end {
			f.Kind = Rise
		}
	}
	f.Frets = slotsFrom(from, to)
	return f
}

// findTwist names a twist that is surely more than board.flat.
func (j *job) findTwist() {
	t := j.a.Twist
	if t == nil || math.Abs(t.MM)-straight.UpperPoint(doubtful/2)*t.UMM <= j.m.Board.Flat || t.readings == 1 {
		return
	}
	j.a.Findings = append(j.a.Findings, Finding{Twisted, []int{j.l.FirstFret(), j.l.LastFret()}, []float64{1, float64(j.l.Strings())}, t.MM, t.UMM})
}

// findRadius names the slots at which the radius is surely off.
func (j *job) findRadius() {
	var frets []int
	var worst Arch
	for _, a := range j.a.Arches {
		if a.Verdict != NotRound {
			continue
		}
		frets = append(frets, a.Fret)
		if math.Abs(a.MiddleMM) >= math.Abs(worst.MiddleMM) {
			worst = a
		}
	}
	if len(frets) > 0 {
		j.a.Findings = append(j.a.Findings, Finding{Radius, ascending(frets), []float64{}, worst.MiddleMM, worst.uMiddleMM})
	}
}

// slotsFrom lists slots from one to another.
func slotsFrom(from, to int) (slots []int) {
	for f := from; f <= to; f++ {
		slots = append(slots, f)
	}
	return slots
}
