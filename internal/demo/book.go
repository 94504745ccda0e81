package demo

import (
	"context"
	"fmt"
	"time"

	"ringtrue/internal/book"
)

// Request asks for an invented workshop's necks.
type Request struct {
	Necks int // of the two years
	Seed  uint64
	Week  time.Time // the shop in mid-week on this day instead; zero: the two years
}

// Filled, as JSON has it, says what went into the book, and what was planted there.
type Filled struct {
	Necks   int      `json:"necks"`
	Seed    uint64   `json:"seed"`
	Records int      `json:"records"`
	New     int      `json:"new"` // 0: the same demo was there already
	Notes   int      `json:"notes,omitempty"`
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
	notes   []book.Said
}

// New invents the necks. The same necks and seed give the same files.
// book.ErrEntry: a number of necks that is none.
func New(r Request) (*Demo, error) {
	if !r.Week.IsZero() {
		r.Necks = weekNecks
		entries, notes := Week(r.Week, r.Seed)
		return &Demo{r, entries, notes}, nil
	}
	if r.Necks < 1 || r.Necks > maxNecks {
		return nil, fmt.Errorf("%w: %d necks; use 1 to %d", book.ErrEntry, r.Necks, maxNecks)
	}
	return &Demo{r, Visits(r.Necks, r.Seed), nil}, nil
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
	planted := Planted()
	if !d.Week.IsZero() {
		planted = PlantedWeek()
	}
	first, last := d.entries[0], d.entries[len(d.entries)-1] // entered on the day they were read
	a := &Filled{Necks: d.Necks, Seed: d.Seed, Records: len(d.entries), Notes: len(d.notes), Planted: planted,
		From: first.Added.Format(time.DateOnly), To: last.Added.Format(time.DateOnly)}
	err = book.PutAll(ctx, s, missing, adding, func(x book.Added) error {
		if x.New {
			a.New++
		}
		return nil
	})
	if err == nil {
		err = d.say(ctx, s)
	}
	return a, err
}

// say adds the notes, once: those of today are of another minute at the next call.
func (d *Demo) say(ctx context.Context, s book.Store) error {
	if last, err := s.LastNote(ctx); err != nil || last > 0 || len(d.notes) == 0 {
		return err
	}
	_, err := s.AddNotes(ctx, d.notes)
	return err
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
		return nil, fmt.Errorf("%s: %w: it has %d records that aren't from this demo; use another book (--book FILE)", s.Where(), book.ErrEntry, len(held)-found)
	}
	return missing, nil
}
