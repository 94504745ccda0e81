package answer

import (
	"context"
	"time"

	"ringtrue/internal/book"
)

// BookLabelAnswer is what stands on a neck's label.
type BookLabelAnswer struct {
	Serial string    `json:"serial"`
	Model  string    `json:"model"`
	First  time.Time `json:"first"` // when the neck was first read
}

// BookLabel gathers a neck's label. An unknown serial is book.ErrNotFound.
func BookLabel(ctx context.Context, s book.Store, serial string) (*BookLabelAnswer, error) {
	records, err := s.Records(ctx, serial)
	if err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return nil, unknownSerial(ctx, s, serial)
	}
	a := &BookLabelAnswer{Serial: serial, First: records[0].At()}
	for i := range records {
		if m := records[i].Derived.Model; m != "" {
			a.Model = m
		}
		if at := records[i].At(); at.Before(a.First) {
			a.First = at
		}
	}
	return a, nil
}
