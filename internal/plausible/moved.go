package plausible

import "math"

// alike is by how much of it two readings in a row may differ in how far they
// are off, where the gauge was moved before them.
const alike = 0.25

// moved finds a gauge that was knocked or set anew in mid pass: two readings in
// a row are off by the same amount. What follows is a stretch of its own. off
// is t's; at least minMM may lie between both.
func (w *Watch) moved(t *taken, offMM, minMM float64) bool {
	s := t.of
	b := s.before(t)
	if b == nil || !b.aside && !b.off || b.segment != t.segment || !hasLine(t.r.Method) {
		return false
	}
	if math.Abs(offMM-w.offOf(b)) > max(minMM, alike*math.Abs(offMM)) {
		return false
	}
	s.segment++
	t.segment, b.segment = s.segment, s.segment
	b.aside, b.either, b.moved = false, nil, true
	return true
}

// movedBack ends a stretch of two or three readings that the next one shows to
// be misreads: it lies on the line of the stretch before.
func (w *Watch) movedBack(t *taken) bool {
	s := t.of
	now := s.active(s.segment, t)
	if s.segment == 0 || len(now) > 3 {
		return false
	}
	if f := w.beside(t, s.active(s.segment-1, nil)); f.odd() {
		return false
	}
	s.segment--
	t.segment = s.segment
	for _, o := range now {
		o.segment, o.aside, o.moved = s.segment, !o.stands, false
	}
	return true
}

// offOf is how far a reading is off: by the lane beside where there is one.
func (w *Watch) offOf(t *taken) float64 {
	if f := w.lanes(t, 1); f.ok {
		return f.offMM
	}
	return w.own(t).offMM
}
