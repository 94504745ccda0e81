package book

import (
	"fmt"
	"strconv"
	"time"

	"ringtrue/internal/num"
)

// HeardSince is the play-through that a later one is compared with: the first, or the
// one of a number, or the last up to a day, such as 2026-03-02. Nil: there is none yet.
// ErrNotFound: none like that; ErrEntry: neither a number nor a day.
func HeardSince(all []Heard, since string) (*Heard, error) {
	if since == "" {
		if len(all) == 0 {
			return nil, nil
		}
		return &all[0], nil
	}
	number, err := strconv.ParseInt(since, 10, 64)
	day, noDay := time.Parse(time.DateOnly, since)
	if err != nil && noDay != nil {
		return nil, fmt.Errorf("%q: %w: use a play-through's number, or a day such as 2026-03-02", since, ErrEntry)
	}
	var pick *Heard
	for i := range all {
		h := &all[i]
		switch {
		case err == nil && h.Number == number:
			return h, nil
		case err != nil && h.When().Before(day.AddDate(0, 0, 1)) && (pick == nil || !h.When().Before(pick.When())):
			pick = h
		}
	}
	if pick == nil {
		return nil, fmt.Errorf("a play-through %s of this neck is %w", since, ErrNotFound)
	}
	return pick, nil
}

// HeardFigures are a play-through in short.
type HeardFigures struct {
	Expected int     `json:"expected"`
	Heard    int     `json:"notes"`          // of these
	Rings    int     `json:"rings"`          // of them tell how long they ring
	Cents    num.Opt `json:"left_rms_cents"` // what the best saddle of each string leaves
}

// Figures sums a play-through up; a note played twice counts once.
func (p *Played) Figures() HeardFigures {
	f := HeardFigures{Expected: p.Wanted, Cents: centsLeft(p)}
	rings := map[place]bool{}
	for _, n := range p.Notes {
		at := place{"", n.String, n.Fret}
		if _, twice := rings[at]; !twice {
			f.Heard++
		}
		if n.RingS.Known() && !rings[at] {
			f.Rings++
		}
		rings[at] = rings[at] || n.RingS.Known()
	}
	return f
}
