package salvage

import (
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/pages"
	"ringtrue/internal/num"
)

// The tables and indexes of a book in a file, as book/sqlite's first migration
// makes them, its fourth those of notes and its fifth those of play-throughs. A later one may only add columns at the
// end of record.
const (
	recordRow = iota
	neckRow
	readingsRow // or a play-through's recording, packed
	identityRow // an index: a record's or a play-through's identity, or a neck file's digest, and its number
	serialRow   // an index: serial, time and number, of a record, a note or a play-through
	noteRow
	noteTimeRow // an index: a note's time and number
	heardRow
	shapeCount
)

func shapes() []pages.Shape {
	column := func(k pages.Kind) pages.Column { return pages.Column{Kinds: k} }
	sum := pages.Column{Kinds: pages.Blob, Bytes: len(book.Sum{})}
	null, text, whole, blob := column(pages.Null), column(pages.Text), column(pages.Int), column(pages.Blob)
	noteColumns := []pages.Column{null, text, text, text, whole, whole, sum}
	maybe, size := column(pages.Int|pages.Null), column(pages.Real|pages.Int|pages.Null)
	record := []pages.Column{
		null, sum, text, text, whole, text, text, text, maybe, text, whole, text, text, sum, sum,
		text, text, text, maybe, text, size, size, size, size, whole, whole, sum, blob,
	}
	heard := []pages.Column{null, sum, text, maybe, whole, text, text, text, sum, whole, blob, sum}
	return []pages.Shape{
		recordRow:   {Columns: record, More: true, Bare: true},
		neckRow:     {Columns: []pages.Column{null, sum, blob}},
		readingsRow: {Columns: []pages.Column{null, blob}},
		identityRow: {Columns: []pages.Column{sum, whole}, Index: true},
		serialRow:   {Columns: []pages.Column{text, whole, whole}, Index: true},
		noteRow:     {Columns: noteColumns, Bare: true},
		noteTimeRow: {Columns: []pages.Column{whole, whole}, Index: true},
		heardRow:    {Columns: heard, Bare: true},
	}
}

// derivedColumn is record's first column of what was worked out.
const derivedColumn = 15

// row is one of table record as it was found; nothing in it is proved yet.
type row struct {
	book.Record       // CorrectsNo, but neither Corrects nor NeckDigest
	neck        int64 // its neck file's row
	readable    int   // columns that could be read
	tagsErr     error
}

// rowOf takes a row's values apart.
func rowOf(number int64, v []pages.Value) *row {
	text := func(i int) string { return string(v[i].Bytes) }
	micros := func(i int) time.Time { return time.UnixMicro(v[i].Int).UTC() }
	r := &row{neck: v[10].Int}
	for r.readable < len(v) && v[r.readable].Kind != 0 {
		r.readable++
	}
	r.Number, r.Serial, r.Stage, r.Added = number, text(2), text(3), micros(4)
	r.Note, r.By, r.Why, r.CorrectsNo = text(5), text(6), text(7), v[8].Int
	r.NeckName, r.ReadingsName = text(11), text(12)
	copy(r.Identity[:], v[1].Bytes)
	copy(r.ReadDigest[:], v[13].Bytes)
	copy(r.Checksum[:], v[14].Bytes)
	if r.readable > 9 {
		r.Tags, r.tagsErr = book.ParseTags(text(9))
	}
	d := &r.Derived
	d.SetMaker(text(derivedColumn))
	d.Model, d.States, d.Verdict = text(16), text(17), text(19)
	if v[18].Kind == pages.Int {
		d.Taken = micros(18)
	}
	for i, to := range []*num.Opt{&d.ZoneMM, &d.WorstMM, &d.MetalMM, &d.MostMM} {
		switch x := v[20+i]; x.Kind {
		case pages.Real:
			*to = num.Some(x.Real)
		case pages.Int: // a whole number is kept as one (datatype3.html, section 2)
			*to = num.Some(float64(x.Int))
		}
	}
	d.Refits, d.FretsOff = int(v[24].Int), int(v[25].Int)
	copy(r.DerivedChecksum[:], v[26].Bytes)
	d.Crowns = book.Packed(v[27].Bytes)
	return r
}
