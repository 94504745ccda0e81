package tables

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// Reader answers the reading half of book.Store from the tables.
type Reader struct {
	DB *sql.DB

	// Position is the database's function for where a text holds another: 0 for
	// nowhere, of (text, part).
	Position string

	Now       func() time.Time // the clock of notes
	LockNotes string           // the question that keeps other writers of notes out; "": a transaction does
	LockHeard string           // the same of what was heard
	// Quiet keeps others from changing records for the rest of a transaction; "" where
	// a transaction does so by itself.
	Quiet string

	// Wrap turns the database's error into one of package book. It keeps nil.
	Wrap func(error) error

	// Lock is what a transaction that reads before it writes asks for first; empty
	// where one that writes keeps others from writing anyway.
	Lock string

	// Try runs a question, again where it may succeed the second time.
	Try func(ctx context.Context, ask func(context.Context) error) error
}

// RecordColumns are the columns of a record written when it is added, in order;
// RecordValues gives their values.
const RecordColumns = `number, identity, serial, stage, added, note, by_whom, why, corrects, tags,
  neck, neck_name, readings_name, readings_digest, seal, ` + derivedColumns

const derivedColumns = `program, model, states, taken, verdict, zone, worst, metal, most, refits, frets_off, derived_seal, crowns`

// RecordValues are a record's values in the order of RecordColumns. neckID is
// its neck file's row.
func RecordValues(r *book.Record, neckID int64) []any {
	v := []any{
		r.Number, r.Identity[:], r.Serial, r.Stage, r.Added.UnixMicro(), r.Note, r.By, r.Why,
		sql.NullInt64{Int64: r.CorrectsNo, Valid: r.CorrectsNo != 0}, r.Tags.Text(),
		neckID, r.NeckName, r.ReadingsName, r.ReadDigest[:], r.Checksum[:],
	}
	return append(v, derivedValues(&r.Derived, r.DerivedChecksum[:])...)
}

func derivedValues(d *book.Derived, seal []byte) []any {
	return []any{
		d.Maker(), d.Model, d.States, sql.NullInt64{Int64: micros(d.Taken), Valid: !d.Taken.IsZero()}, d.Verdict,
		size(d.ZoneMM), size(d.WorstMM), size(d.MetalMM), size(d.MostMM), d.Refits, d.FretsOff, seal, Bytes(d.Crowns),
	}
}

