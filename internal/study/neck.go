package study

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"

	"ringtrue/internal/play"
	"ringtrue/internal/straight"
)

// Line is one string over perfect crowns.
type Line struct {
	Pitch     string    // that it is tuned to
	Lane      play.Lane // its crowns stand at the shape that is wanted
	Setup     play.Setup
	Clearance play.Clearance // the gaps that the string asks for; no crown's height bears on them
	Across    float64        // where it runs across the board, −1 the bass side to 1 the treble side
}

// Errors are the sizes, against each other, of what puts a crown off its place.
// Each is drawn from a normal distribution of its own, fret by fret.
type Errors struct {
	Fret  float64 // the whole fret high or low
	Tilt  float64 // one end high, the other low by as much
	Arch  float64 // its middle against its ends
	Crown float64 // one crown by itself
}

// Usual are the errors of a study: most of it whole frets, half as much tilt, a
// quarter each of arch and of single crowns. A choice of ours, not a
// measurement; neighbouring frets stray each by itself. A slow wave along the
// neck of the same zone costs less action on average, and at worst about as much
// (TestStudy_AgainstSlowWaves, on the example neck).
func Usual() Errors { return Errors{Fret: 1, Tilt: 0.5, Arch: 0.25, Crown: 0.25} }

// drawn draws the k-th neck of a seed and returns how far the crowns of each
// line stand off their lane's reference line, in units of the zone: the lane
// that is least level has a zone of exactly 1, the others of at most 1. All
// lines must have the same frets.
//
// The reference line is the one that makes the sum of absolute distances least,
// from which heights at the nut are taken.
func drawn(lines []Line, e Errors, seed, k uint64) ([][]float64, error) {
	rng := rand.New(rand.NewPCG(seed, k))
	off := make([][]float64, len(lines))
	frets := len(lines[0].Lane.Crowns)
	for i := range off {
		off[i] = make([]float64, frets)
	}
	for f := range frets {
		fret, tilt, arch := e.Fret*rng.NormFloat64(), e.Tilt*rng.NormFloat64(), e.Arch*rng.NormFloat64()
		for i, l := range lines {
			t := l.Across
			off[i][f] = fret + tilt*t + arch*(1.5*t*t-0.5) + e.Crown*rng.NormFloat64()
		}
	}
	widest := 0.0
	for i, l := range lines {
		x := places(l.Lane)
		zone, err := straight.Zone(x, off[i])
		if err != nil {
			return nil, fmt.Errorf("lane %d: %w", l.Lane.String, err)
		}
		widest = max(widest, zone.WidthMM)
		a, b, err := straight.ReferenceLine(x, off[i])
		if err != nil {
			return nil, fmt.Errorf("lane %d: %w", l.Lane.String, err)
		}
		for f := range off[i] {
			off[i][f] -= a + b*x[f]
		}
	}
	for i := range off {
		for f := range off[i] {
			off[i][f] /= widest
		}
	}
	return off, nil
}

// places are the crowns' places along a lane.
func places(l play.Lane) []float64 {
	x := make([]float64, len(l.Crowns))
	for f, c := range l.Crowns {
		x[f] = c.XMM
	}
	return x
}

// raised is a lane with its crowns off by zone times what was drawn.
func raised(l play.Lane, off []float64, zoneMM float64) play.Lane {
	l.Crowns = slices.Clone(l.Crowns)
	for f := range l.Crowns {
		l.Crowns[f].OffMM = zoneMM * off[f]
		l.Crowns[f].ZMM += l.Crowns[f].OffMM
	}
	return l
}

// LinesOf are the strings of a prepared neck over perfect crowns, each with the
// gaps that it asks for. Errors as play.Judge.
func LinesOf(ctx context.Context, n *play.Neck) ([]Line, error) {
	judged, err := play.Judge(ctx, n.Cases)
	if err != nil {
		return nil, err
	}
	lines := make([]Line, len(n.Cases))
	for i, c := range n.Cases {
		lines[i] = Line{Pitch: n.From(i + 1).Pitch, Lane: c.Lane, Setup: c.Setup, Clearance: judged[i].Own}
		if last := len(lines) - 1; last > 0 {
			lines[i].Across = 1 - 2*float64(i)/float64(last)
		}
	}
	return lines, nil
}
