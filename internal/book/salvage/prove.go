package salvage

import (
	"fmt"
	"maps"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/pages"
)

// proved is what came of one copy of a record's row: an entry whose every byte is
// what was put in, or what is gone of it.
type proved struct {
	entry *book.Entry
	row   *row
	loss  *Loss // with an entry: hurt; without: lost
}

// worth orders copies: whole, hurt, lost with more or less known of them.
func (p *proved) worth() int {
	switch {
	case p.entry != nil && p.loss == nil:
		return 1000
	case p.entry != nil:
		return 500
	}
	return p.row.readable
}

// best proves the copies of one record and gives the best, nil where there is none.
func (b *Book) best(copies places) (*proved, error) {
	var best *proved
	spoilt := false // the row in force: a copy that was left behind may have older results
	for _, p := range copies {
		for _, ref := range []pages.Ref{p.Ref, p.Below()} {
			v, err := b.values(ref)
			if err != nil {
				return nil, err
			}
			if len(v) < len(shapes()[recordRow].Columns) {
				spoilt = spoilt || p.live
				continue
			}
			found, err := b.prove(rowOf(p.number, v))
			if err != nil {
				return nil, err
			}
			switch {
			case p.live && found.loss != nil:
				spoilt = true
			case (p.behind || !p.live && spoilt) && found.entry != nil && found.loss == nil:
				found.entry.Derived = book.Derived{}
				found.loss = lossOf(&found.row.Record, GoneResults, "its results are gone; recalculated from its readings")
			}
			if best == nil || found.worth() > best.worth() {
				best = found
			}
			if best.entry != nil && best.loss == nil {
				return best, nil
			}
		}
	}
	return best, nil
}

// prove holds a row and its files against the book's checksums.
func (b *Book) prove(r *row) (*proved, error) {
	lost := func(gone, format string, args ...any) (*proved, error) {
		return &proved{row: r, loss: lossOf(&r.Record, gone, format, args...)}, nil
	}
	if r.readable < derivedColumn || r.tagsErr != nil {
		return lost(GoneRecord, "a part of its serial, stage, note, tags and times is gone")
	}
	corrects, err := b.corrected(r)
	if err != nil {
		return nil, err
	}
	if len(corrects) == 0 {
		return lost(GoneCorrected, "record %d, which it corrects, is gone without a trace, so it cannot be proved", r.CorrectsNo)
	}
	necks, err := b.digests(r.neck)
	if err != nil {
		return nil, err
	}
	switch sealed := b.sealed(r, corrects, necks); {
	case !sealed && len(necks) == 0:
		return lost(GoneNeck, "its neck file %s is gone; if you still have it, salvage takes it with --with FILE", r.NeckName)
	case !sealed:
		return lost(GoneRecord, "its serial, stage, note, tags or times are not what was recorded")
	}
	e := &book.Entry{
		Serial: r.Serial, Stage: r.Stage, Note: r.Note, By: r.By, Why: r.Why, Corrects: r.Corrects, Tags: r.Tags,
		Number: r.Number, Added: r.Added,
	}
	neck, found := b.necks[r.NeckDigest]
	if !found {
		return lost(GoneNeck, "its neck file %s is gone; if you still have it, salvage takes it with --with FILE", r.NeckName)
	}
	readings, number, found, err := b.readingsOf(r)
	if err != nil {
		return nil, err
	}
	if !found {
		return lost(GoneReadings, "its readings %s are gone; if you still have them, salvage takes them with --with FILE", r.ReadingsName)
	}
	if number != r.Number {
		if r.Number, err = b.numberAmong(r.Identity, r.Number, number); err != nil {
			return nil, err
		}
		e.Number = r.Number
	}
	e.Files = book.Files{Neck: book.File{Name: r.NeckName, Bytes: neck}, Readings: book.File{Name: r.ReadingsName, Bytes: readings}}
	if err := book.Whole(&r.Record, e.Files); err != nil {
		return lost(GoneRecord, "%s", err)
	}
	p := &proved{entry: e, row: r}
	switch e.Derived = r.Derived; {
	case r.readable < len(shapes()[recordRow].Columns) || r.Derived.Checksum() != r.DerivedChecksum:
		e.Derived = book.Derived{}
		p.loss = lossOf(&r.Record, GoneResults, "its results are gone; recalculated from its readings")
	case e.Number == 0:
		p.loss = lossOf(&r.Record, GoneNumber, "its number is gone; it has a new one")
	}
	return p, nil
}

