package filing

import "math"

// Hand is how a beam is pressed and moved, and what it takes off.
type Hand struct {
	ForceN     float64 // the beam's weight and the hands, N
	SweepMM    float64 // it goes so far either way
	PathMM     float64 // of one double stroke
	Kappa      float64 // mm³ of metal per N and mm of path
	NPerMM     float64 // stiffness of paper and glue at one crown
	RadiusMM   float64 // of a crown, along the string
	StripMM    float64 // width across the board that one lane's share of a fanned beam works
	FlatWidths float64 // steps in which flats are told, mm
	Deeper     float64 // flats end so many times deeper than their widths say; 0 for 1
	WornMM     float64 // paper that has gone so far takes off WornTo and 1/e of the rest; 0: it does not wear
	WornTo     float64 // part of Kappa
	MaxStrokes int     // of a run in one lane: then the hand gives up
	LookSeldom bool    // looks far from done are only counted: of the reckoning, as StepMM is
	StepMM     float64 // the most that any crown loses between two looks at how the beam lies: of the reckoning, not of the hand
}

// Usual is a hand and paper as they usually are, from memory; κ is 0.01 over the
// hardness 1770 MPa (E. Rabinowicz, Friction and Wear of Materials, from memory).
func Usual(radiusMM, stripMM float64) Hand {
	return Hand{ForceN: 8, SweepMM: 30, PathMM: 120, Kappa: 5.65e-6, NPerMM: 2000, RadiusMM: radiusMM, StripMM: stripMM, FlatWidths: 0.05, StepMM: 0.0006, MaxStrokes: 1200, LookSeldom: true}
}

// lane is one lane's crowns under the tool.
type lane struct {
	x      []float64
	start  []float64 // heights before any work
	z      []float64 // heights now
	volume []float64 // taken off each, mm³ a mm of strip
	force  []float64 // room: forces at one place of the stroke
	mean   []float64 // room: forces over the stroke
	room   []float64
	sagMM  float64 // how hollow the beam is over its length
	lay    [3]pose // how it last lay at the places of a stroke, pressed at these
	at     [3]float64
	laid   [3]bool
	gone   float64 // mm that the paper has gone
}

func newLane(x, z []float64) *lane {
	n := len(x)
	return &lane{x: x, start: z, z: append([]float64(nil), z...), volume: make([]float64, n), force: make([]float64, n), mean: make([]float64, n), room: make([]float64, n)}
}

// taken is what has come off crown i.
func (l *lane) taken(i int) float64 { return l.start[i] - l.z[i] }

// takeTo files crown i alone until so much in all has come off; nothing where more
// has.
func (l *lane) takeTo(i int, mm, radiusMM float64) {
	if mm <= l.taken(i) {
		return
	}
	l.volume[i], l.z[i] = segment(radiusMM, mm), l.start[i]-mm
}

// rub goes over the crowns with double strokes of a beam that lies from one place to
// another at mid-stroke and is pressed at a third, mm along the lane.
func (l *lane) rub(h *Hand, from, to, at, strokes float64) {
	for strokes > 1e-12 {
		l.press(h, from, to, at)
		part, per := strokes, h.cuts(l.gone)*h.PathMM/h.StripMM
		for i, f := range l.mean {
			if f > 0 {
				part = min(part, l.until(i, h)/(per*f))
			}
		}
		part = min(strokes, max(part, leastPart)) // it goes on, whatever the forces
		for i, f := range l.mean {
			if f > 0 {
				l.volume[i] += per * f * part
				l.z[i] = l.start[i] - sunk(h.RadiusMM, l.volume[i])
			}
		}
		strokes -= part
		l.gone += part * h.PathMM
	}
}

// leastPart is the least part of a double stroke that is reckoned at once.
const leastPart = 1e-4

// cuts is what paper takes off that has gone so far.
func (h *Hand) cuts(goneMM float64) float64 {
	if h.WornMM <= 0 {
		return h.Kappa
	}
	return h.Kappa * (h.WornTo + (1-h.WornTo)*math.Exp(-goneMM/h.WornMM))
}

// until is the volume that takes crown i deeper by a step.
func (l *lane) until(i int, h *Hand) float64 {
	return segment(h.RadiusMM, l.taken(i)+h.StepMM) - l.volume[i]
}

// press fills in the mean force on each crown over a stroke: Gauss's three points.
func (l *lane) press(h *Hand, from, to, at float64) {
	clear(l.mean)
	for k, weight := range [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18} {
		moved := float64(k-1) * math.Sqrt(0.6) * h.SweepMM
		first, last := l.under(from+moved, to+moved)
		if last-first < 2 {
			continue // it stands on one crown alone: nobody rubs on
		}
		x, f, z := l.x[first:last], l.force[first:last], l.z[first:last]
		if l.sagMM != 0 {
			z = l.met(z, x, from+moved, to+moved)
		}
		l.pose(k, h, x, z, min(max(at+moved, x[0]), x[len(x)-1]), f)
		for i, v := range f {
			l.mean[first+i] += weight * v
		}
	}
}

// pose presses the beam at one place of the stroke, beginning with how it lay there
// before the last few strokes.
func (l *lane) pose(k int, h *Hand, x, z []float64, at float64, f []float64) {
	p := &l.lay[k]
	if l.laid[k] {
		p.height += p.slope*(at-l.at[k]) - h.StepMM // it comes down, by no more than that
		*p = pressFrom(x, z, h.ForceN, at, h.NPerMM, f, *p)
		sum := 0.0
		for _, v := range f {
			sum += v
		}
		if !(math.Abs(sum-h.ForceN) <= 1e-6*h.ForceN) { // it lay too far off: from the rigid pose, then
			*p = press(x, z, h.ForceN, at, h.NPerMM, f)
		}
	} else {
		*p = press(x, z, h.ForceN, at, h.NPerMM, f)
	}
	l.laid[k], l.at[k] = true, at
}

// met are crowns less the beam's own face: a parabola, hollow in its middle by
// sagMM.
func (l *lane) met(z, x []float64, from, to float64) []float64 {
	out := l.room[:len(z)]
	for i, v := range z {
		t := (2*x[i] - from - to) / (to - from)
		out[i] = v - l.sagMM*(1-t*t)
	}
	return out
}

// under are the crowns between two places: from first up to last, that one left
// out.
func (l *lane) under(from, to float64) (first, last int) {
	for first < len(l.x) && l.x[first] < from {
		first++
	}
	for last = first; last < len(l.x) && l.x[last] <= to; last++ {
	}
	return first, last
}
