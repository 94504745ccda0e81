package answer

import (
	"context"
	"fmt"
	"strings"
	"time"

	"ringtrue/internal/book"
)

// BookAddRequest is one record to be added. The files' names are as the maker
// wrote them; their folders are not kept.
type BookAddRequest struct {
	Serial, Stage string
	Note          string
	By            string // who enters it
	Corrects      int64  // the number of the record that this one corrects; 0: none
	Why           string // of a correction
	Tags          book.Tags
	Files         book.Files
	Program       string // the version of this program
}

// BookAdded says which record was made, as JSON has it.
type BookAdded struct {
	Serial   string   `json:"serial"`
	Record   int64    `json:"record"`
	Stage    string   `json:"stage"`
	New      bool     `json:"new"` // false: the same was there already
	Verdict  string   `json:"verdict"`
	ZoneMM   *float64 `json:"zone_mm"`
	Corrects int64    `json:"corrects,omitempty"`

	Added  time.Time     `json:"-"` // as recorded
	Behind time.Duration `json:"-"` // book.Receipt's
}

// BookEntry judges the files and makes an entry of them; no book is needed yet.
// A fault is the files' (fileerr.List) or the request's (book.ErrEntry).
func BookEntry(ctx context.Context, r BookAddRequest) (*book.Entry, error) {
	e := &book.Entry{Serial: r.Serial, Stage: r.Stage, Note: r.Note, By: r.By, Why: r.Why, Tags: r.Tags, Files: r.Files}
	e.Files.Neck.Name, e.Files.Readings.Name = baseName(e.Files.Neck.Name), baseName(e.Files.Readings.Name)
	if err := e.Check(); err != nil {
		return nil, err
	}
	switch {
	case r.Corrects != 0 && (r.By == "" || r.Why == ""):
		return nil, fmt.Errorf("correction: %w: say who corrects (--by) and why (--why)", book.ErrEntry)
	case r.Corrects == 0 && r.Why != "":
		return nil, fmt.Errorf("why: %w: it belongs to a correction; say which record (--corrects)", book.ErrEntry)
	case r.Corrects < 0:
		return nil, fmt.Errorf("correction: %w: %d is no record's number", book.ErrEntry, r.Corrects)
	}
	j, err := JudgeFiles(ctx, r.Files)
	if err != nil {
		return nil, err
	}
	e.Derived, err = book.Derive(j, r.Program)
	return e, err
}

// BookPut adds an entry, safe on disk when it returns. corrects is the number
// of the record that it corrects, 0 for none.
func BookPut(ctx context.Context, s book.Store, e *book.Entry, corrects int64) (BookAdded, error) {
	if corrects != 0 {
		old, err := s.Record(ctx, corrects)
		if err != nil {
			return BookAdded{}, err
		}
		e.Corrects = &old.Identity
	}
	r, err := s.Add(ctx, e)
	if err != nil {
		return BookAdded{}, err
	}
	return added(e, r, corrects), nil
}

// BookAdd judges and adds one record.
func BookAdd(ctx context.Context, s book.Store, r BookAddRequest) (BookAdded, error) {
	e, err := BookEntry(ctx, r)
	if err != nil {
		return BookAdded{}, err
	}
	return BookPut(ctx, s, e, r.Corrects)
}

func added(e *book.Entry, r book.Receipt, corrects int64) BookAdded {
	return BookAdded{Serial: e.Serial, Record: r.Number, Stage: e.Stage, New: r.New,
		Verdict: e.Derived.Verdict, ZoneMM: e.Derived.ZoneMM, Corrects: corrects, Added: r.Added, Behind: r.Behind}
}

// baseName is a path without its folders, whichever way they are written.
func baseName(path string) string { return path[strings.LastIndexAny(path, `/\`)+1:] }