func lossOf(r *book.Record, gone, format string, args ...any) *Loss {
	return &Loss{archive.Fault{Record: r.Number, Serial: r.Serial, Stage: r.Stage, Fault: fmt.Sprintf(format, args...)}, gone}
}

// sealed looks for what the row was sealed with: of the neck files known as its own,
// or else of all, the one by which its checksum comes out. The row then has it.
func (b *Book) sealed(r *row, corrects []*book.Identity, necks []book.Sum) bool {
	fits := func(digest book.Sum) bool {
		r.NeckDigest = digest
		for _, r.Corrects = range corrects {
			if book.ChecksumOf(&r.Record) == r.Checksum {
				return true
			}
		}
		return false
	}
	return slices.ContainsFunc(necks, fits) || slices.ContainsFunc(slices.Collect(maps.Keys(b.necks)), fits)
}

// corrected gives what may be the identity of the record that a row corrects; nil
// itself where it corrects none.
func (b *Book) corrected(r *row) ([]*book.Identity, error) {
	if r.CorrectsNo == 0 {
		return []*book.Identity{nil}, nil
	}
	sums, err := b.sums(identityRow, 0, r.CorrectsNo)
	if err != nil {
		return nil, err
	}
	more, err := b.sums(recordRow, 1, r.CorrectsNo)
	var all []*book.Identity
	for _, s := range append(more, sums...) {
		all = append(all, &s)
	}
	return all, err
}

// digests gives what may be the digest of the neck file of a number. Its own row or an
// index may have it even where the file itself is damaged.
func (b *Book) digests(number int64) ([]book.Sum, error) {
	more, err := b.sums(identityRow, 0, number)
	return append(slices.Clone(b.neckRows[number]), more...), err
}

// numberAmong is a record's number, which is in no checksum: its own row's, 0 where that
// is damaged, or its readings', as the index of identities decides.
func (b *Book) numberAmong(identity book.Identity, own, readings int64) (int64, error) {
	if own == 0 || readings == 0 {
		return max(own, readings), nil
	}
	for _, n := range []int64{own, readings} {
		sums, err := b.sums(identityRow, 0, n)
		if err != nil || slices.Contains(sums, identity) {
			return n, err
		}
	}
	return own, nil
}

// sums are the checksums in a column of the rows with a number.
func (b *Book) sums(shape, column int, number int64) (sums []book.Sum, err error) {
	for _, p := range b.rows[shape].of(number) {
		v, err := b.values(p.Ref)
		if err != nil {
			return nil, err
		}
		if len(v) > column && len(v[column].Bytes) == len(book.Sum{}) {
			sums = append(sums, book.Sum(v[column].Bytes))
		}
	}
	return sums, nil
}

// readingsOf looks for a row's readings by their digest: under its number first, then
// among the maker's own files, then everywhere. number is the number they are under.
func (b *Book) readingsOf(r *row) (bytes []byte, number int64, found bool, err error) {
	try := func(p place) (found bool, err error) {
		for _, ref := range []pages.Ref{p.Ref, p.Below()} {
			v, err := b.values(ref)
			if err != nil {
				return false, err
			}
			if len(v) == 2 && v[1].Kind == pages.Blob && book.Digest(v[1].Bytes) == r.ReadDigest {
				bytes, number = v[1].Bytes, p.number
				return true, nil
			}
		}
		return false, nil
	}
	for _, p := range b.rows[readingsRow].of(r.Number) {
		if found, err := try(p); found || err != nil {
			return bytes, number, found, err
		}
	}
	if f, ok := b.spare[r.ReadDigest]; ok {
		return f.Bytes, r.Number, true, nil
	}
	if err := b.digestReadings(); err != nil {
		return nil, 0, false, err
	}
	if p, ok := b.readings[r.ReadDigest]; ok {
		found, err := try(p)
		return bytes, number, found, err
	}
	return nil, 0, false, nil
}

// digestReadings works out the digest of every readings row, once.
func (b *Book) digestReadings() error {
	if b.readings != nil {
		return nil
	}
	b.readings = map[book.Sum]place{}
	for _, p := range b.rows[readingsRow] {
		v, err := b.values(p.Ref)
		if err != nil {
			return err
		}
		if len(v) == 2 && v[1].Kind == pages.Blob {
			b.readings[book.Digest(v[1].Bytes)] = p
		}
	}
	return nil
}
