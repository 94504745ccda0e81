package book

import (
	"context"
	"time"
)

// Label is what stands on a neck's label, as JSON has it.
type Label struct {
	Serial string    `json:"serial"`
	Model  string    `json:"model"`
	First  time.Time `json:"first"` // when the neck was first read
}

// LabelOf gathers a neck's label. An unknown serial is ErrNotFound.
func LabelOf(ctx context.Context, s Store, serial string) (*Label, error) {
	records, err := RecordsOf(ctx, s, serial)
	if err != nil {
		return nil, err
	}
	l := &Label{Serial: serial, First: records[0].At()}
	for _, r := range records {
		if r.Derived.Model != "" {
			l.Model = r.Derived.Model
		}
		if r.At().Before(l.First) {
			l.First = r.At()
		}
	}
	return l, nil
}
