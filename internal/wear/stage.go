package wear

import (
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// Suspects are the crowns of a stage with a reading lower, or higher, than the
// neck's others bear out: it may be a slip or a groove.
type Suspects struct{ Low, High map[Place]bool }

// Suspect sorts a whole neck's misreads, and gives the readings by which its lanes
// are to be compared: since wear stands in single lanes, a misread of several
// frets, such as a bridge's, says nothing of a crown alone, would bend the whole
// lane, and is left out.
func Suspect(readings []reading.Reading, misreads []heights.Misread) (s Suspects, kept []reading.Reading) {
	s = Suspects{map[Place]bool{}, map[Place]bool{}}
	out := map[int]bool{}
	for _, m := range misreads {
		method := readings[m.Reading].Method
		if method.Spec().Frets > 1 {
			out[m.Reading] = true
			continue
		}
		off := (m.ValueMM - m.ExpectedMM) * heights.Weights(method, 0)[0] // of a gap more is lower
		if at := (Place{m.Fret, m.Lane}); off < 0 {
			s.Low[at] = true
		} else {
			s.High[at] = true
		}
	}
	for i, r := range readings {
		if !out[i] {
			kept = append(kept, r)
		}
	}
	return s, kept
}

// LanesOf are a stage's lanes as Compare takes them.
func LanesOf(lanes []heights.Lane) []Lane {
	out := make([]Lane, len(lanes))
	for i, l := range lanes {
		out[i] = Lane{Lane: l.Lane, Frets: l.Frets, XMM: l.X, ZMM: l.Z, Cov: l.Cov}
	}
	return out
}

// minBowFrets is how many frets a bow goes over at the least.
const minBowFrets = 6

// BowEnds are where a bow of the neck may end, along its middle: at the last
// fret, or at a fret where the neck meets the body.
func BowEnds(l *geometry.Layout, joints ...int) []float64 {
	middle := (1 + float64(l.Strings())) / 2
	ends := []float64{l.LaneX(l.LastFret(), middle)}
	for _, f := range joints {
		if f > l.FirstFret()+minBowFrets && f < l.LastFret() {
			ends = append(ends, l.LaneX(f, middle))
		}
	}
	return ends
}
