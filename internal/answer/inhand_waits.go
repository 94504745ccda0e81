package answer

import (
	"context"
	"errors"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/glue"
	"ringtrue/internal/inhand"
	"ringtrue/internal/neck"
	"ringtrue/internal/wood"
)

// maxSetting is how long ago glue may have been used for its wait still to be asked
// for: no glue takes longer.
const maxSetting = 30 * 24 * time.Hour

// waits works out how long glue and wood need on a neck.
type waits struct {
	ctx   context.Context
	store book.Store
	r     InHandRequest
	err   error
}

// until is when the glue of a note has set or the wood is dry; zero where that is not
// known.
func (g *waits) until(n *inHandNeck, w inhand.Word) time.Time {
	if !w.Until.IsZero() {
		return w.Until
	}
	if w.Kind != inhand.Drying && g.r.Now.Sub(w.At) > maxSetting {
		return w.At
	}
	p, err := g.neckOf(n)
	if err != nil {
		g.err = errors.Join(g.err, err)
		return time.Time{}
	}
	if w.Kind == inhand.Drying {
		return dryAt(p, w.At, g.r.Shop)
	}
	return setAt(p.Model, w, g.r.Shop)
}

// neckOf is a neck's file; where there is none, or it cannot be read, a usual one.
func (g *waits) neckOf(n *inHandNeck) (book.Parsed, error) {
	if n.work != nil {
		return n.work.Parsed, nil
	}
	number := int64(0)
	for _, r := range n.Records {
		number = max(number, r.Number)
	}
	if number > 0 {
		f, err := g.store.Files(g.ctx, number)
		if err != nil && !errors.Is(err, book.ErrDamaged) {
			return book.Parsed{}, err
		}
		if p, err := f.Parse(); err == nil {
			return p, nil
		}
	}
	text, err := neck.Template(neck.Templates()[0])
	if err != nil {
		return book.Parsed{}, err
	}
	m, err := neck.Parse("", []byte(text))
	return book.Parsed{Model: m}, err
}

// setAt is when the glue of a note has set in a neck's slots.
func setAt(m neck.Model, w inhand.Word, shop neck.Shop) time.Time {
	kind, activator := w.Glue, w.Activator
	if kind == "" {
		kind = glue.Kind(shop.Glue.Kind)
		activator = kind.Cyanoacrylate() && (activator || shop.Glue.Activator)
	}
	a, err := Wait(context.Background(), WaitRequest{Model: m, Kind: kind, Activator: activator, TempC: shop.Air.TempC, HumidityPct: shop.Air.HumidityPct})
	if err != nil { // a wood that is not known: the longest of the usual waits
		return w.At.Add(24 * time.Hour)
	}
	return w.At.Add(time.Duration(a.WaitH * float64(time.Hour)))
}

// dryAt is when a board that began to dry at a time is dry enough for the shop's air;
// zero where it is, or where that is not known.
func dryAt(p book.Parsed, from time.Time, shop neck.Shop) time.Time {
	told := func(keys []string, key string) bool { return !slices.Contains(keys, key) }
	if p.Layout == nil || !told(shop.Assumed, "air.humidity") || !told(p.Model.Assumed, "board.moisture") {
		return time.Time{} // a guess at the air keeps no neck waiting
	}
	c, err := woodCase(WoodRequest{Model: p.Model, Layout: p.Layout, Limits: wood.Usual(),
		Air: wood.Air{TempC: shop.Air.TempC, HumidityPct: shop.Air.HumidityPct, DriestPct: shop.Air.HumidityPct, DampestPct: shop.Air.HumidityPct}})
	if err != nil {
		return time.Time{}
	}
	o, err := wood.Look(c)
	if err != nil || o.Ready {
		return time.Time{}
	}
	return from.Add(time.Duration(o.Days.Likely * 24 * float64(time.Hour)))
}
