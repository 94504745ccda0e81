package answer

import (
	"context"
	"errors"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/relief"
	"ringtrue/internal/text"
)

// ReliefRequest is what `relief` is asked. Set are other strings to try, nil for none;
// Pairs are what the shop's readings slack and strung say of necks of this model.
type ReliefRequest struct {
	Model  neck.Model
	Layout *geometry.Layout
	Set    []neck.String
	Pairs  []relief.Pair
}

// ReliefAnswer is what strings and rod do to a neck, and what to level it to.
type ReliefAnswer struct {
	Neck     string `json:"neck"`
	Headline string `json:"headline"`
	*relief.Report
	RestsOn  string   `json:"rests_on_words"`
	Bends    string   `json:"bends_words"`
	Does     []string `json:"does"` // the rod, other strings, creep
	Do       []string `json:"do"`   // in order
	Assumed  []string `json:"assumed"`
	NotRead  []int64  `json:"records_not_read,omitempty"` // of pairs
	Warnings []string `json:"warnings"`
}

// Relief says what the strings do to a neck. Faults of the neck file or the set come
// back as a fileerr.List whose faults name a key.
func Relief(ctx context.Context, r ReliefRequest) (*ReliefAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	n, err := relief.Of(r.Model, r.Layout)
	if err != nil {
		return nil, err
	}
	report, err := n.Report(r.Set, relief.Learn(r.Pairs))
	if err != nil {
		return nil, err
	}
	zone := r.Model.Level.Zone
	return &ReliefAnswer{Neck: r.Model.Name, Headline: text.ReliefHead(report), Report: report, RestsOn: text.ReliefRests(report.Factor), Bends: text.ReliefBends(report),
		Does: text.ReliefDoes(report), Do: text.ReliefDo(report, zone), Assumed: text.ReliefAssumed(n), Warnings: text.ReliefWarnings(report)}, nil
}

// ReliefPairs are the book's pairs of a model, one a neck: of the records in force read
// strung, each with the latest before it that was read slack, else the first after.
// unread are records whose files cannot be read, or tell no pair.
func ReliefPairs(ctx context.Context, s book.Store, model string) (pairs []relief.Pair, unread []int64, err error) {
	necks, err := s.Necks(ctx, book.Filter{Model: model}, book.Page{})
	if err != nil {
		return nil, nil, err
	}
	for _, k := range necks {
		var own []relief.Pair
		records, err := s.Records(ctx, k.Serial)
		if err != nil {
			return nil, nil, err
		}
		for _, i := range book.InState(records, reading.Strung) {
			slack := book.Nearest(records, i, reading.Slack)
			if slack < 0 {
				continue
			}
			p, err := pairOf(ctx, s, &records[slack], &records[i])
			switch {
			case ctx.Err() != nil:
				return nil, nil, ctx.Err()
			case errors.Is(err, errUnread):
				unread = append(unread, records[i].Number)
			case err != nil:
				return nil, nil, err
			default:
				own = append(own, p)
			}
		}
		pairs = append(pairs, relief.OneNeck(own)...)
	}
	return pairs, unread, nil
}

// pairOf reads two records of a neck, slack and strung.
func pairOf(ctx context.Context, s book.Store, slack, strung *book.Record) (relief.Pair, error) {
	var lanes [2][]heights.Lane
	var of *relief.Neck
	for i, r := range []*book.Record{slack, strung} {
		f, err := book.WholeFiles(ctx, s, r)
		if err != nil && !errors.Is(err, book.ErrDamaged) {
			return relief.Pair{}, err
		}
		if err != nil {
			return relief.Pair{}, errUnread
		}
		p, err := f.Parse()
		if err != nil {
			return relief.Pair{}, errUnread
		}
		if of, err = relief.Of(p.Model, p.Layout); err != nil {
			return relief.Pair{}, errUnread
		}
		readings, _ := reading.WithLeaves(p.Readings)
		e, err := heights.FromContext(ctx, heights.Input{Layout: p.Layout, Readings: readings, CrownRadiusMM: p.Model.Wire.CrownRadius})
		if err != nil {
			return relief.Pair{}, errUnread
		}
		lanes[i] = e.Lanes
	}
	p, err := of.PairOf(lanes[0], lanes[1])
	if err != nil {
		return p, errUnread
	}
	return p, nil
}
