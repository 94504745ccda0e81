package answer

import (
	"context"
	"errors"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// BookShowAnswer is all that the book holds of one neck.
type BookShowAnswer struct {
	Serial  string       `json:"serial"`
	Model   string       `json:"model"`
	Records []BookRecord `json:"records"` // in the order they were added
	Heard   []HeardEntry `json:"heard,omitempty"`
	Since   *HeardSince  `json:"heard_since,omitempty"` // the last heard beside the first

	// Of one record, where it was asked for.
	Answer *FretsAnswer `json:"answer,omitempty"`
	Play   *PlayAnswer  `json:"play,omitempty"`
}

// BookRecord is one record. Sizes are in mm, null where undetermined.
type BookRecord struct {
	Record int64  `json:"record"`
	Serial string `json:"serial"`
	Stage  string `json:"stage"`
	Model  string `json:"model"`
	book.Figures
	Tags      book.Tags `json:"tags"`
	Added     time.Time `json:"added"`
	Taken     time.Time `json:"taken,omitzero"`  // the readings' own date
	State     string    `json:"state,omitempty"` // slack, rod set, strung
	Note      string    `json:"note,omitempty"`
	By        string    `json:"by,omitempty"`
	Corrects  int64     `json:"corrects,omitempty"`
	Why       string    `json:"why,omitempty"`
	Corrected int64     `json:"corrected_by,omitempty"` // by which later record
	Neck      string    `json:"neck_file"`              // as they were named
	Readings  string    `json:"readings_file"`
	Program   string    `json:"program"`         // the version that worked it out
	Revision  int       `json:"judgement"`       // its judgement's revision, 0 before revisions were counted
	Older     bool      `json:"older,omitempty"` // an older version judged it; a rebuild takes it over

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
	book.Parsed
	Frets *FretsAnswer
}

// BookShow gathers every record of a neck. An unknown serial is
// book.ErrNotFound with the near ones.
func BookShow(ctx context.Context, s book.Store, serial string) (*BookShowAnswer, error) {
	records, err := book.RecordsOf(ctx, s, serial)
	if err != nil {
		return nil, err
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
	return a, a.heard(ctx, s)
}

// BookOpen reads one record of a neck and judges its files: the one of a
// number, or for 0 the latest that no other corrects. Judged is nil where the
// files cannot be read; the record's Fault then says why.
func BookOpen(ctx context.Context, s book.Store, serial string, number int64) (BookRecord, *Judged, error) {
	records, err := book.RecordsOf(ctx, s, serial)
	if err != nil {
		return BookRecord{}, nil, err
	}
	pick, err := book.Numbered(serial, records, number)
	if err != nil {
		return BookRecord{}, nil, err
	}
	return opened(ctx, s, pick)
}

// opened is a record with what its files say now.
func opened(ctx context.Context, s book.Store, r *book.Record) (BookRecord, *Judged, error) {
	b := recordOf(r)
	f, err := book.WholeFiles(ctx, s, r)
	if errors.Is(err, book.ErrDamaged) {
		b.Fault, b.Damaged = fileerr.OneLine(err), true
		return b, nil, nil
	}
	if err != nil {
		return b, nil, err
	}
	if r.Derived.Program != "" && r.Derived.Checksum() != r.DerivedChecksum {
		r.Derived = book.Derived{}
		b = recordOf(r)
		b.Fault, b.Damaged = "its results are damaged; ringtrue book rebuild recalculates them", true
	}
	j := &Judged{}
	if j.Parsed, err = f.Parse(); err == nil {
		j.Frets, err = Frets(ctx, FretsRequest{Model: j.Model, Layout: j.Layout, Readings: j.Readings})
	}
	if ctx.Err() != nil {
		return b, nil, ctx.Err()
	}
	if err != nil {
		b.Fault = fileerr.OneLine(err)
		return b, nil, nil
	}
	b.Findings, b.Frets, b.Recheck, b.Undetermined = j.Frets.Findings, j.Frets.Frets, j.Frets.Recheck, j.Frets.Undetermined
	b.Options = j.Frets.Plan.Options
	return b, j, nil
}

// recordOf is a record as it stands in the book.
func recordOf(r *book.Record) BookRecord {
	d := &r.Derived
	b := BookRecord{
		Record: r.Number, Serial: r.Serial, Stage: r.Stage, Model: d.Model, Figures: d.Figures,
		Tags: r.Tags, Added: r.Added, Taken: d.Taken, State: d.States, Note: r.Note, By: r.By,
		Corrects: r.CorrectsNo, Why: r.Why, Corrected: r.CorrectedBy,
		Neck: r.NeckName, Readings: r.ReadingsName, Program: d.Program, Revision: d.Revision,
		Older:    d.Program != "" && d.Revision < judgementRevision,
		Findings: []NeckFinding{}, Frets: []FretFinding{}, Recheck: []Recheck{}, Undetermined: []Undetermined{}, Options: []RefitOption{},
	}
	if b.Tags == nil {
		b.Tags = book.Tags{}
	}
	return b
}
