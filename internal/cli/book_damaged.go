package cli

import (
	"context"
	"errors"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/archive"
	"ringtrue/internal/book/postgres"
	"ringtrue/internal/book/salvage"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/text"
)

// isDamage reports whether a book could not be opened or read for what may be damage:
// with its beginning spoilt, a book looks like another program's file, or an empty one.
func isDamage(err error) bool {
	for _, e := range []error{book.ErrDamaged, book.ErrNotABook, book.ErrNoBook} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

// rowsStore takes what a salvage gives back; the rest of a store it has not.
type rowsStore struct {
	book.Store
	take rowsTaker
}

// rowsTaker is handed what is undamaged, one by one.
type rowsTaker struct {
	record func(r *book.Record, f book.Files) error
	note   func(n *book.Said) error
	heard  func(h *book.Heard) error
}

// nowhere takes rows that are only counted.
func nowhere() rowsTaker {
	return rowsTaker{
		record: func(*book.Record, book.Files) error { return nil },
		note:   func(*book.Said) error { return nil },
		heard:  func(*book.Heard) error { return nil },
	}
}

// AddNotes takes notes under the numbers that they have.
func (s rowsStore) AddNotes(_ context.Context, notes []book.Said) (receipts []book.NoteReceipt, err error) {
	for i := range notes {
		n := &notes[i]
		if err := s.take.note(n); err != nil {
			return nil, err
		}
		receipts = append(receipts, book.NoteReceipt{Number: n.Number, New: true, Added: n.Added})
	}
	return receipts, nil
}

// AddHeard takes play-throughs, likewise.
func (s rowsStore) AddHeard(_ context.Context, heard []book.Heard) (receipts []book.HeardReceipt, err error) {
	for i := range heard {
		h := &heard[i]
		if err := s.take.heard(h); err != nil {
			return nil, err
		}
		receipts = append(receipts, book.HeardReceipt{Number: h.Number, New: true, Added: h.Added})
	}
	return receipts, nil
}

// Import takes records under the numbers that they have.
func (s rowsStore) Import(_ context.Context, entries []*book.Entry) (receipts []book.Receipt, err error) {
	for _, e := range entries {
		r := book.RecordOf(e, e.Added)
		r.Number = e.Number
		if err := s.take.record(&r, e.Files); err != nil {
			return nil, err
		}
		receipts = append(receipts, book.Receipt{Number: e.Number, New: true, Added: e.Added})
	}
	return receipts, nil
}

// rows goes past a book's own database to the rows of its file; nil where it is none,
// or has no row of a book. No store may have the file open.
func (s *streams) rows(ctx context.Context, where string, take rowsTaker) (*salvage.Salvaged, error) {
	place, _, err := bookPlace(where)
	if err != nil || postgres.IsAddress(place) {
		return nil, err
	}
	file, closeFile, err := openPages(place)
	if err != nil {
		return nil, nil // what the store said of it stands
	}
	defer closeFile()
	found, err := salvage.Find(ctx, file, nil)
	if err != nil || !found.Any() {
		return nil, err
	}
	tell, end := s.progress("reading past the damage")
	defer end()
	return found.Put(ctx, rowsStore{take: take}, answer.Judge(Version()), tell)
}

// exportRows goes on with an export where the database gave up or may have left
// records out. was is what the database's own way wrote, err why it ended.
func (s *streams) exportRows(ctx context.Context, where string, write func(archive.Folder) (bool, error), beside func(archive.NoteFile) (bool, error), was *archive.Exported, unsound []archive.Fault, why error) (*archive.Exported, error) {
	a := &archive.Exported{Bad: unsound, Refused: []archive.Fault{}}
	if why != nil {
		a.Bad = append(a.Bad, archive.Fault{Fault: fileerr.OneLine(why)})
	}
	if was != nil {
		a.New, a.Notes.New, a.Heard.New = was.New, was.Notes.New, was.Heard.New
	}
	found, err := s.rows(ctx, where, rowsTaker{func(r *book.Record, f book.Files) error {
		x, err := archive.FolderOf(r, f)
		if err != nil {
			return err
		}
		isNew, err := write(x)
		switch {
		case errors.Is(err, archive.ErrInTheWay):
			a.Refused = append(a.Refused, archive.Fault{Record: r.Number, Serial: r.Serial, Stage: r.Stage, Fault: err.Error()})
			return nil
		case isNew:
			a.New++
		}
		a.Records++
		return err
	}, func(n *book.Said) error {
		refused, err := a.Notes.ExportNote(n, beside)
		a.Refused = append(a.Refused, refused...)
		return err
	}, func(h *book.Heard) error {
		refused, err := a.Heard.ExportHeard(h, h.Sound, beside)
		a.Refused = append(a.Refused, refused...)
		return err
	}})
	switch {
	case err != nil:
		return nil, bookError(err)
	case found == nil && why != nil:
		return nil, why
	case found == nil || was != nil && (found.Records < was.Records || found.Notes < was.Notes.Notes || found.Heard < was.Heard.Heard):
		was.Bad = append(was.Bad, unsound...)
		return was, nil
	}
	if was != nil { // in its own words, but for what has come after all
		for _, f := range was.Bad {
			if slices.ContainsFunc(allOf(found), func(l archive.Fault) bool { return sameLoss(l, f) }) {
				a.Bad = append(a.Bad, f)
			}
		}
	}
	a.Bad = append(a.Bad, lossesOf(found, a.Bad)...)
	return a, nil
}

// lossesOf are a salvage's losses that are not named yet.
func lossesOf(found *salvage.Salvaged, named []archive.Fault) (faults []archive.Fault) {
	for _, l := range allOf(found) {
		if !slices.ContainsFunc(named, func(f archive.Fault) bool { return sameLoss(l, f) }) {
			faults = append(faults, l)
		}
	}
	if found.Cut {
		faults = append(faults, archive.Fault{Fault: text.SalvageFailed(text.Unsaved{Cut: true})})
	}
	return faults
}

// allOf are all losses of a salvage.
func allOf(found *salvage.Salvaged) []archive.Fault {
	return slices.Concat(faultsOf(found.Lost), faultsOf(found.Hurt), found.LostNotes, found.HurtHeard, found.LostHeard)
}

// sameLoss reports whether two faults are of one record, note or play-through, or are
// the same.
func sameLoss(a, b archive.Fault) bool {
	if a.Record != 0 || a.Serial == "" {
		return a == b || a.Record != 0 && a.Record == b.Record
	}
	what, _, _ := strings.Cut(a.Fault, ": ")
	return a.Serial == b.Serial && strings.HasPrefix(b.Fault, what+": ")
}

// checkRows adds to a check the records that the database did not come to.
func (s *streams) checkRows(ctx context.Context, where string, a *archive.Checked, why error) (*archive.Checked, error) {
	found, err := s.rows(ctx, where, nowhere())
	switch {
	case err != nil:
		return nil, bookError(err)
	case found == nil:
		return a, why
	case a == nil:
		a = &archive.Checked{Differ: []archive.Fault{}, Unread: []archive.Fault{}, Bad: []archive.Fault{}}
	}
	if why != nil {
		a.Bad = append(a.Bad, archive.Fault{Fault: fileerr.OneLine(why)})
	}
	a.OK = false
	a.Records = max(a.Records, found.Records+len(found.Lost))
	a.Notes.Notes = max(a.Notes.Notes, found.Notes+len(found.LostNotes))
	a.Heard.Heard = max(a.Heard.Heard, found.Heard+len(found.LostHeard))
	a.Bad = append(a.Bad, lossesOf(found, a.Bad)...)
	return a, nil
}

// rowsError is the failure of a book whose database gave up, with its records that are
// lost.
func (s *streams) rowsError(ctx context.Context, where string, why error) error {
	found, err := s.rows(ctx, where, nowhere())
	switch {
	case err != nil:
		return bookError(err)
	case found == nil:
		return why
	}
	return s.badError(where, append([]archive.Fault{{Fault: fileerr.OneLine(why)}}, lossesOf(found, nil)...))
}
