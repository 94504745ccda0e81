package book

import (
	"math"

	"ringtrue/internal/readplan"
)

// WholeFrets are the frets of one neck that were read in every one of its lanes, and
// where the lanes lie across it, from 1 to −1. None where no three lanes were read.
func WholeFrets(crowns []Crown) (out []readplan.FretOff, t []float64) {
	first, last := math.Inf(1), math.Inf(-1)
	byFret := map[int][]Crown{}
	lastFret, lanes := 0, 0
	for _, c := range crowns {
		first, last = math.Min(first, c.Lane), math.Max(last, c.Lane)
		byFret[c.Fret] = append(byFret[c.Fret], c)
		lastFret, lanes = max(lastFret, c.Fret), max(lanes, len(byFret[c.Fret]))
	}
	if lanes < 3 || last <= first {
		return nil, nil
	}
	for f := 0; f <= lastFret; f++ {
		if len(byFret[f]) < lanes {
			continue
		}
		var o readplan.FretOff
		var tt, tz float64
		var at []float64
		for _, c := range byFret[f] {
			x := (first + last - 2*c.Lane) / (last - first)
			at = append(at, x)
			o.MeanMM += c.OffMM / float64(lanes)
			o.UMM = math.Max(o.UMM, c.UMM)
			tt, tz = tt+x*x, tz+x*c.OffMM
		}
		o.TiltMM = tz / tt
		out, t = append(out, o), at
	}
	return out, t
}
