package plausible

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// Watch looks at readings as they are taken.
type Watch struct {
	layout  *geometry.Layout
	crownMM float64
	count   int
	all     []*series
	byKey   map[key]*series
}

// New begins a watch over a neck. crownMM is the wire's crown height in mm, 0
// where it is not known.
func New(l *geometry.Layout, crownMM float64) *Watch {
	return &Watch{layout: l, crownMM: crownMM, byKey: map[key]*series{}}
}

// few is up to how many readings of a pass are weighed one against the other
// where one of them is odd: beyond, their line is certain.
const few = 6

// Take looks at the next reading. One that stands is not asked of; what
// disagrees with it may be.
func (w *Watch) Take(r reading.Reading) {
	t := &taken{index: w.count, r: r, stands: r.Stands}
	w.count++
	k, ok := keyOf(r)
	if !ok {
		return
	}
	if t.of = w.byKey[k]; t.of == nil {
		t.of = &series{key: k}
		w.byKey[k], w.all = t.of, append(w.all, t.of)
	}
	w.place(t)
	s := t.of
	t.segment = s.segment
	again := s.again(t)
	s.all = append(s.all, t)
	switch {
	case again != nil && Agree(again.r, r):
		w.bothStand(again, t)
	default:
		w.look(t)
	}
	w.reweigh(s)
	w.lookBack(s)
	w.reopen(t)
}

// again is an earlier try at t's place with the same set-up.
func (s *series) again(t *taken) *taken {
	for i := len(s.all) - 1; i >= 0; i-- {
		if same(s.all[i], t) {
			return s.all[i]
		}
	}
	return nil
}

// bothStand settles what a second try at one place confirms.
func (w *Watch) bothStand(first, second *taken) {
	first.stands, second.stands, first.aside = true, true, false
	second.segment = first.segment
	w.settle(first, second)
}

// settle looks again at what was open with a reading that stands.
func (w *Watch) settle(first, second *taken) {
	s := first.of
	either := first.either
	first.either = nil
	if len(s.open) > 0 {
		w.explain(s, second)
		return
	}
	// The other lane's reading is then the one to look at, where its own pass
	// speaks for it less than this one's does.
	for _, o := range either {
		if !o.stands && !o.aside && math.Abs(w.own(o).offMM) > math.Abs(w.own(first).offMM) {
			o.aside = true
		}
	}
}

// look asks of a new reading.
func (w *Watch) look(t *taken) {
	s, lanes := t.of, w.lanes(t, 1)
	if lanes.ok && !lanes.odd() && len(s.open) == 0 {
		return // the nearest there is to go by: a fret that is far off is so in both
	}
	own := w.own(t)
	switch {
	case own.odd() && w.movedBack(t):
	case own.odd() && w.alsoBeside(t):
	case len(s.open) > 0:
		w.explain(s, t)
	case lanes.odd():
		w.between(t, lanes)
	case !own.odd():
	case len(s.active(t.segment, t)) < few:
		w.explain(s, t)
	case w.moved(t, own.offMM, ownMM):
	default:
		t.aside, t.off = !t.stands, t.stands
	}
}

// alsoBeside takes back what was asked of the same fret in the lane beside, or
// in another pass, where t is off as much: a fret that is off, not two misreads.
func (w *Watch) alsoBeside(t *taken) bool {
	o := w.agreesWith(t)
	if o != nil {
		o.aside, o.either = false, nil
	}
	return o != nil
}

// between finds which of two lanes' readings at one fret is odd.
func (w *Watch) between(t *taken, f found) {
	o := f.with
	tOther, oOther := w.lanes(t, 1, o), w.lanes(o, 1, t)
	tGood, oGood := tOther.ok && !tOther.odd(), oOther.ok && !oOther.odd()
	switch {
	case w.moved(t, f.offMM, lanesMM):
	case tGood && !oGood && !o.stands || w.own(o).odd() && !w.own(t).odd() && !o.stands:
		o.aside = true
	case !t.stands && (oGood || o.stands):
		t.aside = true
	case !t.stands:
		t.aside, t.either = true, []*taken{o}
	case tGood:
	case math.Abs(w.own(o).offMM) > math.Abs(w.own(t).offMM) && !o.stands:
		o.aside = true
	default:
		t.off = true
	}
}

