package salvage

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/pages"
)

// stamp is when a row was added, in microseconds, and its number: what an index has of
// a note.
type stamp struct{ added, number int64 }

func stampOf(n *book.Said) stamp { return stamp{n.Added.UnixMicro(), n.Number} }

// notes puts every note that its seal proves, in the order in which they were said,
// and names the others of which a row or a line of an index is left.
func (w *putter) notes(ctx context.Context) error {
	proved, spoilt, err := w.proveNotes()
	if err != nil {
		return err
	}
	numbered, at := map[int64]bool{}, map[int64]int{}
	for i := range proved {
		numbered[proved[i].Number], at[proved[i].Added.UnixMicro()] = true, i
		w.spoken[stampOf(&proved[i])] = true
	}
	if err := w.noteTraces(spoilt, proved, numbered, at); err != nil {
		return err
	}
	for _, number := range slices.Sorted(maps.Keys(spoilt)) {
		if n := spoilt[number]; !numbered[number] {
			w.did.LostNotes = append(w.did.LostNotes, archive.NoteFault(n, lostNote(n)))
			w.spoken[stampOf(n)] = true
		}
	}
	slices.SortStableFunc(proved, func(a, b book.Said) int { // first those with a number, so that no other takes it
		return cmp.Or(cmp.Compare(min(1, b.Number), min(1, a.Number)), a.Added.Compare(b.Added))
	})
	for some := range slices.Chunk(proved, putBatch) {
		if _, err := w.store.AddNotes(ctx, some); err != nil {
			return err
		}
		w.did.Notes += len(some)
	}
	return nil
}

// lostNote says what is left of a lost note.
func lostNote(n *book.Said) error {
	if n.Text == "" {
		return fmt.Errorf("%w: only its time, %s, is left", book.ErrDamaged, n.Added.Format(time.RFC3339))
	}
	if err := n.Intact(); err != nil {
		return err
	}
	return n.Check()
}

// proveNotes gives the notes that come out by their seals, and by their numbers those
// of the live rows that do not.
func (w *putter) proveNotes() (proved []book.Said, spoilt map[int64]*book.Said, err error) {
	spoilt = map[int64]*book.Said{}
	at := map[book.Sum]int{}
	for _, p := range w.rows[noteRow] {
		for _, ref := range []pages.Ref{p.Ref, p.Below()} {
			v, err := w.values(ref)
			if err != nil {
				return nil, nil, err
			}
			if len(v) != len(shapes()[noteRow].Columns) {
				continue
			}
			n := noteOf(p.number, v)
			i, twice := at[n.Checksum]
			switch {
			case n.Intact() != nil || n.Check() != nil:
				if p.live && p.number > 0 {
					spoilt[p.number] = n
				}
			case !twice:
				at[n.Checksum] = len(proved)
				proved = append(proved, *n)
			case proved[i].Number <= 0: // the other copy has lost its number
				proved[i].Number = n.Number
			}
		}
	}
	return proved, spoilt, nil
}

// noteOf takes a note's row apart.
func noteOf(number int64, v []pages.Value) *book.Said {
	n := &book.Said{
		Number: number, Serial: string(v[1].Bytes), Text: string(v[2].Bytes), By: string(v[3].Bytes),
		At: time.UnixMicro(v[4].Int).UTC(), Added: time.UnixMicro(v[5].Int).UTC(),
	}
	copy(n.Checksum[:], v[6].Bytes)
	return n
}

// noteTraces goes through the indexes of notes. A proved note takes its number from
// there: that is in no seal. One that is not proved is added to the spoilt ones.
func (w *putter) noteTraces(spoilt map[int64]*book.Said, proved []book.Said, numbered map[int64]bool, at map[int64]int) error {
	for _, p := range w.rows[noteTimeRow] {
		v, err := w.values(p.Ref)
		if err != nil {
			return err
		}
		if !p.live || p.number <= 0 || len(v) != 2 || v[0].Int < leastMicros {
			continue
		}
		w.spoken[stamp{v[0].Int, p.number}] = true
		if i, here := at[v[0].Int]; here && !numbered[p.number] {
			proved[i].Number, numbered[p.number] = p.number, true
		}
		if !numbered[p.number] && spoilt[p.number] == nil {
			spoilt[p.number] = &book.Said{Number: p.number, Added: time.UnixMicro(v[0].Int).UTC()}
		}
	}
	for _, p := range w.rows[serialRow] { // whose it was
		n := spoilt[p.number]
		if n == nil || n.Text != "" {
			continue
		}
		v, err := w.values(p.Ref)
		if err != nil {
			return err
		}
		if len(v) == 3 && v[1].Int == n.Added.UnixMicro() {
			n.Serial = string(v[0].Bytes)
		}
	}
	return nil
}
