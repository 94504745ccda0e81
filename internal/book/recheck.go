package book

import (
	"context"
	"time"
)

// Recheck is what a store remembers of checks, so that the next one need not do
// again what stands. A maker is Derived.Maker of who recalculates.
type Recheck interface {
	// Recalculated are the records of which a maker got the same result as the
	// book has. What is damaged of this memory counts as not recalculated.
	Recalculated(ctx context.Context, maker string) (*NumberSet, error)

	// Remember adds to Recalculated. ErrReadOnly.
	Remember(ctx context.Context, maker string, same *NumberSet) error

	// Forget empties Recalculated. ErrReadOnly.
	Forget(ctx context.Context, maker string) error

	// NoteWhole remembers when a check found every byte of the book as it was kept,
	// and with results every result to come out the same. ErrReadOnly.
	NoteWhole(ctx context.Context, at time.Time, results bool) error

	// LastWhole says when that was last; zero: never.
	LastWhole(ctx context.Context) (bytes, results time.Time, err error)
}

// Maker is what the judge's results are kept under.
func (j Judge) Maker() string { return (&Derived{Program: j.Program, Revision: j.Revision}).Maker() }
