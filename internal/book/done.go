package book

import (
	"context"
	"slices"
)

// Pair is a record that says what was done, and the neck's record before that.
type Pair struct{ Before, After *Record }

// Pairs calls fn, in order of serials and records, for each record in force with
// StrokesTag or MinutesTag. Before is the latest record in force that was added before it,
// and before what it corrects; nil where there is none.
func Pairs(ctx context.Context, s Store, fn func(Pair) error) error {
	told := map[string]bool{}
	err := s.Scan(ctx, Filter{InForce: true}, NameColumns|TagColumns, func(r *Row) error {
		if r.Tags[StrokesTag]+r.Tags[MinutesTag] != "" {
			told[r.Serial] = true
		}
		return nil
	})
	if err != nil {
		return err
	}
	var serials []string
	for serial := range told {
		serials = append(serials, serial)
	}
	slices.Sort(serials)
	for _, serial := range serials {
		records, err := s.Records(ctx, serial)
		if err != nil {
			return err
		}
		for i := range records {
			r := &records[i]
			if r.CorrectedBy != 0 || r.Tags[StrokesTag]+r.Tags[MinutesTag] == "" {
				continue
			}
			if err := fn(Pair{before(records, i), r}); err != nil {
				return err
			}
		}
	}
	return nil
}

// before is the latest record in force before a record and before what it corrects.
func before(records []Record, i int) *Record {
	at := i
	for records[i].CorrectsNo != 0 {
		i = slices.IndexFunc(records, func(r Record) bool { return r.Number == records[i].CorrectsNo })
		if i < 0 || i >= at {
			break
		}
		at = i
	}
	for k := at - 1; k >= 0; k-- {
		if records[k].CorrectedBy == 0 {
			return &records[k]
		}
	}
	return nil
}
