package book

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/num"
)

// What a figure of what was heard rests on.
const (
	leastBesides = 3 // necks that have rung a note, for the shop's median
	leastRung    = 5 // notes of a neck beside it
)

// place is a note of a model: rings of different strings are not compared.
type place struct {
	neck         string
	string, fret int
}

// heardValue is a play-through as a figure needs it.
type heardValue struct {
	neckValue
	rings map[place]float64
}

// ofHeard is a figure of what was heard of a neck.
func ofHeard(name, unit string, value func(*Played) num.Opt) Figure {
	return Figure{Name: name, Unit: unit, NeverNegative: true, heard: true, played: value}
}

// centsLeft is what the best saddle of each string would leave of the cents heard: their
// root mean square over the neck.
func centsLeft(p *Played) num.Opt {
	sum, frets := 0.0, 0
	for _, s := range p.Strings {
		if left, ok := s.LeftCents.Get(); ok && s.Frets > 0 {
			sum, frets = sum+float64(s.Frets)*left*left, frets+s.Frets
		}
	}
	if frets == 0 {
		return num.Opt{}
	}
	return num.Some(math.Sqrt(sum / float64(frets)))
}

// heardValues reads a figure of what was heard of each neck: the latest play-through
// counts. Tags, stage and model are those of the neck's records.
func (q Query) heardValues(ctx context.Context, s Scanner) ([]neckValue, Filter, []Note, error) {
	h, ok := s.(Hearings)
	if !ok {
		return nil, q.Filter, nil, fmt.Errorf("%w: this book has nothing that was heard", ErrFigure)
	}
	words, picked, err := q.words(ctx, s)
	if err != nil {
		return nil, q.Filter, nil, err
	}
	latest, earlier := map[string]*heardValue{}, 0
	err = h.EachHeard(ctx, "", func(one *Heard) error {
		if _, in := words[one.Serial]; picked && !in || !q.Filter.within(one) {
			return nil
		}
		v, err := q.Figure.ofPlayed(one)
		if err != nil {
			return fmt.Errorf("heard %d: %w", one.Number, err)
		}
		v.word = words[one.Serial]
		had := latest[one.Serial]
		if had != nil {
			earlier++
		}
		if had == nil || had.at <= v.at {
			latest[one.Serial] = v
		}
		return nil
	})
	if err == nil && len(latest) == 0 {
		err = fmt.Errorf("anything heard of such necks is %w; keep it with ringtrue listen --serial SERIAL RECORDING.wav --keep", ErrNotFound)
	}
	if err != nil {
		return nil, q.Filter, nil, err
	}
	var notes []Note
	if earlier > 0 {
		notes = append(notes, Note{Why: HeardEarlier, N: earlier})
	}
	f := q.Filter
	return inTime(latest, q.Figure.played == nil), f, notes, nil
}

// words are the tag that the answer is split by, of each neck that has a record as the
// filter picks; picked says that necks without one are left out.
func (q Query) words(ctx context.Context, s Scanner) (words map[string]string, picked bool, err error) {
	f := Filter{Tags: q.Filter.Tags, Stage: q.Filter.Stage, Model: q.Filter.Model, InForce: true}
	if picked = len(f.Tags) > 0 || f.Stage != "" || f.Model != ""; !picked && q.By == "" {
		return nil, false, nil
	}
	words, by := map[string]string{}, KeyOf(q.By)
	last := map[string]int64{}
	err = s.Scan(ctx, f, NameColumns|TagTextColumn, func(r *Row) error {
		if at, seen := last[r.Serial]; !seen || at <= r.At.UnixMicro() {
			last[r.Serial] = r.At.UnixMicro()
			if words[r.Serial] = ""; q.By != "" {
				words[r.Serial], _ = by.In(r.TagText)
			}
		}
		return nil
	})
	return words, picked, err
}

func (f Filter) within(h *Heard) bool {
	at := h.When()
	return (f.Since.IsZero() || !at.Before(f.Since)) && (f.Until.IsZero() || at.Before(f.Until))
}

// ofPlayed is what a figure keeps of a play-through.
func (f Figure) ofPlayed(h *Heard) (*heardValue, error) {
	if err := h.Intact(); err != nil {
		return nil, err
	}
	p, err := h.Read()
	if err != nil {
		return nil, err
	}
	v := &heardValue{neckValue: neckValue{at: h.When().UnixMicro(), number: h.Number, serial: h.Serial}}
	if f.played != nil {
		v.value, v.told = f.played(&p).Get()
		return v, nil
	}
	v.rings = map[place]float64{}
	for _, n := range p.Notes {
		if ring, ok := n.RingS.Get(); ok && ring > 0 {
			v.rings[place{p.Neck, n.String, n.Fret}] = ring
		}
	}
	return v, nil
}

// inTime puts necks in order of time; of rings each neck's value is the median of its
// notes' shares of the shop's median of that note.
func inTime(latest map[string]*heardValue, rings bool) []neckValue {
	all := make([]*heardValue, 0, len(latest))
	for _, v := range latest {
		all = append(all, v)
	}
	slices.SortFunc(all, func(a, b *heardValue) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.number, b.number)) })
	usual := map[place]float64{}
	if rings {
		usual = medians(all)
	}
	necks := make([]neckValue, len(all))
	for i, v := range all {
		var shares []float64
		for at, ring := range v.rings {
			if of, ok := usual[at]; ok {
				shares = append(shares, ring/of)
			}
		}
		if len(shares) >= leastRung {
			v.value, v.told = num.Median(shares), true
		}
		necks[i] = v.neckValue
	}
	return necks
}

// medians are how long the shop's necks ring each note.
func medians(all []*heardValue) map[place]float64 {
	heard := map[place][]float64{}
	for _, v := range all {
		for at, ring := range v.rings {
			heard[at] = append(heard[at], ring)
		}
	}
	usual := map[place]float64{}
	for at, rings := range heard {
		if len(rings) >= leastBesides {
			usual[at] = num.Median(rings)
		}
	}
	return usual
}
