package answer

import (
	"context"
	"fmt"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// BookFiles are a record's two files, read but not judged.
type BookFiles struct {
	Record       int64
	Stage        string
	NeckName     string // as they were named when they were added
	ReadingsName string
	Model        neck.Model
	Layout       *geometry.Layout
	Readings     []reading.Reading
}

// BookRead reads the files of a neck's latest record of a stage that no other
// corrects; of any stage where stage is empty. An unknown serial or stage is
// book.ErrNotFound with the near ones, files that are not what was recorded
// book.ErrDamaged.
func BookRead(ctx context.Context, s book.Store, serial, stage string) (*BookFiles, error) {
	records, err := s.Records(ctx, serial)
	if err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return nil, unknownSerial(ctx, s, serial)
	}
	r, err := inForce(records, stage)
	if err != nil {
		return nil, err
	}
	f, err := wholeFiles(ctx, s, r)
	if err != nil {
		return nil, fmt.Errorf("record %d, %s: %w", r.Number, r.Stage, err)
	}
	b := &BookFiles{Record: r.Number, Stage: r.Stage, NeckName: r.NeckName, ReadingsName: r.ReadingsName}
	if b.Model, b.Layout, b.Readings, err = ParseFiles(f); err != nil {
		return nil, fmt.Errorf("%w: the files of record %d, %s, can no longer be read: %v", book.ErrUnlike, r.Number, r.Stage, err)
	}
	return b, nil
}

// inForce is the latest record of a stage, or of any where stage is empty, that
// no other corrects.
func inForce(records []book.Record, stage string) (*book.Record, error) {
	var pick *book.Record
	var known []string
	for i := range records {
		r := &records[i]
		known = append(known, r.Stage)
		if r.CorrectedBy == 0 && (r.Stage == stage || stage == "") {
			pick = r
		}
	}
	if pick == nil {
		return nil, book.NotFound("stage", stage, known)
	}
	return pick, nil
}
