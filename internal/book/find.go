package book

import (
	"context"
	"errors"
	"fmt"
	"strings"
)

// RecordsOf are a neck's records in the order they were added, at least one. An
// unknown serial is ErrNotFound with the near ones.
func RecordsOf(ctx context.Context, s Store, serial string) ([]Record, error) {
	records, err := s.Records(ctx, serial)
	if err != nil || len(records) > 0 {
		return records, err
	}
	known, err := s.Serials(ctx)
	if err != nil {
		return nil, err
	}
	return nil, NotFound("serial", serial, known)
}

// InForce is the latest record of a stage, or of any where stage is empty, that
// no other corrects. An unknown stage is ErrNotFound with the near ones.
func InForce(records []Record, stage string) (*Record, error) {
	var pick *Record
	var known []string
	for i := range records {
		r := &records[i]
		known = append(known, r.Stage)
		if r.CorrectedBy == 0 && (r.Stage == stage || stage == "") {
			pick = r
		}
	}
	if pick == nil {
		return nil, NotFound("stage", stage, known)
	}
	return pick, nil
}

// Numbered is a neck's record of a number, or for 0 the latest that no other
// corrects. ErrNotFound says which it has.
func Numbered(serial string, records []Record, number int64) (*Record, error) {
	if number == 0 {
		return InForce(records, "")
	}
	var has []string
	for i, r := range records {
		if r.Number == number {
			return &records[i], nil
		}
		has = append(has, fmt.Sprintf("%d (%s)", r.Number, r.Stage))
	}
	return nil, fmt.Errorf("record %d of serial %q is %w; it has %s", number, serial, ErrNotFound, strings.Join(has, ", "))
}

// WholeFiles are a record's files, or ErrDamaged where record or files are not
// what was recorded.
func WholeFiles(ctx context.Context, s Store, r *Record) (Files, error) {
	f, err := s.Files(ctx, r.Number)
	if errors.Is(err, ErrNotFound) {
		return f, fmt.Errorf("%w: its files are missing", ErrDamaged)
	}
	if err != nil {
		return f, err
	}
	return f, Whole(r, f)
}

// Stage is a record of a stage in force, its files read but not judged.
type Stage struct {
	*Record
	Parsed
}

// StageOf reads the files of a neck's latest record of a stage that no other
// corrects; of any stage where stage is empty. An unknown stage is ErrNotFound
// with the near ones, files that are not what was recorded ErrDamaged.
func StageOf(ctx context.Context, s Store, records []Record, stage string) (*Stage, error) {
	r, err := InForce(records, stage)
	if err != nil {
		return nil, err
	}
	f, err := WholeFiles(ctx, s, r)
	if err != nil {
		return nil, fmt.Errorf("record %d, %s: %w", r.Number, r.Stage, err)
	}
	p, err := f.Parse()
	if err != nil {
		return nil, fmt.Errorf("%w: the files of record %d, %s, can no longer be read: %v", ErrUnlike, r.Number, r.Stage, err)
	}
	return &Stage{r, p}, nil
}

// Read is StageOf of a serial. An unknown one is ErrNotFound with the near ones.
func Read(ctx context.Context, s Store, serial, stage string) (*Stage, error) {
	records, err := RecordsOf(ctx, s, serial)
	if err != nil {
		return nil, err
	}
	return StageOf(ctx, s, records, stage)
}