func micros(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

func size(v num.Opt) sql.NullFloat64 { return sql.NullFloat64{Float64: v.Or(0), Valid: v.Known()} }

// sizeIn scans a size that may be missing.
type sizeIn struct{ to *num.Opt }

func (s sizeIn) Scan(src any) error {
	var v sql.NullFloat64
	err := v.Scan(src)
	*s.to = num.Opt{}
	if v.Valid {
		*s.to = num.Some(v.Float64)
	}
	return err
}

// selectRecord reads whole records; scanRecord takes its columns.
const selectRecord = "SELECT " + recordFields + recordFrom

const recordFields = `r.number, r.identity, r.serial, r.stage, r.added, r.note, r.by_whom, r.why,
  c.identity, r.corrects, (SELECT max(x.number) FROM record x WHERE x.corrects = r.number),
  r.tags, r.neck_name, r.readings_name, n.digest, r.readings_digest, r.seal,
  r.program, r.model, r.states, r.taken, r.verdict, r.zone, r.worst, r.metal, r.most, r.refits, r.frets_off,
  r.derived_seal, r.crowns`

const recordFrom = ` FROM record r LEFT JOIN neck_file n ON n.id = r.neck LEFT JOIN record c ON c.number = r.corrects `

func scanRecord(rows *sql.Rows) (book.Record, error) { return scanRecordAnd(rows) }

// scanRecordAnd reads a record and what else was asked for behind it.
func scanRecordAnd(rows *sql.Rows, more ...any) (book.Record, error) {
	var r book.Record
	var identity, corrects, neck, readings, seal, derivedSeal []byte
	var added int64
	var correctsNo, correctedBy, taken sql.NullInt64
	var tags, maker string
	d := &r.Derived
	err := rows.Scan(append([]any{&r.Number, &identity, &r.Serial, &r.Stage, &added, &r.Note, &r.By, &r.Why,
		&corrects, &correctsNo, &correctedBy, &tags, &r.NeckName, &r.ReadingsName, &neck, &readings, &seal,
		&maker, &d.Model, &d.States, &taken, &d.Verdict, sizeIn{&d.ZoneMM}, sizeIn{&d.WorstMM}, sizeIn{&d.MetalMM}, sizeIn{&d.MostMM}, &d.Refits, &d.FretsOff,
		&derivedSeal, (*[]byte)(&d.Crowns)}, more...)...)
	if err != nil {
		return r, unfit(err)
	}
	d.SetMaker(maker)
	copy(r.Identity[:], identity)
	copy(r.NeckDigest[:], neck)
	copy(r.ReadDigest[:], readings)
	copy(r.Checksum[:], seal)
	copy(r.DerivedChecksum[:], derivedSeal)
	if len(corrects) > 0 {
		r.Corrects = new(book.Identity)
		copy(r.Corrects[:], corrects)
	}
	r.CorrectsNo, r.CorrectedBy = correctsNo.Int64, correctedBy.Int64
	r.Added = time.UnixMicro(added).UTC()
	if taken.Valid {
		d.Taken = time.UnixMicro(taken.Int64).UTC()
	}
	if r.Tags, err = book.ParseTags(tags); err != nil {
		return r, fmt.Errorf("record %d: %w: %w", r.Number, book.ErrDamaged, err)
	}
	return r, nil
}

// Collect runs a question and gathers a value a row, up to a fault; a question that
// is asked again begins anew.
func Collect[T any](ctx context.Context, t *Reader, query string, args []any, row func(*sql.Rows) (T, error)) (all []T, err error) {
	err = t.Try(ctx, func(ctx context.Context) error {
		all = nil
		rows, err := t.DB.QueryContext(ctx, query, args...)
		if err != nil {
			return t.Wrap(err)
		}
		defer rows.Close()
		for rows.Next() {
			v, err := row(rows)
			if err != nil {
				return t.Wrap(err)
			}
			all = append(all, v)
		}
		return t.Wrap(rows.Err())
	})
	return all, err
}

// askOne reads the one row of a question; false where there is none.
func (t *Reader) askOne(ctx context.Context, query string, args []any, into ...any) (bool, error) {
	rows, err := Collect(ctx, t, query, args, func(rows *sql.Rows) (struct{}, error) {
		return struct{}{}, unfit(rows.Scan(into...))
	})
	return len(rows) > 0 && err == nil, err
}

// unfit is a value's fault that does not fit its column, which only a damaged
// file has. It keeps nil and a cancel.
func unfit(err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%w: %w", book.ErrDamaged, err)
}

// Records is book.Store's.
func (t *Reader) Records(ctx context.Context, serial string) ([]book.Record, error) {
	return Collect(ctx, t, selectRecord+"WHERE r.serial = $1 ORDER BY r.added, r.number", []any{serial}, scanRecord)
}

// Record is book.Store's.
func (t *Reader) Record(ctx context.Context, number int64) (book.Record, error) {
	found, err := Collect(ctx, t, selectRecord+"WHERE r.number = $1", []any{number}, scanRecord)
	switch {
	case err != nil:
		return book.Record{}, err
	case len(found) == 0:
		return book.Record{}, fmt.Errorf("record %d is %w", number, book.ErrNotFound)
	}
	return found[0], nil
}

// Files is book.Store's.
func (t *Reader) Files(ctx context.Context, number int64) (book.Files, error) {
	var f book.Files
	found, err := t.askOne(ctx, `SELECT r.neck_name, n.bytes, r.readings_name, s.bytes FROM record r
  JOIN neck_file n ON n.id = r.neck JOIN readings s ON s.record = r.number WHERE r.number = $1`,
		[]any{number}, &f.Neck.Name, &f.Neck.Bytes, &f.Readings.Name, &f.Readings.Bytes)
	if err == nil && !found {
		err = fmt.Errorf("record %d is %w", number, book.ErrNotFound)
	}
	return f, err
}

// Next is book.Store's.
func (t *Reader) Next(ctx context.Context, number int64) (int64, error) {
	var n int64
	found, err := t.askOne(ctx, "SELECT number FROM record WHERE number > $1 ORDER BY number LIMIT 1", []any{number}, &n)
	if found && n <= number { // pages out of place; a walk would never end
		return 0, fmt.Errorf("%w: record %d comes after record %d", book.ErrDamaged, n, number)
	}
	return n, err
}

// Last is book.Store's.
func (t *Reader) Last(ctx context.Context) (int64, error) {
	var n int64
	_, err := t.askOne(ctx, "SELECT number FROM record ORDER BY number DESC LIMIT 1", nil, &n)
	return n, err
}

// Count is book.Store's.
func (t *Reader) Count(ctx context.Context) (int, error) {
	var n int
	_, err := t.askOne(ctx, "SELECT count(*) FROM record", nil, &n)
	return n, err
}

// Serials is book.Store's.
func (t *Reader) Serials(ctx context.Context) ([]string, error) {
	return Collect(ctx, t, "SELECT DISTINCT serial FROM record ORDER BY serial", nil, func(rows *sql.Rows) (s string, err error) {
		err = unfit(rows.Scan(&s))
		return s, err
	})
}

// Bytes is b, never nil: an empty file is a value, not a missing one.
func Bytes(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}
