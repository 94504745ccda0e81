package answer

import (
	"context"
	"errors"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// addBatch is how many records of a folder are made safe at once: few enough
// for their lines to come soon, enough to spare the disk.
const addBatch = 50

// BookEntries judges many records' files on several processors. Files that are
// wrong are left out and named in faults; the rest keep their order.
func BookEntries(ctx context.Context, requests []BookAddRequest, p Progress) (entries []*book.Entry, faults fileerr.List, err error) {
	err = inParallel(ctx, requests, func(r BookAddRequest) (*book.Entry, error) {
		return BookEntry(ctx, r)
	}, func(i int, e *book.Entry, err error) error {
		var list fileerr.List
		switch {
		case err == nil:
			entries = append(entries, e)
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.As(err, &list):
			faults = append(faults, list...)
		default:
			faults.Add(requests[i].Files.Readings.Name, 0, "", "%s", err)
		}
		p.tell(i+1, len(requests))
		return nil
	})
	return entries, faults, err
}

// BookPutAll adds entries a batch at a time; added is told of each once it is
// safe on disk.
func BookPutAll(ctx context.Context, s book.Store, entries []*book.Entry, p Progress, tell func(BookAdded) error) error {
	for i := 0; i < len(entries); {
		batch := entries[i:min(i+addBatch, len(entries))]
		receipts, err := s.Import(ctx, batch)
		if err != nil {
			return err
		}
		for k, r := range receipts {
			if err := tell(added(batch[k], r, 0)); err != nil {
				return err
			}
		}
		i += len(batch)
		p.tell(i, len(entries))
	}
	return nil
}
