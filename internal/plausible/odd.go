package plausible

import (
	"math"
	"sort"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// Odd is a reading to take again: it does not look right beside the others.
// Sizes are in mm, in what the gauge reads.
type Odd struct {
	Reading    int // its place among the readings
	Fret       int // of a bridge the middle one, of a rocker the third
	Lane       float64
	ValueMM    float64
	ExpectedMM float64
	LimitMM    float64 // how far from ExpectedMM it may lie unasked

	// Either are readings one of which may be wrong in its place: what was read
	// since does not tell yet.
	Either []int

	// Moved: it and all that follow in its pass are off alike, so the gauge was
	// moved before it.
	Moved bool
}

// Odd lists the questions that are open, in order of taking.
func (w *Watch) Odd() []Odd {
	var out []Odd
	for _, s := range w.all {
		for _, t := range s.all {
			switch {
			case t.aside || t.moved && !t.stands:
				out = append(out, w.oddOf(t, t.either))
			case t == s.asked && len(s.open) > 0:
				out = append(out, w.oddOf(t, s.open))
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Reading < out[j].Reading })
	return out
}

// Open lists the questions where one of several readings is wrong, no telling
// which yet: those of Odd with others in Either that no lane beside asks.
func (w *Watch) Open() []Odd {
	var out []Odd
	for _, s := range w.all {
		if len(s.open) > 0 {
			out = append(out, w.oddOf(s.asked, s.open))
		}
	}
	return out
}

func (w *Watch) oddOf(t *taken, either []*taken) Odd {
	f := w.lanes(t, 1)
	if !f.ok {
		f = w.own(t)
	}
	if t.moved && t.segment > 0 {
		f = w.beside(t, t.of.active(t.segment-1, nil))
	}
	o := Odd{Reading: t.index, Fret: t.fret(), Lane: t.r.Lane, ValueMM: t.r.Value, ExpectedMM: t.reads(f.expectedMM), LimitMM: f.limitMM, Moved: t.moved}
	for _, e := range either {
		if e != t {
			o.Either = append(o.Either, e.index)
		}
	}
	return o
}

// Of looks at readings in order of taking.
func Of(l *geometry.Layout, m neck.Model, readings []reading.Reading) *Watch {
	w := New(l, m.Wire.CrownHeight)
	for _, r := range readings {
		w.Take(r)
	}
	return w
}

// Gross lists readings, in order of taking, that no crown explains: what their
// own pass says speaks against them, and no other pass or lane speaks for them.
// They have no part in an estimate. Readings of which one is wrong, no telling
// which, are not among them, nor are those of a pass in which much is odd:
// there the pass is at fault, not its readings.
func Gross(l *geometry.Layout, m neck.Model, readings []reading.Reading) []Odd {
	gross, _ := Sort(l, m, readings)
	return gross
}

// Sort lists what is gross among readings in order of taking, and what is open:
// several readings of which one is wrong, no telling which.
//
// Cost: of the order of a pass's readings cubed where all lie within 0.08 mm of
// the lines of their passes, which is most necks; to the fourth where not.
func Sort(l *geometry.Layout, m neck.Model, readings []reading.Reading) (gross, open []Odd) {
	w := New(l, m.Wire.CrownHeight)
	if w.quiet(readings) {
		return nil, nil
	}
	for _, r := range readings {
		w.Take(r)
	}
	return w.Gross(), w.Open()
}

// quietMM is how far readings of long passes may lie off the pass's line, all of
// them, so that none can be gross: half of what is asked of, as a line without a
// reading at its end may lie up to twice as far off that reading.
const quietMM = ownMM / 2

// quiet reports whether there is nothing to find: only passes of a line, longer
// than those in which a question can be open, and every reading on its line.
func (w *Watch) quiet(readings []reading.Reading) bool {
	passes := map[key][]*taken{}
	for _, r := range readings {
		k, ok := keyOf(r)
		if !ok {
			continue
		}
		t := &taken{r: r}
		w.place(t)
		passes[k] = append(passes[k], t)
	}
	for k, all := range passes {
		if !hasLine(k.method) || len(all) <= few+2 {
			return false
		}
		tr := trendOf(k.method, all)
		for _, t := range all {
			if math.Abs(t.h-tr.at(t.x)) > quietMM {
				return false
			}
		}
	}
	return true
}

// maxGross is which share of a pass's readings may be gross, where they are
// more than two.
const maxGross = 0.2

// Gross is what the function of that name lists, of what was taken.
func (w *Watch) Gross() []Odd {
	var out []Odd
	for _, s := range w.all {
		var gross []Odd
		for _, t := range s.all {
			if t.aside && w.gross(t) {
				gross = append(gross, w.oddOf(t, nil))
			}
		}
		if n := len(gross); n <= 2 || float64(n) <= maxGross*float64(len(s.all)) {
			out = append(out, gross...)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Reading < out[j].Reading })
	return out
}

func (w *Watch) gross(t *taken) bool {
	own := w.own(t)
	if len(t.of.active(t.segment, t)) < 2 || !own.odd() {
		return false
	}
	return w.agreesWith(t) == nil && !w.leans(t, own.offMM)
}

// leansShare is how much of how far a reading is off the lane beside must be
// off, for a fret that leans.
const leansShare = 1.0 / 3

// leans reports whether the fret is off the same way in the lane beside, if not
// as much: an end that is up.
func (w *Watch) leans(t *taken, offMM float64) bool {
	for _, s := range w.all {
		if !comparable(t, s) {
			continue
		}
		for _, o := range s.all {
			away := math.Abs(o.r.Lane - t.r.Lane)
			if o == t || !sameFrets(o, t) || away == 0 || away > 1 {
				continue
			}
			others := s.active(o.segment, o)
			if len(others) < enough && o.segment > 0 { // it rises from there on, or the gauge was moved
				others = s.active(o.segment-1, nil)
			}
			if f := w.beside(o, others); len(others) >= enough && f.offMM/offMM > leansShare {
				return true
			}
		}
	}
	return false
}

// agreesWith is a reading of the same fret, in another pass of the lane or in
// one beside it, that agrees with t whatever was asked of it; nil for none.
func (w *Watch) agreesWith(t *taken) *taken {
	for _, s := range w.all {
		if !comparable(t, s) {
			continue
		}
		for _, o := range s.all {
			if o != t && sameFrets(o, t) && (o.of != t.of || o.r.Lane != t.r.Lane) && math.Abs(o.r.Lane-t.r.Lane) <= 1 {
				if f := against(t, o); f.ok && !f.odd() {
					return o
				}
			}
		}
	}
	return nil
}
