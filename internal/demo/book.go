package demo

import (
	"context"
	"fmt"
	"time"

	"ringtrue/internal/book"
)

// Request asks for an invented workshop's necks.
type Request struct {
	Necks int
	Seed  uint64
}

// Filled, as JSON has it, says what went into the book, and what was planted there.
type Filled struct {
	Necks   int      `json:"necks"`
	Seed    uint64   `json:"seed"`
	Records int      `json:"records"`
	New     int      `json:"new"` // 0: the same demo was there already
	From    string   `json:"from"`
	To      string   `json:"to"`
	Planted []string `json:"planted"`
}

// maxNecks keeps a slip of the pen from filling a disk.
const maxNecks = 20000

// Demo is a demo whose files are made but not judged.
type Demo struct {
	Request
	entries []*book.Entry // without what is derived
}

// New invents the necks. The same necks and seed give the same files.
// book.ErrEntry: a number of necks that is none.
func New(r Request) (*Demo, error) {
	if r.Necks < 1 || r.Necks > maxNecks {
		return nil, fmt.Errorf("%w: %d necks; write 1 to %d", book.ErrEntry, r.Necks, maxNecks)
	}
	return &Demo{r, Visits(r.Necks, r.Seed)}, nil
}

// Fill judges the demo's files on several processors and puts them into a book
// that is empty or holds part of the same demo. book.ErrEntry: it holds anything
// else.
func (d *Demo) Fill(ctx context.Context, s book.Store, judge book.Judge, judging, adding book.Progress) (*Filled, error) {
	missing, err := d.missing(ctx, s)
	if err != nil {
		return nil, err
	}
	err = book.InOrder(ctx, book.All(missing), func(ctx context.Context, _ int, e *book.Entry) (book.Derived, error) {
		return judge.Derive(ctx, e.Files)
	}, func(i int, v book.Derived, err error) error {
		if err != nil {
			return fmt.Errorf("%s: %w", missing[i].Files.Readings.Name, err)
		}
		missing[i].Derived = v
		judging.Tell(i+1, len(missing))
		return nil
	})
	if err != nil {
		return nil, err
	}
	first, last := d.entries[0], d.entries[len(d.entries)-1] // entered on the day they were read
	a := &Filled{Necks: d.Necks, Seed: d.Seed, Records: len(d.entries), Planted: Planted(),
		From: first.Added.Format(time.DateOnly), To: last.Added.Format(time.DateOnly)}
	err = book.PutAll(ctx, s, missing, adding, func(x book.Added) error {
		if x.New {
			a.New++
		}
		return nil
	})
	return a, err
}

// missing are the demo's entries that the book does not hold. Anything else in
// the book is refused: invented necks have no place among real ones.
func (d *Demo) missing(ctx context.Context, s book.Store) ([]*book.Entry, error) {
	held := map[book.Identity]bool{}
	serials, err := s.Serials(ctx)
	if err != nil {
		return nil, err
	}
	for _, serial := range serials {
		records, err := s.Records(ctx, serial)
		if err != nil {
			return nil, err
		}
		for i := range records {
			held[records[i].Identity] = true
		}
	}
	var missing []*book.Entry
	found := 0
	for _, e := range d.entries {
		if held[e.Identity()] {
			found++
			continue
		}
		missing = append(missing, e)
	}
	if found < len(held) {
		return nil, fmt.Errorf("%s: %w: it holds %d records that are not of this demo; give the demo a book of its own (--book FILE)", s.Where(), book.ErrEntry, len(held)-found)
	}
	return missing, nil
}
