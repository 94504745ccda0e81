package answer

import (
	"context"
	"errors"
	"fmt"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// BookShowAnswer is all that the book holds of one neck.
type BookShowAnswer struct {
	Serial  string       `json:"serial"`
	Model   string       `json:"model"`
	Records []BookRecord `json:"records"` // in the order they were added

	// Of one record, where it was asked for.
	Answer *FretsAnswer `json:"answer,omitempty"`
	Play   *PlayAnswer  `json:"play,omitempty"`
}

// BookRecord is one record. Sizes are in mm, nil where undetermined.
type BookRecord struct {
	Record    int64      `json:"record"`
	Serial    string     `json:"serial"`
	Stage     string     `json:"stage"`
	Model     string     `json:"model"`
	Verdict   string     `json:"verdict"` // empty where nothing could be worked out
	ZoneMM    *float64   `json:"zone_mm"`
	WorstMM   *float64   `json:"worst_mm"`        // the farthest crown off its lane's reference
	MetalMM   *float64   `json:"total_remove_mm"` // of the least plan
	MostMM    *float64   `json:"max_remove_mm"`
	Refits    int        `json:"refits"`    // fewest before no crown falls below the least
	FretsOff  int        `json:"frets_off"` // frets with a finding
	Tags      book.Tags  `json:"tags"`
	Added     time.Time  `json:"added"`
	Taken     *time.Time `json:"taken,omitempty"` // the readings' own date
	State     string     `json:"state,omitempty"` // slack, rod set, strung
	Note      string     `json:"note,omitempty"`
	By        string     `json:"by,omitempty"`
	Corrects  int64      `json:"corrects,omitempty"`
	Why       string     `json:"why,omitempty"`
	Corrected int64      `json:"corrected_by,omitempty"` // by which later record
	Neck      string     `json:"neck_file"`              // as they were named
	Readings  string     `json:"readings_file"`
	Program   string     `json:"program"`         // the version that worked it out
	Revision  int        `json:"judgement"`       // its judgement's revision, 0 before revisions were counted
	Older     bool       `json:"older,omitempty"` // an older version judged it; BookRebuild takes it over

	// What the files say now; Fault says why nothing where they cannot be read.
	Findings     []NeckFinding  `json:"neck_findings"`
	Frets        []FretFinding  `json:"frets"`
	Recheck      []Recheck      `json:"recheck"`
	Undetermined []Undetermined `json:"undetermined"`
	Options      []RefitOption  `json:"options"`
	Fault        string         `json:"fault,omitempty"`
	Damaged      bool           `json:"damaged,omitempty"` // it is not what was recorded
}

// Judged are a record's files read and judged, for text and pictures.
type Judged struct {
	Model    neck.Model
	Layout   *geometry.Layout
	Readings []reading.Reading
	Frets    *FretsAnswer
}

// BookShow gathers every record of a neck. An unknown serial is
// book.ErrNotFound with the near ones.
func BookShow(ctx context.Context, s book.Store, serial string) (*BookShowAnswer, error) {
	records, err := s.Records(ctx, serial)
	if err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return nil, unknownSerial(ctx, s, serial)
	}
	a := &BookShowAnswer{Serial: serial, Records: []BookRecord{}}
	for i := range records {
		b, _, err := opened(ctx, s, &records[i])
		if err != nil {
			return nil, err
		}
		if b.Model != "" {
			a.Model = b.Model
		}
		a.Records = append(a.Records, b)
	}
	return a, nil
}

// BookOpen reads one record of a neck and judges its files: the one of a
// number, or for 0 the latest that no other corrects. Judged is nil where the
// files cannot be read; the record's Fault then says why.
func BookOpen(ctx context.Context, s book.Store, serial string, number int64) (BookRecord, *Judged, error) {
	records, err := s.Records(ctx, serial)
	if err != nil {
		return BookRecord{}, nil, err
	}
	if len(records) == 0 {
		return BookRecord{}, nil, unknownSerial(ctx, s, serial)
	}
	var pick *book.Record
	for i := range records {
		r := &records[i]
		if r.Number == number || number == 0 && r.CorrectedBy == 0 {
			pick = r
		}
	}
	if pick == nil {
		return BookRecord{}, nil, unknownNumber(serial, number, records)
	}
	return opened(ctx, s, pick)
}

// opened is a record with what its files say now.
func opened(ctx context.Context, s book.Store, r *book.Record) (BookRecord, *Judged, error) {
	b := recordOf(r)
	f, err := wholeFiles(ctx, s, r)
	if errors.Is(err, book.ErrDamaged) {
		b.Fault, b.Damaged = oneLine(err), true
		return b, nil, nil
	}
	if err != nil {
		return b, nil, err
	}
	if r.Derived.Program != "" && r.Derived.Seal() != r.DerivedSeal {
		clean := *r
		clean.Derived = book.Derived{}
		b = recordOf(&clean)
		b.Fault, b.Damaged = "what was worked out is damaged; ringtrue book rebuild works it out again", true
	}
	j := &Judged{}
	if j.Model, j.Layout, j.Readings, err = ParseFiles(f); err == nil {
		j.Frets, err = Frets(ctx, FretsRequest{Model: j.Model, Layout: j.Layout, Readings: j.Readings})
	}
	if ctx.Err() != nil {
		return b, nil, ctx.Err()
	}
	if err != nil {
		b.Fault = oneLine(err)
		return b, nil, nil
	}
	b.Findings, b.Frets, b.Recheck, b.Undetermined = j.Frets.Findings, j.Frets.Frets, j.Frets.Recheck, j.Frets.Undetermined
	b.Options = j.Frets.Plan.Options
	return b, j, nil
}

// wholeFiles are a record's files, or book.ErrDamaged where record or files are
// not what was recorded.
func wholeFiles(ctx context.Context, s book.Store, r *book.Record) (book.Files, error) {
	f, err := s.Files(ctx, r.Number)
	if errors.Is(err, book.ErrNotFound) {
		return f, fmt.Errorf("%w: its files are missing", book.ErrDamaged)
	}
	if err != nil {
		return f, err
	}
	return f, book.Whole(r, f)
}

// recordOf is a record as it stands in the book.
func recordOf(r *book.Record) BookRecord {
	d := &r.Derived
	b := BookRecord{
		Record: r.Number, Serial: r.Serial, Stage: r.Stage, Model: d.Model, Verdict: d.Verdict,
		ZoneMM: d.ZoneMM, WorstMM: d.WorstMM, MetalMM: d.MetalMM, MostMM: d.MostMM, Refits: d.Refits, FretsOff: d.FretsOff,
		Tags: r.Tags, Added: r.Added, State: d.States, Note: r.Note, By: r.By,
		Corrects: r.CorrectsNo, Why: r.Why, Corrected: r.CorrectedBy,
		Neck: r.NeckName, Readings: r.ReadingsName, Program: d.Program, Revision: d.Revision,
		Older:    d.Program != "" && d.Revision < judgementRevision,
		Findings: []NeckFinding{}, Frets: []FretFinding{}, Recheck: []Recheck{}, Undetermined: []Undetermined{}, Options: []RefitOption{},
	}
	if b.Tags == nil {
		b.Tags = book.Tags{}
	}
	if !d.Taken.IsZero() {
		b.Taken = &d.Taken
	}
	return b
}
