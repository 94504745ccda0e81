package answer

import (
	"context"
	"fmt"
	"math"

	"ringtrue/internal/book"
	"ringtrue/internal/readplan"
)

// ShopOf learns from the book how a shop's frets lie: from every neck's records of a
// stage ("": book.SeatedStage) that no other corrects. Too few frets are no error: the
// usual shop is taken, whose Necks is 0. book.ErrNotFound: no record of that stage.
func ShopOf(ctx context.Context, s book.Scanner, stage string) (readplan.Shop, error) {
	if stage == "" {
		stage = book.SeatedStage
	}
	f := book.Filter{Stage: stage, InForce: true}
	var frets []readplan.FretOff
	var across []float64
	necks := 0
	err := s.Scan(ctx, f, book.WantName|book.WantCrowns, func(r *book.Row) error {
		crowns, err := r.Crowns.Unpack()
		if err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		found, t := wholeFrets(crowns)
		if len(found) > 0 {
			necks++
			frets = append(frets, found...)
			if len(t) > len(across) {
				across = t
			}
		}
		return nil
	})
	if err != nil {
		return readplan.Shop{}, err
	}
	if necks == 0 {
		return readplan.Shop{}, book.NoneLike(ctx, s, f)
	}
	shop, enough := readplan.Learn(frets, across, necks)
	if !enough {
		return readplan.UsualShop(), nil
	}
	return shop, nil
}

// wholeFrets are the frets of one neck that were read in every one of its lanes, and
// where the lanes lie across it, from 1 to −1.
func wholeFrets(crowns []book.Crown) (out []readplan.FretOff, t []float64) {
	first, last := math.Inf(1), math.Inf(-1)
	byFret := map[int][]book.Crown{}
	lastFret, most := 0, 0
	for _, c := range crowns {
		first, last = math.Min(first, c.Lane), math.Max(last, c.Lane)
		byFret[c.Fret] = append(byFret[c.Fret], c)
		lastFret, most = max(lastFret, c.Fret), max(most, len(byFret[c.Fret]))
	}
	if most < 3 || last <= first {
		return nil, nil
	}
	for f := 0; f <= lastFret; f++ {
		of := byFret[f]
		if len(of) < most {
			continue
		}
		var o readplan.FretOff
		var tt, tz float64
		var at []float64
		for _, c := range of {
			x := (first + last - 2*c.Lane) / (last - first)
			at = append(at, x)
			o.MeanMM += c.OffMM / float64(most)
			o.UMM = math.Max(o.UMM, c.UMM)
			tt, tz = tt+x*x, tz+x*c.OffMM
		}
		o.TiltMM = tz / tt
		out, t = append(out, o), at
	}
	return out, t
}
