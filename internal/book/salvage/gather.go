package salvage

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/book/pages"
)

// place is a row of the file and its number, 0 where that is not known.
type place struct {
	number int64
	live   bool
	behind bool
	pages.Ref
}

// places are sorted by number; of one number the best copy comes first.
type places []place

// of are the rows with a number.
func (p places) of(number int64) places {
	from, _ := slices.BinarySearchFunc(p, number, func(x place, n int64) int { return cmp.Compare(x.number, n) })
	to := from
	for to < len(p) && p[to].number == number {
		to++
	}
	return p[from:to]
}

// Book is what was found in a damaged book's file.
type Book struct {
	file     *pages.File
	rows     [shapeCount]places
	necks    map[book.Sum][]byte    // neck files, by their digests
	neckRows map[int64][]book.Sum   // digests that neck files' rows had or have
	spare    map[book.Sum]book.File // files that the maker still has
	readings map[book.Sum]place     // every readings row by its digest; nil until it is needed
}

// Find looks through a file for a book's rows. spare are neck files and readings from
// elsewhere, to take the place of lost ones that have the same bytes. An error is the
// disk's, or ctx's.
func Find(ctx context.Context, file *pages.File, spare []book.File) (*Book, error) {
	b := &Book{file: file, spare: map[book.Sum]book.File{}}
	for _, f := range spare {
		b.spare[book.Digest(f.Bytes)] = f
	}
	type ranked struct {
		place
		rank int
	}
	var found [shapeCount][]ranked
	err := file.Rows(ctx, shapes(), func(x pages.Found) error {
		r := ranked{place: place{x.Number, x.Live, x.Behind, x.Ref}}
		if !x.Live {
			r.rank++
		}
		if x.Replaced {
			r.rank += 2
		}
		found[x.Shape] = append(found[x.Shape], r)
		return nil
	})
	if err != nil {
		return nil, err
	}
	for shape, all := range found {
		if shapes()[shape].Index {
			for i := range all {
				if all[i].number, err = b.numberOf(all[i].Ref); err != nil {
					return nil, err
				}
			}
		}
		slices.SortStableFunc(all, func(x, y ranked) int {
			return cmp.Or(cmp.Compare(x.number, y.number), cmp.Compare(x.rank, y.rank))
		})
		for _, r := range all {
			b.rows[shape] = append(b.rows[shape], r.place)
		}
		found[shape] = nil
	}
	return b, b.readNecks()
}

// Any reports whether a row was found that looks like a record's, a note's or a
// play-through's.
func (b *Book) Any() bool {
	return len(b.rows[recordRow])+len(b.rows[noteRow])+len(b.rows[heardRow]) > 0
}

// numberOf is the number in an index's row: its last column.
func (b *Book) numberOf(r pages.Ref) (int64, error) {
	v, err := b.values(r)
	if err != nil || len(v) == 0 {
		return 0, err
	}
	return v[len(v)-1].Int, nil
}

// values reads a row; of a damaged one what comes before the damage.
func (b *Book) values(r pages.Ref) ([]pages.Value, error) {
	v, err := b.file.Values(r)
	if errors.Is(err, pages.ErrRow) {
		err = nil
	}
	return v, err
}

// readNecks reads every neck file: a book has few.
func (b *Book) readNecks() error {
	b.necks, b.neckRows = map[book.Sum][]byte{}, map[int64][]book.Sum{}
	named := func(number int64, digest []byte) {
		if len(digest) == len(book.Sum{}) {
			b.neckRows[number] = append(b.neckRows[number], book.Sum(digest))
		}
	}
	for _, p := range b.rows[neckRow] {
		for _, ref := range []pages.Ref{p.Ref, p.Below()} {
			v, err := b.values(ref)
			if err != nil {
				return err
			}
			if len(v) < 3 {
				continue
			}
			named(p.number, v[1].Bytes)
			if v[2].Kind == pages.Blob {
				b.necks[book.Digest(v[2].Bytes)] = v[2].Bytes
			}
		}
	}
	for digest, f := range b.spare {
		if _, here := b.necks[digest]; !here {
			b.necks[digest] = f.Bytes
		}
	}
	return nil
}
