package main

import (
	"math"
	"math/rand/v2"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// fault is something wrong with the frets: how far it lifts a crown, in mm, at
// a place t across the neck, 0 at the treble side, 1 at the bass side.
type fault func(fret int, lane, t float64) float64

// high is a whole fret that stands proud.
func high(fret int, mm float64) fault {
	return func(f int, _, _ float64) float64 { return when(f == fret, mm) }
}

// trebleUp is a fret whose treble end is not seated.
func trebleUp(fret int, mm float64) fault {
	return func(f int, _, t float64) float64 { return when(f == fret, mm*(1-t)) }
}

// bassUp is a fret whose bass end is not seated.
func bassUp(fret int, mm float64) fault {
	return func(f int, _, t float64) float64 { return when(f == fret, mm*t) }
}

// middleProud is a fret whose wire was bent too round for the board.
func middleProud(fret int, mm float64) fault {
	return func(f int, _, t float64) float64 { return when(f == fret, mm*4*t*(1-t)) }
}

// pit is a dent in one crown under one lane.
func pit(fret int, lane, mm float64) fault {
	return func(f int, l, _ float64) float64 { return when(f == fret && l == lane, -mm) }
}

// rise is the board lifting from a fret on: the tongue over the body.
func rise(from, to int, mm float64) fault {
	return func(f int, _, _ float64) float64 {
		if f <= from {
			return 0
		}
		return mm * math.Min(1, float64(f-from)/float64(to-from))
	}
}

func when(yes bool, mm float64) float64 {
	if yes {
		return mm
	}
	return 0
}

// bench is an invented neck and the chance that its maker's hand has.
type bench struct {
	model  neck.Model
	layout *geometry.Layout
	rng    *rand.Rand
	seat   map[int][2]float64 // how each fret went in: height, and tilt to the bass side
	faults []fault
}

// Spread of how frets go in with care, in mm: whole fret, and one end.
const (
	seatHeight = 0.004
	seatTilt   = 0.003
)

func newBench(path string, data []byte, seed uint64, faults []fault) (*bench, error) {
	m, err := neck.Parse(path, data)
	if err != nil {
		return nil, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return nil, err
	}
	b := &bench{model: m, layout: l, rng: rand.New(rand.NewPCG(seed, 0)), seat: map[int][2]float64{}, faults: faults}
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		b.seat[f] = [2]float64{b.normal(seatHeight), b.normal(seatTilt)}
	}
	return b, nil
}

// normal is a random number of standard deviation sd, cut off at three.
func (b *bench) normal(sd float64) float64 {
	for {
		if v := b.rng.NormFloat64(); math.Abs(v) <= 3 {
			return v * sd
		}
	}
}

func (b *bench) frets() []int {
	var out []int
	for f := b.layout.FirstFret(); f <= b.layout.LastFret(); f++ {
		out = append(out, f)
	}
	return out
}

func (b *bench) lanes() []float64 {
	var out []float64
	for i := range b.layout.Strings() {
		out = append(out, float64(i+1))
	}
	return out
}

// crown is how high a crown really stands, against the board's centre line at
// the nut: the intended board and shape, how the fret went in, and the faults.
func (b *bench) crown(fret int, lane float64) float64 {
	t := b.layout.Fraction(lane)
	z := b.layout.Surface(b.layout.At(fret, lane)) + b.layout.Shape(lane, []int{fret})[0]
	z += b.seat[fret][0] + b.seat[fret][1]*(2*t-1)
	for _, f := range b.faults {
		z += f(fret, lane, t)
	}
	return z
}

// laneAt is the lane that lies at a distance y from the centre line at a fret.
func (b *bench) laneAt(fret int, y float64) float64 {
	lo, hi := 1.0, float64(b.layout.Strings())
	for range 60 {
		mid := (lo + hi) / 2
		if b.layout.At(fret, mid).Y > y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
