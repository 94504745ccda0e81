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
// a record, a note or a play-through.
type stamp struct{ added, number int64 }

// beside is a row that a book has beside its records and that a seal of its own proves.
type beside struct {
	stamp
	serial string
	seal   book.Sum
	ref    pages.Ref
	fault  error // what is wrong with it
}

// kind is a table of such rows.
type kind struct {
	name  string
	shape int
	read  func(number int64, v []pages.Value) beside
	lines func(proved []beside) ([]beside, error) // of the indexes, in which the number is and that may be all that is left
	put   func(context.Context, []beside) error
	batch int // how many are put at once
	lost  *[]archive.Fault
}

// putBeside puts every row of a kind that its seal proves, in the order in which they
// were added, and names the others of which a row or a line of an index is left.
func (w *putter) putBeside(ctx context.Context, k kind) error {
	proved, spoilt, err := w.proveBeside(k)
	if err != nil {
		return err
	}
	numbered, at := map[int64]bool{}, map[int64]int{}
	for i, x := range proved {
		numbered[x.number], at[x.added] = true, i
		w.dated[x.stamp] = true
	}
	lines, err := k.lines(proved)
	if err != nil {
		return err
	}
	for _, x := range lines {
		w.dated[x.stamp] = true
		i, here := at[x.added]
		if here && !numbered[x.number] && (x.serial == "" || x.serial == proved[i].serial) {
			proved[i].number, numbered[x.number] = x.number, true
		}
		if _, known := spoilt[x.number]; !known && !numbered[x.number] {
			x.fault = fmt.Errorf("%w: only its time, %s, is left", book.ErrDamaged, time.UnixMicro(x.added).UTC().Format(time.RFC3339))
			spoilt[x.number] = x
		}
	}
	if err := w.whose(spoilt); err != nil {
		return err
	}
	for _, number := range slices.Sorted(maps.Keys(spoilt)) {
		if x := spoilt[number]; !numbered[number] {
			*k.lost = append(*k.lost, archive.BesideFault(k.name, number, x.serial, x.fault))
			w.dated[x.stamp] = true
		}
	}
	slices.SortStableFunc(proved, func(a, b beside) int { // first those with a number, so that no other takes it
		return cmp.Or(cmp.Compare(min(1, b.number), min(1, a.number)), cmp.Compare(a.added, b.added))
	})
	for some := range slices.Chunk(proved, k.batch) {
		if err := k.put(ctx, some); err != nil {
			return err
		}
	}
	return nil
}

// proveBeside gives the rows of a kind that come out by their seals, and by their
// numbers the live ones that do not.
func (w *putter) proveBeside(k kind) (proved []beside, spoilt map[int64]beside, err error) {
	spoilt = map[int64]beside{}
	at := map[book.Sum]int{}
	for _, p := range w.rows[k.shape] {
		for _, ref := range []pages.Ref{p.Ref, p.Below()} {
			v, err := w.values(ref)
			if err != nil {
				return nil, nil, err
			}
			if len(v) != len(shapes()[k.shape].Columns) {
				continue
			}
			x := k.read(max(0, p.number), v)
			x.ref = ref
			i, twice := at[x.seal]
			switch {
			case x.fault != nil:
				if p.live && p.number > 0 {
					spoilt[p.number] = x
				}
			case !twice:
				at[x.seal] = len(proved)
				proved = append(proved, x)
			case proved[i].number == 0: // the other copy has lost its number
				proved[i].number = x.number
			}
		}
	}
	return proved, spoilt, nil
}

// whose finds in the index of serials whose the rows were of which only a time is left.
func (w *putter) whose(spoilt map[int64]beside) error {
	for _, p := range w.rows[serialRow] {
		x, lost := spoilt[p.number]
		if !lost || x.serial != "" {
			continue
		}
		line, err := w.serialLine(p)
		if err != nil {
			return err
		}
		if line.added == x.added {
			x.serial = line.serial
			spoilt[p.number] = x
		}
	}
	return nil
}

// leastMicros is a time in 2001, in microseconds: those of an index are later.
const leastMicros = 1_000_000_000_000_000

// serialLine reads a line of an index of serials; its time is 0 where it is none.
func (w *putter) serialLine(p place) (x beside, err error) {
	v, err := w.values(p.Ref)
	if err == nil && len(v) == len(shapes()[serialRow].Columns) && v[1].Int >= leastMicros {
		x.serial, x.stamp = string(v[0].Bytes), stamp{v[1].Int, p.number}
	}
	return x, err
}

// notes are what was said of necks.
func (w *putter) notes() kind {
	return kind{
		name: "note", shape: noteRow, lost: &w.did.LostNotes, batch: putBatch,
		read: func(number int64, v []pages.Value) beside {
			n := noteOf(number, v)
			return beside{stamp: stamp{n.Added.UnixMicro(), number}, serial: n.Serial, seal: n.Checksum, fault: cmp.Or(n.Intact(), n.Check())}
		},
		lines: func([]beside) (lines []beside, err error) {
			for _, p := range w.rows[noteTimeRow] {
				v, err := w.values(p.Ref)
				if err != nil {
					return nil, err
				}
				if p.live && p.number > 0 && len(v) == 2 && v[0].Int >= leastMicros {
					lines = append(lines, beside{stamp: stamp{v[0].Int, p.number}})
				}
			}
			return lines, nil
		},
		put: func(ctx context.Context, some []beside) error {
			var notes []book.Said
			for _, x := range some {
				v, err := w.values(x.ref)
				if err != nil {
					return err
				}
				notes = append(notes, *noteOf(x.number, v))
			}
			_, err := w.store.AddNotes(ctx, notes)
			w.did.Notes += len(some)
			return err
		},
	}
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
