package hand

import (
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// Height is where one crown was read, off the neck's shape and up to a line, mm.
type Height struct {
	Fret             int
	Lane, OffMM, UMM float64
}

// usualStripMM is what a fanned tool works at one crown where there is one string
// only, mm.
const usualStripMM = 8

// BenchOf is a neck as the readings find it.
func BenchOf(m neck.Model, l *geometry.Layout) Bench {
	b := Bench{Lanes: l.Strings(), RadiusMM: m.Wire.Crown(), StripMM: usualStripMM}
	middle := (l.FirstFret() + l.LastFret()) / 2
	if n := b.Lanes; n > 1 {
		b.StripMM = math.Abs(l.At(middle, 1).Y-l.At(middle, float64(n)).Y) / float64(n-1)
	}
	b.BoardMM = l.Radius(l.CentreX(middle))
	return b
}

// Between puts the heights of two sets of readings together, those of crowns that both
// have; each may have a shape of its own.
func Between(from, to *geometry.Layout, before, after []Height) []Crown {
	type place struct {
		fret int
		lane float64
	}
	was := map[place]Height{}
	for _, h := range before {
		was[place{h.Fret, h.Lane}] = h
	}
	var out []Crown
	for _, h := range after {
		b, there := was[place{h.Fret, h.Lane}]
		if u := math.Hypot(b.UMM, h.UMM); there && u > 0 {
			one := []int{h.Fret}
			out = append(out, Crown{
				Fret: h.Fret, Lane: h.Lane, XMM: to.LaneX(h.Fret, h.Lane), UMM: u, BowMM: to.Bow(h.Fret, to.LastFret(), h.Lane),
				BeforeMM: b.OffMM + from.Shape(h.Lane, one)[0], AfterMM: h.OffMM + to.Shape(h.Lane, one)[0],
			})
		}
	}
	return out
}
