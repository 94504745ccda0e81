package book

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/num"
)

// Added says which record was made, as JSON has it.
type Added struct {
	Serial   string  `json:"serial"`
	Record   int64   `json:"record"`
	Stage    string  `json:"stage"`
	New      bool    `json:"new"` // false: the same was there already
	Verdict  string  `json:"verdict"`
	ZoneMM   num.Opt `json:"zone_mm"`
	Corrects int64   `json:"corrects,omitempty"`

	Receipt Receipt `json:"-"`
}

// AddedAs says which record an entry became.
func AddedAs(e *Entry, r Receipt, corrects int64) Added {
	return Added{e.Serial, r.Number, e.Stage, r.New, e.Derived.Verdict, e.Derived.ZoneMM, corrects, r}
}

// minBehind is the least that a clock must stand behind to be worth a word:
// records of one moment are set apart by microseconds, and a clock that is put
// right over the net jumps by less.
const minBehind = time.Second

// Late are those that had to be dated later than the machine's clock.
func Late(added []Added) []Added {
	return slices.DeleteFunc(slices.Clone(added), func(a Added) bool { return a.Receipt.Behind < minBehind })
}

// Prepare checks an entry that is to be added, takes the folders off its files'
// names and judges them; no book is needed yet. corrects is the number of the
// record that it corrects, 0 for none. A fault is the files' (fileerr.List) or
// the entry's (ErrEntry).
func (j Judge) Prepare(ctx context.Context, e *Entry, corrects int64) (err error) {
	given := e.Files // what is wrong is named by its whole path
	e.Files.Neck.Name, e.Files.Readings.Name = baseName(e.Files.Neck.Name), baseName(e.Files.Readings.Name)
	if err := e.checkTyped(); err != nil {
		return err
	}
	if err := e.Check(); err != nil {
		return err
	}
	switch {
	case corrects != 0 && (e.By == "" || e.Why == ""):
		return errUnsigned
	case corrects == 0 && e.Why != "":
		return fmt.Errorf("why: %w: it belongs to a correction; add --corrects RECORD", ErrEntry)
	case corrects < 0:
		return fmt.Errorf("correction: %w: %d is not a record number", ErrEntry, corrects)
	}
	if _, err := given.parse(true); err != nil {
		return err
	}
	e.Derived, err = j.Derive(ctx, given)
	return err
}

// baseName is a path without its folders, whichever way they are written.
func baseName(path string) string { return path[strings.LastIndexAny(path, `/\`)+1:] }

// PrepareAll prepares entries that correct nothing on several processors. Those
// whose files are wrong are left out and named in faults; the rest keep their
// order.
func (j Judge) PrepareAll(ctx context.Context, entries []*Entry, p Progress) (good []*Entry, faults fileerr.List, err error) {
	err = InOrder(ctx, All(entries), func(ctx context.Context, _ int, e *Entry) (string, error) {
		name := e.Files.Readings.Name
		return name, j.Prepare(ctx, e, 0)
	}, func(i int, name string, err error) error {
		var list fileerr.List
		switch {
		case err == nil:
			good = append(good, entries[i])
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.As(err, &list):
			faults = append(faults, list...)
		default:
			faults.Add(name, 0, "", "%s", err)
		}
		p.Tell(i+1, len(entries))
		return nil
	})
	return good, faults, err
}

// Put adds an entry, safe on disk when it returns. corrects is the number of the
// record that it corrects, 0 for none.
func Put(ctx context.Context, s Store, e *Entry, corrects int64) (Added, error) {
	if corrects != 0 {
		old, err := s.Record(ctx, corrects)
		if err != nil {
			return Added{}, err
		}
		e.Corrects = &old.Identity
	}
	r, err := s.Add(ctx, e)
	if err != nil {
		return Added{}, err
	}
	return AddedAs(e, r, corrects), nil
}

// addBatch is how many records of a folder are made safe at once: few enough
// for their lines to come soon, enough to spare the disk.
const addBatch = 50

// PutAll adds entries a batch at a time; tell is told of each once it is safe on
// disk.
func PutAll(ctx context.Context, s Store, entries []*Entry, p Progress, tell func(Added) error) error {
	done := 0
	for batch := range slices.Chunk(entries, addBatch) {
		receipts, err := s.Import(ctx, batch)
		if err != nil {
			return err
		}
		for k, r := range receipts {
			if err := tell(AddedAs(batch[k], r, 0)); err != nil {
				return err
			}
		}
		done += len(batch)
		p.Tell(done, len(entries))
	}
	return nil
}
