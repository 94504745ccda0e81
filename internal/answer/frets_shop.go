package answer

import (
	"context"
	"fmt"

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
	err := s.Scan(ctx, f, book.NameColumns|book.CrownColumns, func(r *book.Row) error {
		crowns, err := r.Crowns.Unpack()
		if err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		found, t := book.WholeFrets(crowns)
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
