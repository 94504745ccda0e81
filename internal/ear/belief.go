package ear

import (
	"math"
	"math/rand/v2"

	"ringtrue/internal/play"
)

// heightsMM are how high a fret is tried to stand.
func heightsMM() []float64 { return []float64{0.03, 0.05, 0.07, 0.09, 0.12, 0.15, 0.19} }

// highMM is how high a fret must stand to be named, and sure the chance of it that is
// wanted.
const (
	highMM = 0.07
	sure   = 0.8
)

// What else may be otherwise than told.
const (
	priorNone = 0.5  // chance that no fret is high
	touchOver = 2    // the hand: this many times lighter to this many times harder
	actionSD  = 0.1  // mm
	nutSD     = 0.05 // mm, of all strings together, and of each
	waveMM    = 0.03 // the crowns wave by 0 to this, root mean square
	longestMM = 500.0
	shortMM   = 60.0
	waves     = 4
)

// world is one draw of what may be otherwise than told.
type world struct {
	touch, actionMM float64
	nutMM           []float64   // by string
	off             [][]float64 // by string, then crown of its lane
}

// worldOf draws the i-th of n worlds. Touches are spread evenly over their range.
func worldOf(cases []play.Case, seed uint64, i, n int) world {
	r := rand.New(rand.NewPCG(seed, uint64(i)))
	w := world{touch: math.Pow(touchOver, 2*(float64(i)+r.Float64())/float64(n)-1), actionMM: actionSD * r.NormFloat64()}
	nut := nutSD * r.NormFloat64()
	size := waveMM * r.Float64() * math.Sqrt(2.0/waves)
	var freq, phase, across [waves]float64
	for k := range waves {
		freq[k] = 2 * math.Pi / (shortMM * math.Pow(longestMM/shortMM, r.Float64()))
		phase[k], across[k] = 2*math.Pi*r.Float64(), 0.5*r.NormFloat64()
	}
	for c := range cases {
		l := cases[c].Lane
		w.nutMM = append(w.nutMM, nut+nutSD*r.NormFloat64())
		side := 0.0
		if last := len(cases) - 1; last > 0 {
			side = 1 - 2*float64(c)/float64(last)
		}
		off := make([]float64, len(l.Crowns))
		for i, crown := range l.Crowns {
			for k := range waves {
				off[i] += size * (1 + across[k]*side) * math.Sin(freq[k]*crown.XMM+phase[k])
			}
		}
		w.off = append(w.off, off)
	}
	return w
}

// gaps are a note's in a world, written into room.
func (n *note) gaps(w *world, c int, room []float64) []float64 {
	g := append(room[:0], n.gap...)
	for j, by := range n.byCrown {
		z := w.off[c][j]
		switch k := j - n.beyond; {
		case by != nil:
			for k := range g {
				g[k] += z * by[k]
			}
		case k >= 0:
			g[k] -= z
		}
	}
	for k := range g {
		g[k] += w.actionMM * n.byAction[k]
	}
	for k, by := range n.byNut {
		g[k] += w.nutMM[c] * by
	}
	return g
}