// explain weighs the first readings of a pass against each other: which of them
// left out makes the others fit.
func (w *Watch) explain(s *series, newest *taken) {
	set := s.active(s.segment, nil)
	s.open = nil
	if w.fit(set) {
		return
	}
	var one []*taken
	for _, c := range set {
		if !c.stands && w.fit(s.active(s.segment, c)) {
			one = append(one, c)
		}
	}
	switch {
	case len(one) == 1:
		one[0].aside = true
	case len(one) > 1 && len(set) <= few+2:
		s.open, s.asked = one, newest
		if !slices.Contains(one, newest) {
			s.asked = one[len(one)-1]
		}
	case len(one) > 1:
		slices.MaxFunc(one, func(a, b *taken) int { return cmp.Compare(math.Abs(w.own(a).offMM), math.Abs(w.own(b).offMM)) }).aside = true
	case !newest.stands:
		newest.aside = true
	}
}

// fit reports whether readings of one set-up go together: each with the others.
func (w *Watch) fit(set []*taken) bool {
	rest := make([]*taken, 0, len(set))
	for i, t := range set {
		rest = append(append(rest[:0], set[:i]...), set[i+1:]...)
		if w.beside(t, rest).odd() {
			return false
		}
	}
	return true
}

// reweigh begins again where two or more misreads at a pass's start were taken
// for its line: where a line through all its readings has more of them on it
// than count now, those are right and the others odd. What only the lane beside
// speaks against is left as it is.
func (w *Watch) reweigh(s *series) {
	all := s.active(s.segment, nil)
	now := len(all)
	for _, t := range s.all {
		if t.aside && t.segment == s.segment && w.own(t).odd() {
			all = append(all, t)
		}
	}
	if len(all) < enough || len(all)-now < 2 {
		return
	}
	tr := trendOf(s.key.method, all)
	odd := func(t *taken) bool {
		return !t.stands && math.Abs(t.h-tr.at(t.x)) > tr.limit(t.x, floorOf(t.r.Method))
	}
	on := 0
	for _, t := range all {
		if !odd(t) {
			on++
		}
	}
	if on <= now {
		return
	}
	s.open = nil
	for _, t := range all {
		t.aside, t.either = odd(t), nil
	}
}

// A pass's line tells of its earlier readings from settled readings on, and is
// asked after every lookEvery-th.
const (
	settled   = 8
	lookEvery = 2
)

// backMM is how far an earlier reading may lie off the line unasked: a little
// more than a new one, which is asked of but once.
const backMM = 0.2

// lookBack finds an earlier reading that the pass, as it has grown, speaks
// against.
func (w *Watch) lookBack(s *series) {
	set := s.active(s.segment, nil)
	if len(set) < settled || len(set)%lookEvery > 0 || len(s.open) > 0 {
		return
	}
	tr := trendOf(s.key.method, set)
	var worst *taken
	least := 1.0
	for _, t := range set {
		if share := math.Abs(t.h-tr.at(t.x)) / tr.limit(t.x, max(backMM, floorOf(t.r.Method))); share > least && !t.stands {
			worst, least = t, share
		}
	}
	if worst == nil {
		return
	}
	if f := w.lanes(worst, 1); !f.ok || f.odd() {
		worst.aside = true
	}
}

// reopen looks at what was asked of the lane beside, now that a further lane
// can tell which of two was odd.
func (w *Watch) reopen(t *taken) {
	if t.aside {
		return
	}
	for _, s := range w.all {
		for _, o := range s.all {
			if len(o.either) == 0 || o.of == t.of && o.r.Lane == t.r.Lane || !sameFrets(o, t) || math.Abs(o.r.Lane-t.r.Lane) > 1 || !comparable(o, t.of) || o.either[0] == t {
				continue
			}
			f := against(o, t)
			switch other := o.either[0]; {
			case !f.ok:
			case f.odd():
				o.either = nil
			case !other.stands:
				o.aside, o.either, other.aside = false, nil, true
			}
		}
	}
}
