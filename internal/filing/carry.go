package filing

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Scatter is how far a hand strays, standard deviations. From memory.
type Scatter struct {
	EyeMM   float64 // of a flat's width, at every look
	AimMM   float64 // of where the hand presses beside the mark
	Strokes float64 // of what a stroke takes off, in parts of it
}

// UsualScatter is a steady hand and a bare eye.
func UsualScatter() Scatter { return Scatter{EyeMM: 0.05, AimMM: 10, Strokes: 0.15} }

const (
	lookEach   = 3   // double strokes between two looks at the tells
	maxStrokes = 900 // of a run in one lane: then the hand gives up
)

// Done is what a hand made of some moves.
type Done struct {
	TakenMM [][]float64 // crown by crown, in the order of the job's lanes
	Strokes []int       // double strokes of each run, all its lanes
	Looks   []int       // looks at its tells
}

// Carry carries moves out once, on crowns that truly stand errMM lower than the
// job has them (nil: just so): the errors of the readings. Draws come from r.
func (j *Job) Carry(m *Moves, h Hand, s Scatter, errMM [][]float64, r *rand.Rand) Done {
	done := Done{make([][]float64, len(j.Lanes)), make([]int, len(m.Runs)), make([]int, len(m.Runs))}
	h.Kappa *= math.Exp(s.Strokes * r.NormFloat64())
	spots := m.filed(h, s, r)
	for a, l := range j.Lanes {
		z := make([]float64, len(l.D))
		for i, d := range l.D {
			z[i] = d
			if j.StandMM != nil {
				z[i] += j.StandMM[a][i]
			}
			if errMM != nil {
				z[i] -= errMM[a][i]
			}
		}
		w := worker{lane: newLane(l.X, z), frets: l.Frets, hand: h, scatter: s, r: r}
		for _, f := range spots {
			if f.Lane == a {
				i, _ := slices.BinarySearch(l.Frets, f.Fret)
				w.lane.takeTo(i, f.DepthMM, h.RadiusMM)
			}
		}
		for k, run := range m.Runs {
			for i := range run.Lanes {
				if run.Lanes[i].Lane == a {
					strokes, looks := w.run(&run.Lanes[i], run.PressFret)
					done.Strokes[k], done.Looks[k] = done.Strokes[k]+strokes, done.Looks[k]+looks
				}
			}
		}
		done.TakenMM[a] = make([]float64, len(l.X))
		for i := range l.X {
			done.TakenMM[a][i] = w.lane.taken(i)
		}
	}
	return done
}

// worker is a hand at one lane.
type worker struct {
	lane    *lane
	frets   []int
	hand    Hand
	scatter Scatter
	r       *rand.Rand
}

// sees is the width that the eye gives a crown's flat.
func (w *worker) sees(i int) float64 {
	wide := w.hand.flatFor(w.lane.taken(i)) + w.scatter.EyeMM*w.r.NormFloat64()
	return max(0, roundTo(wide, w.hand.FlatWidths))
}

// filed are the flats that frets filed alone end with: the eye judges both ends of
// the flat, the file runs straight from one to the other.
func (m *Moves) filed(h Hand, s Scatter, r *rand.Rand) (out []Flat) {
	for _, spot := range m.Spots {
		first, last := s.EyeMM*r.NormFloat64(), s.EyeMM*r.NormFloat64()
		for k, f := range spot.Flats {
			f.WidthMM = max(0, f.WidthMM+first+(last-first)*float64(k)/float64(max(1, len(spot.Flats)-1)))
			f.DepthMM = h.depthOf(f.WidthMM)
			out = append(out, f)
		}
	}
	return out
}

// run rubs until the tells show their flats, or all are touched and on average
// down; it moves the hand towards the one that lags.
func (w *worker) run(l *LaneRun, press int) (strokes, looks int) {
	place := func(fret int) int { i, _ := slices.BinarySearch(w.frets, fret); return i }
	at, aim := w.lane.x[min(place(press), len(w.frets)-1)], w.scatter.AimMM*w.r.NormFloat64()
	for ; strokes < maxStrokes; strokes += lookEach {
		left, lacks, toward, shown, touched := 0.0, 0.0, 0.0, true, true
		for _, t := range l.Tells {
			i := place(t.Fret)
			seen := w.sees(i)
			more := t.DepthMM - w.hand.depthOf(seen)
			shown, touched = shown && seen >= t.WidthMM, touched && seen > 0
			left += more
			lacks, toward = lacks+max(0, more), toward+max(0, more)*w.lane.x[i]
		}
		looks++
		if shown || touched && left <= 0 {
			return strokes, looks
		}
		if strokes > 0 && lacks > 0 {
			at = toward / lacks
		}
		w.lane.rub(&w.hand, l.FromMM, l.ToMM, at+aim, lookEach)
	}
	return strokes, looks
}
