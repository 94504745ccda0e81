package hand

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/filing"
)

// Crown is one crown read before and after the work, mm. The two heights are in lines
// of their own: what differs by a straight line along a lane is not seen.
type Crown struct {
	Fret              int
	Lane, XMM         float64
	BeforeMM, AfterMM float64
	UMM               float64 // standard uncertainty of the difference
	BowMM             float64 // what 1 mm of bow of the neck would add here
}

// Bench is what the readings were taken on.
type Bench struct {
	Lanes             int // whole lanes, one a string
	RadiusMM, StripMM float64
	BoardMM           float64 // the board's radius; 0: flat
}

const (
	// bowSD is how far a neck's bow may change between two readings, mm; an estimate.
	bowSD = 0.005
	// alsoSD is what a beam takes off a crown that a file went over first, mm.
	alsoSD = 0.003
	// movedBy is from how many times its uncertainty on a crown that nobody worked has
	// moved: it was pressed, or misread.
	movedBy = 4.0
)

// Done is one entry, or some that share crowns and tool, and what it took off.
type Done struct {
	Tool, Paper, By string
	Spot
}

// Pair finds what each entry took off. Crowns that no entry worked carry the line of
// each lane; a lane with fewer than two of them says nothing. Entries of one tool,
// paper and hand that share crowns count as one: their metal adds up, however it was
// shared. blind is how many entries no lane tells of.
func Pair(b Bench, crowns []Crown, strokes Strokes) (done []Done, blind int) {
	entries := joined(strokes, b.Lanes)
	lanes := byLane(crowns)
	slid := map[string]float64{}
	for i, e := range entries {
		path := float64(e.strokes) * pathOf(e.Tool)
		on := slid[e.Paper+"/"+e.Tool] + path/2
		slid[e.Paper+"/"+e.Tool] += path
		if !e.counts() {
			continue
		}
		s, told := b.spot(i, entries, lanes)
		if !told {
			blind++
			continue
		}
		s.SlidMM = on
		done = append(done, Done{e.Tool, e.Paper, e.By, s})
	}
	return done, blind
}

// entry is what one or more strokes of one tool worked.
type entry struct {
	Stroke
	strokes int
	worked  []int
	lanes   int
}

// works says whether an entry goes over a crown.
func (e *entry) works(fret int, lane float64, all int) bool {
	first, last := e.span(all)
	return slices.Contains(e.worked, fret) && lane >= float64(first) && lane <= float64(last)
}

func (e *entry) span(all int) (first, last int) {
	if e.FirstLane == 0 {
		return 1, all
	}
	return e.FirstLane, e.LastLane
}

// joined puts entries together that share frets, tool, paper, hand and lanes.
func joined(strokes Strokes, lanes int) (out []entry) {
	for _, s := range strokes {
		e := entry{Stroke: s, strokes: s.Strokes, worked: s.frets()}
		first, last := e.span(lanes)
		e.lanes = last - first + 1
		i := slices.IndexFunc(out, func(o entry) bool {
			return o.counts() && o.Tool == s.Tool && o.Paper == s.Paper && o.By == s.By && o.FirstLane == s.FirstLane && o.LastLane == s.LastLane &&
				o.worked[0] <= s.ToFret && s.FromFret <= o.worked[len(o.worked)-1]
		})
		if i < 0 {
			out = append(out, e)
			continue
		}
		o := &out[i]
		o.strokes += s.Strokes
		o.FlatMM, o.FlatToMM = s.FlatMM, s.FlatToMM // the last is where the hand stopped
		o.worked = append(o.worked, e.worked...)
		slices.Sort(o.worked)
		o.worked = slices.Compact(o.worked)
	}
	return out
}

// pathOf is how far a stroke goes, mm.
func pathOf(tool string) float64 {
	if tool == Beam || tool == Block {
		return filing.Usual(1, 1).PathMM
	}
	return 0 // a file has no paper
}

func byLane(crowns []Crown) (lanes [][]Crown) {
	sorted := slices.Clone(crowns)
	slices.SortStableFunc(sorted, func(a, b Crown) int { return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.Fret, b.Fret)) })
	for _, c := range sorted {
		if n := len(lanes); n == 0 || lanes[n-1][0].Lane != c.Lane {
			lanes = append(lanes, nil)
		}
		lanes[len(lanes)-1] = append(lanes[len(lanes)-1], c)
	}
	return lanes
}

