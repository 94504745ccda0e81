package filing

import (
	"math"
	"math/rand/v2"
)

// Scatter is how far a hand strays, standard deviations. From memory.
type Scatter struct {
	EyeMM   float64 // of a flat's width, at every look
	AimMM   float64 // of where the hand presses beside the mark
	Strokes float64 // of what a stroke takes off, in parts of it
	Worst   bool    // the hand goes all the way to the flat that lacks most, not between the two
	SagMM   float64 // a beam's face is hollow or bowed by no more over its length; not a deviation
}

// UsualScatter is a steady hand and a bare eye.
func UsualScatter() Scatter { return Scatter{EyeMM: 0.05, AimMM: 10, Strokes: 0.15} }

// lookEach is the double strokes between two looks at the tells.
const lookEach = 3

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
	seed := r.Uint64()
	for a := range j.Lanes {
		w := j.worker(a, h, s, errMM, rand.New(rand.NewPCG(seed, uint64(a))))
		done.TakenMM[a] = w.carry(m, a, spots, done.Strokes, done.Looks)
	}
	return done
}

// worker is a hand at lane a.
func (j *Job) worker(a int, h Hand, s Scatter, errMM [][]float64, r *rand.Rand) worker {
	l := &j.Lanes[a]
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
	return worker{lane: newLane(l.X, z), frets: l.Frets, hand: h, scatter: s, r: r}
}

// carry carries out what of some moves is in lane a: what came off.
func (w *worker) carry(m *Moves, a int, spots []Flat, strokes, looks []int) []float64 {
	for _, f := range spots {
		if f.Lane == a {
			w.lane.takeTo(at(w.frets, f.Fret), f.DepthMM, w.hand.RadiusMM)
		}
	}
	hand := w.hand
	for k := range m.Runs {
		run := &m.Runs[k]
		for i := range run.Lanes {
			if run.Lanes[i].Lane != a {
				continue
			}
			if run.LengthMM > 0 {
				w.hand = hand.with(run.LengthMM)
				w.lane.sagMM = w.scatter.SagMM * (2*w.r.Float64() - 1)
			}
			s, l := w.run(&run.Lanes[i], run.PressFret)
			if strokes != nil {
				strokes[k], looks[k] = strokes[k]+s, looks[k]+l
			}
		}
	}
	taken := make([]float64, len(w.lane.x))
	for i := range taken {
		taken[i] = w.lane.taken(i)
	}
	return taken
}

// with is the hand with a beam of a length: a short one is moved less far.
func (h Hand) with(lengthMM float64) Hand {
	if sweep := lengthMM / 5; sweep < h.SweepMM {
		h.PathMM, h.SweepMM = h.PathMM*sweep/h.SweepMM, sweep
	}
	return h
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
	w.lane.laid = [3]bool{}
	at, aim := w.lane.x[at(w.frets, press)], w.scatter.AimMM*w.r.NormFloat64()
	for strokes < w.hand.MaxStrokes {
		s := w.look(l)
		looks++
		if s.done() {
			return strokes, looks
		}
		if strokes > 0 && s.lacks > 0 {
			at = s.toward / s.lacks
			if w.scatter.Worst {
				at = s.worstAt
			}
		}
		// Far from done, looks hardly steer: some are only counted.
		n := 1
		if w.hand.LookSeldom {
			n += min(3, int(max(0, s.left)/float64(len(l.Tells))/seldomMM))
		}
		w.lane.rub(&w.hand, l.FromMM, l.ToMM, at+aim, float64(n*lookEach))
		strokes, looks = strokes+n*lookEach, looks+n-1
	}
	return strokes, looks
}

// seldomMM is the depth lacking on average that lets the reckoning leave a look out.
const seldomMM = 0.010

// sight is what the eye tells of a lane's flats.
type sight struct {
	shown, touched bool    // all flats are there; all crowns are touched
	left           float64 // depth that lacks, what is too deep taken off
	lacks, toward  float64 // depth that lacks, and the same times its place
	worst, worstAt float64 // the most that one lacks, and where
}

func (s *sight) done() bool { return s.shown || s.touched && s.left <= 0 }

func (w *worker) look(l *LaneRun) sight {
	s := sight{shown: true, touched: true}
	for _, t := range l.Tells {
		i := at(w.frets, t.Fret)
		seen := w.sees(i)
		more := t.DepthMM - w.hand.depthOf(seen)
		s.shown, s.touched = s.shown && seen >= t.WidthMM, s.touched && seen > 0
		s.left += more
		s.lacks, s.toward = s.lacks+max(0, more), s.toward+max(0, more)*w.lane.x[i]
		if more > s.worst {
			s.worst, s.worstAt = more, w.lane.x[i]
		}
	}
	return s
}
