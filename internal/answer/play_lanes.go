package answer

import (
	"context"
	"fmt"
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
)

// playLane is a string's lane, or why it cannot be judged.
type playLane struct {
	play.Lane
	why     string // not judged at all
	missing []int  // frets whose crowns are not known
	cause   string // of the missing ones
}

// readLanes finds every string's crowns: perfect ones, those that readings
// give, or those that the levelling plan leaves.
func (p *player) readLanes(ctx context.Context) error {
	p.lanes = make([]playLane, p.r.Layout.Strings())
	if !p.r.Read {
		for i := range p.lanes {
			frets := p.frets()
			p.lanes[i].Lane = p.lane(i, frets, make([]float64, len(frets)), nil)
		}
		return nil
	}
	n, err := judged(p.r.Model, p.r.Layout, p.r.Readings)
	if err != nil {
		return err
	}
	p.answer.Warnings = append(p.answer.Warnings, n.Estimate.Warnings...)
	if k := len(n.Estimate.Misreads); k > 0 {
		p.answer.Warnings = append(p.answer.Warnings, asideWords(k))
	}
	p.warnStrung()
	var next planned
	if p.r.Planned {
		if next, err = p.planned(ctx, n); err != nil {
			return err
		}
	}
	for k, l := range n.Lanes {
		i := int(l.Lane.Lane) - 1
		if float64(i+1) != l.Lane.Lane || i < 0 || i >= len(p.lanes) {
			continue // between strings
		}
		off := append([]float64(nil), l.Off...)
		var removed []float64
		if p.r.Planned {
			removed = next.metal.Lanes[k].RemoveMM
			if off, err = levelled(l, removed, next.first); err != nil {
				return err
			}
		}
		p.lanes[i].Lane = p.lane(i, l.Frets, off, removed)
	}
	p.findMissing(n)
	return nil
}

// planned is what comes off a neck and which frets are pressed or replaced first.
type planned struct {
	metal level.Plan
	first []int
}

// planned is the work that `frets` asks for; where it asks for none yet, the least
// metal to the limit.
func (p *player) planned(ctx context.Context, n *findings.Neck) (planned, error) {
	r := FretsRequest{Model: p.r.Model, Layout: p.r.Layout, Readings: p.r.Readings}
	w, err := n.Work(ctx, r.askOf(n))
	if err != nil {
		return planned{}, err
	}
	out := planned{}
	for _, f := range w.First {
		out.first = append(out.first, f.Fret)
	}
	switch {
	case w.Plan != nil:
		out.metal = *w.Plan
	case w.Metal != nil:
		out.metal = level.Nothing(n.LevelLanes())
	default:
		if out.metal, err = level.Least(n.LevelLanes(), r.Model.Level.Zone); err != nil {
			return out, fmt.Errorf("planning: %w", err)
		}
	}
	return out, nil
}

// levelled is how far each crown stands off its lane's line once metal is off:
// the line is taken anew, as a reading of the levelled neck would. Frets that are
// pressed or replaced first are taken to end in line with their neighbours.
func levelled(l findings.Lane, removed []float64, first []int) ([]float64, error) {
	off := make([]float64, len(l.Off))
	var x, z []float64
	for k := range off {
		off[k] = l.Off[k] - removed[k]
		if !slices.Contains(first, l.Frets[k]) {
			x, z = append(x, l.X[k]), append(z, off[k])
		}
	}
	for k, f := range l.Frets {
		if slices.Contains(first, f) {
			off[k] = inLine(x, z, l.X[k])
		}
	}
	a, b, err := straight.ReferenceLine(l.X, off)
	if err != nil {
		return nil, err
	}
	for k, x := range l.X {
		off[k] -= a + b*x
	}
	return off, nil
}

// inLine is the height at a place of the line between the two crowns next to it,
// or of the nearest one beyond the ends; 0 where there is none.
func inLine(x, z []float64, at float64) float64 {
	k, _ := slices.BinarySearch(x, at)
	switch {
	case len(x) == 0:
		return 0
	case k == 0:
		return z[0]
	case k == len(x):
		return z[k-1]
	}
	return z[k-1] + (z[k]-z[k-1])*(at-x[k-1])/(x[k]-x[k-1])
}

// frets are all frets that have a crown.
func (p *player) frets() []int {
	var out []int
	for f := p.r.Layout.FirstFret(); f <= p.r.Layout.LastFret(); f++ {
		out = append(out, f)
	}
	return out
}