// spot gathers what an entry took off over all lanes that tell.
func (b Bench) spot(e int, all []entry, lanes [][]Crown) (Spot, bool) {
	k := &all[e]
	s := Spot{Strokes: k.strokes, Crowns: len(k.worked) * k.lanes, RadiusMM: b.RadiusMM, StripMM: b.StripMM, FlatMM: k.FlatMM, FlatTo: k.FlatToMM, Lanes: k.lanes}
	if k.lanes == 1 && k.Tool != Block {
		s.BoardMM = b.BoardMM
	}
	if len(k.worked) > 1 {
		s.FlatMM = 0 // of which crown?
	}
	var sum laneSum
	told := 0.0
	for _, lane := range lanes {
		var mine, rest []Crown
		extra := 0.0
		for _, c := range lane {
			switch owner, several := owned(all, c, b.Lanes); {
			case owner == nobody && !several:
				rest = append(rest, c)
			case owner == e:
				mine = append(mine, c)
				if several {
					extra = alsoSD * alsoSD
				}
			}
		}
		if l, ok := lineOf(rest); ok && len(mine) > 0 {
			sum.add(mine, l, extra)
			told++
		}
	}
	if told == 0 {
		return s, false
	}
	s.DepthMM = sum.depth / told
	s.UMM = math.Hypot(math.Sqrt(sum.variance), bowSD*sum.bow) / told
	s.Even = even(sum.all, sum.noise/float64(len(sum.all)))
	return s, true
}

// laneSum adds lanes up.
type laneSum struct {
	depth, variance, bow float64 // means of lanes, added
	all                  []float64
	noise                float64
}

func (s *laneSum) add(mine []Crown, l line, extra float64) {
	n := float64(len(mine))
	x := 0.0
	for _, c := range mine {
		d := c.BeforeMM - c.AfterMM - l.at(c.XMM)
		s.all, s.noise = append(s.all, d), s.noise+c.UMM*c.UMM
		s.depth, s.variance = s.depth+d/n, s.variance+c.UMM*c.UMM/(n*n)
		s.bow += (c.BowMM - l.bowAt(c.XMM)) / n
		x += c.XMM / n
	}
	s.variance += l.variance(x) + extra
}

const nobody = -1

// owned says to which entry the metal of a crown belongs: the only one that worked
// it, or the file where a beam went over it too. several: more than one did.
func owned(all []entry, c Crown, lanes int) (owner int, several bool) {
	owner = nobody
	n, files := 0, 0
	for i := range all {
		if !all[i].works(c.Fret, c.Lane, lanes) {
			continue
		}
		n++
		switch {
		case !all[i].counts(): // pressed or replaced: its height says nothing
			return nobody, true
		case all[i].Tool == File:
			owner, files = i, files+1
		case files == 0:
			owner = i
		}
	}
	if n > 1 && files != 1 {
		return nobody, true
	}
	return owner, n > 1
}

// even is the mean of depths over that of the same metal shared evenly, by their
// scatter less the readings' own: V ~ d^1.5, to second order.
func even(d []float64, noise float64) float64 {
	n := float64(len(d))
	if n < 2 {
		return 1
	}
	m, square := 0.0, 0.0
	for _, v := range d {
		m += v / n
	}
	for _, v := range d {
		square += (v - m) * (v - m) / (n - 1)
	}
	least := math.Sqrt(noise / n)
	if m = max(m, least); m == 0 {
		return 1
	}
	part := min(max(0, square-noise)/(m*m), n-1)
	return math.Pow(1+3.0/8*part, -2.0/3)
}

// line is a straight line through differences of heights, by least squares, and
// what it would make of a bow.
type line struct {
	x, a, b        float64 // a + b·(X − x)
	va, vb         float64
	bowA, bowSlope float64
}

func (l line) at(x float64) float64       { return l.a + l.b*(x-l.x) }
func (l line) bowAt(x float64) float64    { return l.bowA + l.bowSlope*(x-l.x) }
func (l line) variance(x float64) float64 { return l.va + l.vb*(x-l.x)*(x-l.x) }

// lineOf fits the crowns that nobody worked, without those that moved all the same;
// false where fewer than two are left.
func lineOf(rest []Crown) (line, bool) {
	rest = slices.Clone(rest)
	for len(rest) >= 2 {
		l := fit(rest)
		worst, at := movedBy, -1
		for i, c := range rest {
			if off := math.Abs(c.BeforeMM-c.AfterMM-l.at(c.XMM)) / c.UMM; off > worst {
				worst, at = off, i
			}
		}
		if at < 0 {
			return l, true
		}
		rest = slices.Delete(rest, at, at+1)
	}
	return line{}, false
}

func fit(rest []Crown) line {
	var l line
	var w, xx float64
	for _, c := range rest {
		k := 1 / (c.UMM * c.UMM)
		w += k
		l.x, l.a, l.bowA = l.x+k*c.XMM, l.a+k*(c.BeforeMM-c.AfterMM), l.bowA+k*c.BowMM
	}
	l.x, l.a, l.bowA = l.x/w, l.a/w, l.bowA/w
	for _, c := range rest {
		k, dx := 1/(c.UMM*c.UMM), c.XMM-l.x
		xx += k * dx * dx
		l.b += k * dx * (c.BeforeMM - c.AfterMM)
		l.bowSlope += k * dx * c.BowMM
	}
	l.b, l.bowSlope = l.b/xx, l.bowSlope/xx
	l.va, l.vb = 1/w, 1/xx
	return l
}
