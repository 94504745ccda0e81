package salvage

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/fileerr"
)

// putBatch is how many records are made safe at once.
const putBatch = 200

// putter puts what is proved into a book, in order of numbers, each record after the
// one that it corrects.
type putter struct {
	*Book
	store book.Store
	judge book.Judge
	did   *Salvaged

	batch   []*proved
	waiting []*proved               // for the record that they correct
	kept    map[book.Identity]int64 // records given back, by the number they had
	had     map[int64]bool          // numbers of those
	read    map[book.Sum]bool       // digests of their readings
	lost    map[int64]*Loss
	necks   map[int64]bool    // rows of neck files
	dated   map[stamp]bool    // of records given back, and of notes and play-throughs
	played  map[book.Sum]bool // identities of play-throughs
}

// Put puts every record, note and play-through that can be proved into an empty book, under its own
// number and time, and says what could not be. Lost results are worked out by judge.
func (b *Book) Put(ctx context.Context, s book.Store, judge book.Judge, p book.Progress) (*Salvaged, error) {
	w := &putter{
		Book: b, store: s, judge: judge, did: &Salvaged{Hurt: []Loss{}, Lost: []Loss{}, LostNotes: []archive.Fault{}, HurtHeard: []archive.Fault{}, LostHeard: []archive.Fault{}, Free: [][2]int64{}, Cut: b.file.Cut()},
		kept: map[book.Identity]int64{}, had: map[int64]bool{}, read: map[book.Sum]bool{}, lost: map[int64]*Loss{}, necks: map[int64]bool{}, dated: map[stamp]bool{}, played: map[book.Sum]bool{},
	}
	rows := b.rows[recordRow]
	for i := 0; i < len(rows); {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n := len(rows.of(rows[i].number))
		if rows[i].number == 0 { // each of another record
			n = 1
		}
		found, err := b.best(rows[i : i+n])
		if err == nil && found != nil {
			err = w.take(ctx, found)
		}
		if err != nil {
			return nil, err
		}
		i += n
		p.Tell(i, len(rows))
	}
	if err := w.rest(ctx); err != nil {
		return nil, err
	}
	for _, of := range []func() kind{w.notes, w.heard} {
		if err := w.putBeside(ctx, of()); err != nil {
			return nil, err
		}
	}
	return w.did, w.name(ctx)
}

// take puts a record into the batch, or sets it aside.
func (w *putter) take(ctx context.Context, p *proved) error {
	w.necks[p.row.neck] = true
	if p.entry == nil {
		if p.row.Number != 0 { // else a copy left behind, or readings and indexes name its number
			w.lost[p.row.Number] = p.loss
		}
		return nil
	}
	identity := p.row.Identity
	if _, twice := w.kept[identity]; twice {
		return nil // a copy that was left behind
	}
	if c := p.entry.Corrects; c != nil {
		if _, here := w.kept[*c]; !here {
			w.waiting = append(w.waiting, p)
			return nil
		}
	}
	w.kept[identity], w.had[p.entry.Number], w.read[p.row.ReadDigest] = p.entry.Number, true, true
	w.dated[stamp{p.entry.Added.UnixMicro(), p.entry.Number}] = true
	w.batch = append(w.batch, p)
	if len(w.batch) == putBatch {
		return w.flush(ctx)
	}
	return nil
}

// flush makes the batch safe.
func (w *putter) flush(ctx context.Context) error {
	entries := make([]*book.Entry, len(w.batch))
	err := book.InOrder(ctx, book.All(w.batch), func(ctx context.Context, _ int, p *proved) (*book.Entry, error) {
		if p.loss == nil || p.loss.Gone != GoneResults {
			return p.entry, nil
		}
		d, err := w.judge.Derive(ctx, p.entry.Files)
		p.entry.Derived = d
		return p.entry, err
	}, func(i int, e *book.Entry, err error) error {
		if err != nil && ctx.Err() != nil {
			return ctx.Err()
		}
		p := w.batch[i]
		if err != nil { // its files' fault: as much is given back as there is
			p.entry.Derived = book.Derived{}
			p.loss.Fault.Fault = "its results are gone, and this version cannot work them out: " + fileerr.OneLine(err)
		}
		entries[i] = p.entry
		return nil
	})
	if err != nil {
		return err
	}
	receipts, err := w.store.Import(ctx, entries)
	if err != nil {
		return err
	}
	for i, r := range receipts {
		w.did.Records++
		if loss := w.batch[i].loss; loss != nil {
			loss.Record = r.Number
			w.did.Hurt = append(w.did.Hurt, *loss)
		}
	}
	w.batch = w.batch[:0]
	return nil
}