// lane lays out string i's crowns. removed is nil where no metal comes off.
func (p *player) lane(i int, frets []int, off, removed []float64) play.Lane {
	number := float64(i + 1)
	layout, m := p.r.Layout, p.r.Model
	heights := level.HeightsOf(m, p.r.Readings)
	shape := layout.Shape(number, frets)
	to := m.Setup.ReliefTo
	if to == 0 {
		to = layout.LastFret()
	}
	l := play.Lane{String: i + 1, ScaleMM: layout.LaneScale(number)}
	for k, f := range frets {
		c := play.Crown{Fret: f, XMM: layout.LaneX(f, number), OffMM: off[k], BowMM: layout.Bow(f, to, number),
			SpareMM: heights.At(f, number) - m.Level.LeastCrown}
		if removed != nil {
			c.SpareMM -= removed[k]
		}
		c.SpareMM = max(0, c.SpareMM)
		c.ZMM = shape[k] + off[k] + m.Setup.Relief*c.BowMM
		l.Crowns = append(l.Crowns, c)
	}
	return l
}

// findMissing says of each lane which crowns are not known and what that means
// for its notes.
func (p *player) findMissing(n *findings.Neck) {
	why := map[[2]int]string{}
	for _, u := range n.Estimate.Undetermined {
		why[[2]int{int(u.Lane), u.Fret}] = u.Why
	}
	needed := p.needed()
	for i := range p.lanes {
		l := &p.lanes[i]
		l.String = i + 1
		known := map[int]bool{}
		for _, c := range l.Crowns {
			known[c.Fret] = true
		}
		for _, f := range p.frets() {
			if known[f] {
				continue
			}
			l.missing = append(l.missing, f)
			if l.cause == "" {
				l.cause = why[[2]int{i + 1, f}]
			}
			if needed[f] != "" && l.why == "" {
				l.why = fmt.Sprintf("fret %d's crown is not known, and %s", f, needed[f])
			}
		}
		if len(l.Crowns) == 0 {
			l.why = fmt.Sprintf("no crown of lane %d is known: take readings along it", i+1)
		}
		if l.why != "" {
			p.answer.NotJudged = append(p.answer.NotJudged, NotJudged{String: i + 1, Frets: p.stopNumbers(), Why: l.why})
		} else if len(l.missing) > 0 {
			p.notSeen(l)
		}
	}
}

// needed are the crowns that a string cannot be set up without, and why.
func (p *player) needed() map[int]string {
	out := map[int]string{min(12, p.r.Layout.LastFret()): "the action is measured there"}
	if p.r.Model.Scale.ZeroFret {
		out[0] = "the open string lies on it"
	} else if p.r.Model.Setup.NutGap != nil {
		out[1] = "the nut gap is measured there"
	}
	return out
}

// stopNumbers are the frets at which a string is judged.
func (p *player) stopNumbers() []int {
	var out []int
	for f := p.r.Capo; f <= p.r.Layout.LastFret(); f++ {
		out = append(out, f)
	}
	return out
}

// notSeen lists what a lane with some crowns unknown leaves open: stops on them,
// and stops before them, judged without them.
func (p *player) notSeen(l *playLane) {
	missing := map[int]bool{}
	highest := 0
	for _, f := range l.missing {
		missing[f], highest = true, max(highest, f)
	}
	var lost, partly []int
	for _, f := range p.stopNumbers() {
		switch {
		case missing[f]:
			lost = append(lost, f)
		case f < highest:
			partly = append(partly, f)
		}
	}
	because := ""
	if l.cause != "" {
		because = " (" + l.cause + ")"
	}
	if len(lost) > 0 {
		p.answer.NotJudged = append(p.answer.NotJudged, NotJudged{String: l.String, Frets: lost, Why: "their crowns are not known" + because})
	}
	if len(partly) > 0 {
		p.answer.NotJudged = append(p.answer.NotJudged, NotJudged{String: l.String, Frets: partly,
			Why: fmt.Sprintf("judged against the known crowns only; not known: %d of the frets beyond%s", len(l.missing), because)})
	}
}

// asideWords says how many readings were set aside.
func asideWords(n int) string {
	if n == 1 {
		return "one reading does not agree with the others and was set aside; the verdict on the frets names it"
	}
	return fmt.Sprintf("%d readings do not agree with the others and were set aside; the verdict on the frets names them", n)
}
