package play

import (
	"math"
	"slices"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Draws is how many times crowns are drawn as they may truly stand: a chance of
// 0.95 is then known to 0.015 at best, and the mean of what follows to a fourteenth
// of its uncertainty at best. Draws that hang together tell less.
const Draws = 200

// Standing is the lane with its crowns off the shape by other amounts.
func (l Lane) Standing(offMM []float64) Lane {
	l.Crowns = slices.Clone(l.Crowns)
	for i := range l.Crowns {
		c := &l.Crowns[i]
		c.ZMM += offMM[i] - c.OffMM
		c.OffMM = offMM[i]
	}
	return l
}

// reach is how far a free string goes at each crown beyond its stop.
type reach struct {
	heightMM     float64
	below, above []float64 // for each mm of the triangle's height
	pressed      []float64 // how deep the triangle itself lies there, pressed to the board
}

// pressed is how deep a triangle of 1 mm lies at each crown.
func (w *workpiece) pressed() (depth []float64) {
	if w.barrier == nil {
		return nil
	}
	for _, row := range w.barrier.at {
		depth = append(depth, dot(row, w.unit))
	}
	return depth
}

// clears reports whether the string meets no crown over these gaps, plucked either
// way. A string that meets nothing moves as the free one does, and that does not
// hang on the gaps; so this is exact.
func (r reach) clears(gaps []float64) bool {
	toward := r.heightMM
	for k, g := range gaps {
		if g <= 0 || r.heightMM*r.below[k]-g > touchMM {
			return false
		}
		if r.pressed[k] > 0 {
			toward = math.Min(toward, g/r.pressed[k])
		}
	}
	for k, g := range gaps {
		if toward*r.above[k]-g > touchMM {
			return false
		}
	}
	return true
}

// InDoubt counts the notes that the readings leave in doubt at the judging touch.
func (r *Report) InDoubt() int {
	notes, _ := r.Doubtful()
	return len(notes)
}

// Sure says that the readings leave no doubt that every note is clear, where each
// is.
func (r *Report) Sure() bool {
	return Sum{InDoubt: r.InDoubt(), ChanceAllClear: r.ChanceAllClear}.Sure()
}

// Doubtful are the notes that the readings leave in doubt at the judging touch, with
// their strings' numbers.
func (r *Report) Doubtful() (notes []Note, strings []int) {
	for _, s := range r.Strings {
		for _, n := range s.At(r.JudgeBy) {
			if n.InDoubt {
				notes, strings = append(notes, n), append(strings, s.String)
			}
		}
	}
	return notes, strings
}

// doubted says whether a chance of being clear leaves a verdict in doubt.
func doubted(v Verdict, chanceClear float64) bool {
	if v == Clear {
		return chanceClear < straight.Confidence
	}
	return 1-chanceClear < straight.Confidence
}

// spread gathers what a size comes to in draws, about what is said of it.
type spread struct {
	about, sum, square float64
	n                  int
}

func (s *spread) add(v float64) {
	v -= s.about
	s.sum, s.square, s.n = s.sum+v, s.square+v*v, s.n+1
}

// mean is the mean of all draws; where none strays, it is what was said.
func (s *spread) mean() float64 { return s.about + s.sum/float64(s.n) }

// miss is the root mean square of what the draws lie off what was said.
func (s *spread) miss() num.Opt { return num.Some(math.Sqrt(s.square / float64(s.n))) }

// scatter is their standard deviation.
func (s *spread) scatter() num.Opt {
	m := s.sum / float64(s.n)
	return num.Some(math.Sqrt(math.Max(0, s.square/float64(s.n)-m*m)))
}

// doubt works out how far the report may be wrong because the crowns are not known
// for certain, and what the lowest actions come to without what noisy crowns add to them. All
// gaps are linear in the crowns' heights and a string's reach does not hang on them,
// so each draw is worked out in full.
func (n *Neck) doubt(r *Report) error {
	if n.MayBe == nil {
		return nil
	}
	all := 1.0
	var ideal, clear []float64 // the neck's metal in each draw
	for k, c := range n.Cases {
		s := &r.Strings[c.Lane.String-1]
		d, err := newDoubting(n, k, s)
		if err != nil {
			return err
		}
		for _, l := range n.MayBe[c.Lane.String-1] {
			if err := d.draw(l); err != nil {
				return err
			}
		}
		d.tell(s)
		all *= s.ChanceClear.Or(1)
		ideal = addMetal(&r.LeastMetal.Strings[k], d.metal, ideal)
		clear = addMetal(&r.LeastMetalClear.Strings[k], d.metalClear, clear)
	}
	for i, w := range r.Worst {
		k := slices.IndexFunc(r.Strings[w.String-1].Notes, func(n Note) bool { return n.Fret == w.Fret && n.Touch == r.JudgeBy })
		r.Worst[i].InDoubt = r.Strings[w.String-1].Notes[k].InDoubt
	}
	r.ChanceAllClear = num.Some(all)
	r.LeastMetal.doubt(ideal)
	r.LeastMetalClear.doubt(clear)
	return nil
}

// addMetal tells the uncertainty of a string's least metal, and adds its draws to
// the neck's: strings are taken to be wrong together, which makes it no smaller.
func addMetal(m *StringMetal, draws, total []float64) []float64 {
	if !m.Feasible {
		return total
	}
	if total == nil {
		total = make([]float64, len(draws))
	}
	s := spread{about: m.TotalRemoveMM.OrNaN()}
	for d, v := range draws {
		s.add(v)
		total[d] += v
	}
	m.UTotalMM = s.miss()
	return total
}

// doubt tells the uncertainty of the neck's least metal.
func (m *NeckMetal) doubt(total []float64) {
	if !m.Feasible || len(m.Strings) == 0 {
		return
	}
	s := spread{about: m.TotalRemoveMM.OrNaN()}
	for _, v := range total {
		s.add(v)
	}
	m.UTotalMM = s.miss()
}

// doubting gathers what draws say of one string.
type doubting struct {
	setup             Setup
	judged            *Judged
	judge             int
	ideal             []Clearance // under each touch
	rises             Clearance   // of each gap with the action, mm for each mm: heights do not bear on it
	margins           [][]spread  // by stop, then touch
	own               []spread    // by stop, under the judging touch
	clears            []int       // in how many draws, by stop
	allClear, draws   int
	lowest, lowClear  spread
	metal, metalClear []float64 // in each draw
	gaps              []float64
}

func newDoubting(n *Neck, k int, s *StringReport) (*doubting, error) {
	c, j := n.Cases[k], &n.Judged[k]
	d := &doubting{setup: c.Setup, judged: j, judge: c.Judge, own: make([]spread, len(j.Stops)), clears: make([]int, len(j.Stops)),
		lowest: spread{about: s.LowestActionMM.OrNaN()}, lowClear: spread{about: s.LowestClearActionMM.OrNaN()}}
	for _, t := range c.Touches {
		ideal, err := d.idealOf(c, t)
		if err != nil {
			return nil, err
		}
		d.ideal = append(d.ideal, ideal)
	}
	var err error
	if d.rises, err = c.Lane.rises(c.Setup, j.Rest); err != nil {
		return nil, err
	}
	for i, notes := range j.Notes {
		d.own[i].about = notes[c.Judge].ClearMarginMM.OrNaN()
		row := make([]spread, len(notes))
		for t, note := range notes {
			row[t].about = note.MarginMM.OrNaN()
		}
		d.margins = append(d.margins, row)
	}
	return d, nil
}

func (d *doubting) idealOf(c Case, t neck.Touch) (Clearance, error) {
	return IdealClearance(c.Lane, d.judged.Stops, t, c.String.TensionN)
}

// rises is how much each gap grows with the action.
func (l Lane) rises(s Setup, r Rest) (Clearance, error) {
	s.ActionMM++
	higher, err := l.Rest(s)
	if err != nil {
		return nil, err
	}
	up, stops := l.Stops(s, higher), l.Stops(s, r)
	out := make(Clearance, len(stops))
	for i, stop := range stops {
		for _, c := range l.Crowns[stop.Beyond:] {
			out[i] = append(out[i], up[i].Gap(c, higher)-stop.Gap(c, r))
		}
	}
	return out, nil
}

// holding is the part of a range of actions in which gaps are no less than their
// needs.
func (s Range) holding(actionMM float64, gaps, needs, rises []float64) Range {
	for k, g := range gaps {
		left := g - needs[k]
		switch {
		case rises[k] > flat:
			s.Lo = math.Max(s.Lo, actionMM-left/rises[k])
		case rises[k] < -flat:
			s.Hi = math.Min(s.Hi, actionMM-left/rises[k])
		case left < 0:
			s.Lo = math.Inf(1)
		}
	}
	return s
}

// draw adds one draw of the lane.
func (d *doubting) draw(l Lane) error {
	rest, err := l.Rest(d.setup)
	if err != nil {
		return err
	}
	stops, all := l.Stops(d.setup, rest), true
	low, clear, action := everywhere(), everywhere(), d.setup.ActionMM
	for i, stop := range stops {
		d.gaps = d.gaps[:0]
		for _, c := range l.Crowns[stop.Beyond:] {
			d.gaps = append(d.gaps, stop.Gap(c, rest))
		}
		if len(d.gaps) > 0 {
			for t := range d.margins[i] {
				d.margins[i][t].add(leastLeft(d.gaps, d.ideal[t][i]))
			}
			d.own[i].add(leastLeft(d.gaps, d.judged.Own[i]))
			low = low.holding(action, d.gaps, d.judged.Ideal[i], d.rises[i])
			clear = clear.holding(action, d.gaps, d.judged.Own[i], d.rises[i])
		}
		if d.judged.reach[i].clears(d.gaps) {
			d.clears[i]++
		} else {
			all = false
		}
	}
	d.draws++
	if all {
		d.allClear++
	}
	d.lowest.add(low.least())
	d.lowClear.add(clear.least())
	d.metal = append(d.metal, LeastMetal(l, stops, rest, d.judged.Ideal).TotalMM)
	d.metalClear = append(d.metalClear, LeastMetal(l, stops, rest, d.judged.Own).TotalMM)
	return nil
}

// leastLeft is the least of gap less need.
func leastLeft(gaps, needs []float64) float64 {
	least := math.Inf(1)
	for k, g := range gaps {
		least = math.Min(least, g-needs[k])
	}
	return least
}

// tell puts what the draws say into the string's report.
func (d *doubting) tell(s *StringReport) {
	touches := len(d.ideal)
	for i := range s.Notes {
		note, stop, t := &s.Notes[i], i/touches, i%touches
		if note.MarginMM.Known() {
			note.UMarginMM = d.margins[stop][t].miss()
		}
		if t != d.judge {
			continue
		}
		if note.ClearMarginMM.Known() {
			note.UClearMarginMM = d.own[stop].miss()
		}
		chance := float64(d.clears[stop]) / float64(d.draws)
		note.ChanceClear, note.InDoubt = num.Some(chance), doubted(note.Verdict, chance)
	}
	s.ChanceClear = num.Some(float64(d.allClear) / float64(d.draws))
	if s.LowestActionMM.Known() {
		s.ExpectedLowestActionMM, s.ULowestActionMM = num.Some(d.lowest.mean()), d.lowest.scatter()
	}
	if s.LowestClearActionMM.Known() {
		s.ExpectedLowestClearActionMM, s.ULowestClearActionMM = num.Some(d.lowClear.mean()), d.lowClear.scatter()
	}
}