// rest puts the corrections that had to wait. Where what one corrects is lost, it
// comes back as a record of its own.
func (w *putter) rest(ctx context.Context) error {
	for len(w.waiting) > 0 {
		all := w.waiting
		w.waiting = nil
		for _, p := range all {
			if err := w.take(ctx, p); err != nil {
				return err
			}
		}
		if len(w.waiting) < len(all) {
			continue
		}
		p := w.waiting[0]
		w.waiting = w.waiting[1:]
		p.entry.Corrects = nil
		p.loss = lossOf(&p.row.Record, GoneCorrected, "record %d, which it corrects, is gone; it is given back as a record of its own", p.row.CorrectsNo)
		if err := w.take(ctx, p); err != nil {
			return err
		}
	}
	if len(w.batch) == 0 {
		return nil
	}
	return w.flush(ctx)
}

// name names every record of which there is a trace and that did not come back, and
// the stretches of numbers without any.
func (w *putter) name(ctx context.Context) error {
	if err := w.traces(ctx); err != nil {
		return err
	}
	var numbers []int64
	for n, loss := range w.lost {
		if w.had[n] {
			continue
		}
		w.did.Lost = append(w.did.Lost, *loss)
	}
	slices.SortFunc(w.did.Lost, func(a, b Loss) int { return int(a.Record - b.Record) })
	slices.SortStableFunc(w.did.Hurt, func(a, b Loss) int { return int(a.Record - b.Record) })
	if w.did.Whole() {
		return nil
	}
	for n := range w.had {
		numbers = append(numbers, n)
	}
	for _, l := range w.did.Lost {
		numbers = append(numbers, l.Record)
	}
	slices.Sort(numbers)
	before := int64(0)
	for _, n := range numbers {
		if n > before+1 {
			w.did.Free = append(w.did.Free, [2]int64{before + 1, n - 1})
		}
		before = n
	}
	return nil
}

// traces adds the records of which only readings or rows of an index are left.
func (w *putter) traces(ctx context.Context) error {
	for _, shape := range []int{identityRow, readingsRow, serialRow} { // the first tells which came back under another number
		for i, p := range w.rows[shape] {
			if i%4096 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			old := w.lost[p.number]
			if p.number <= 0 || shape != readingsRow && !p.live || w.had[p.number] || old != nil && (old.Serial != "" || shape != serialRow) {
				continue
			}
			loss, err := w.trace(shape, p)
			switch {
			case err != nil:
				return err
			case loss != nil && old != nil:
				old.Serial = loss.Serial
			case loss != nil:
				w.lost[p.number] = loss
			}
		}
	}
	return nil
}

// trace is what a row says of a lost record; nil where it is of none.
func (w *putter) trace(shape int, p place) (*Loss, error) {
	loss := &Loss{archive.Fault{Record: p.number, Fault: "only its number is left"}, GoneRecord}
	if shape == serialRow {
		line, err := w.serialLine(p)
		if err != nil || line.added == 0 || w.dated[line.stamp] {
			return nil, err
		}
		loss.Serial = line.serial
		return loss, nil
	}
	v, err := w.values(p.Ref)
	switch {
	case err != nil:
		return nil, err
	case shape == readingsRow:
		if sound, err := w.soundAt(p.Ref); err != nil || bytes.HasPrefix(sound, []byte("RIFF")) {
			return nil, err
		}
		if len(v) == 2 && w.read[book.Digest(v[1].Bytes)] {
			return nil, nil // of a record that is back under its own number
		}
		loss.Fault.Fault = "only its readings are left"
	case len(v) != len(shapes()[shape].Columns):
		return nil, nil
	case len(v[0].Bytes) != len(book.Sum{}):
		return nil, nil
	default: // it may be of a neck file
		sum := book.Sum(v[0].Bytes)
		if _, neck := w.Book.necks[sum]; neck || w.played[sum] || w.necks[p.number] && len(w.rows[identityRow].of(p.number)) < 2 {
			return nil, nil
		}
		if as, came := w.kept[sum]; came {
			w.had[p.number] = true
			if as != 0 {
				w.did.Hurt = append(w.did.Hurt, Loss{archive.Fault{Record: as, Fault: "its number is gone"}, GoneNumber})
			}
			return nil, nil
		}
	}
	return loss, nil
}

// ErrNothing is a file in which no record could be found.
var ErrNothing = errors.New("no record of a book was found in it")
