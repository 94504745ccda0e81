package archive

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// noteFormat marks a note's file and the shape it has.
const noteFormat = "ringtrue note 1"

// Notes counts notes, as JSON has it.
type Notes struct {
	Notes int `json:"notes"`
	New   int `json:"new"`
}

// noteCard is SERIAL/note-NUMBER.json: all that the book has of a note.
type noteCard struct {
	Format string `json:"format"`
	book.Said
}

// NoteFile is one note as it is to be written.
type NoteFile struct {
	Serial, Name string
	Data         []byte
}

// ExportNotes hands every undamaged note to write, as Export does records; a damaged
// one is named in bad, one that something else stands in the way of in refused.
func ExportNotes(ctx context.Context, s book.Store, write func(NoteFile) (bool, error)) (done Notes, bad, refused []Fault, err error) {
	notes, bad, err := soundNotes(ctx, s)
	if err != nil {
		return done, bad, nil, err
	}
	for _, n := range notes {
		why, err := done.ExportNote(&n, write)
		if err != nil {
			return done, bad, refused, err
		}
		refused = append(refused, why...)
	}
	return done, bad, refused, nil
}

// ExportNote hands an undamaged note to write, and counts it unless something else
// stands in its way, which is refused.
func (done *Notes) ExportNote(n *book.Said, write func(NoteFile) (bool, error)) (refused []Fault, err error) {
	data, err := json.MarshalIndent(noteCard{noteFormat, *n}, "", " ")
	if err != nil {
		return nil, err
	}
	isNew, err := write(NoteFile{n.Serial, fmt.Sprintf("note-%d.json", n.Number), append(data, '\n')})
	switch {
	case errors.Is(err, ErrInTheWay):
		return []Fault{noteFault(n, err)}, nil
	case err != nil:
		return nil, err
	case isNew:
		done.New++
	}
	done.Notes++
	return nil, nil
}

// soundNotes are a book's notes, the damaged ones named instead.
func soundNotes(ctx context.Context, s book.Store) (sound []book.Said, bad []Fault, err error) {
	all, err := s.Notes(ctx, "", time.Time{})
	if errors.Is(err, book.ErrDamaged) {
		return nil, []Fault{{Fault: "the notes cannot be read: " + fileerr.OneLine(err)}}, nil
	}
	for i := range all {
		if err := all[i].Intact(); err != nil {
			bad = append(bad, noteFault(&all[i], err))
			continue
		}
		sound = append(sound, all[i])
	}
	return sound, bad, err
}

// BesideFault names a note, or what was heard, and what is wrong with it.
func BesideFault(what string, number int64, serial string, err error) Fault {
	whose := ""
	if serial != "" {
		whose = " of " + serial
	}
	return Fault{Serial: serial, Fault: fmt.Sprintf("%s %d%s: %s", what, number, whose, fileerr.OneLine(err))}
}

func noteFault(n *book.Said, err error) Fault { return BesideFault("note", n.Number, n.Serial, err) }

// checkNotes checks every note against its checksum.
func (a *Checked) checkNotes(ctx context.Context, s book.Store) error {
	sound, bad, err := soundNotes(ctx, s)
	a.Notes.Notes = len(sound) + len(bad)
	a.Bad = append(a.Bad, bad...)
	return err
}

// readNotes reads and checks the notes of an export.
func (w *Whole) readNotes() error {
	return w.eachBeside("note-", func(at string) error {
		data, err := fs.ReadFile(w.Dir, at)
		if err != nil {
			return err
		}
		n, err := readNote(data)
		if err == nil {
			w.notes = append(w.notes, n)
		}
		return err
	})
}

// eachBeside calls fn for every file SERIAL/LEAD….json of an export; an errCard or
// book.ErrEntry of it is a fault of that file.
func (w *Whole) eachBeside(lead string, fn func(at string) error) error {
	serials, err := within(w.Dir, ".")
	if err != nil {
		return err
	}
	for _, serial := range serials {
		files, err := fs.ReadDir(w.Dir, serial)
		if err != nil {
			return err
		}
		for _, f := range files {
			if !f.Type().IsRegular() || !strings.HasPrefix(f.Name(), lead) || path.Ext(f.Name()) != ".json" {
				continue
			}
			at := path.Join(serial, f.Name())
			if err := fn(at); isCardFault(err) {
				w.fault(at, "%s", err)
			} else if err != nil {
				return err
			}
		}
	}
	return nil
}

// readNote reads a note's file; an error says why it cannot be taken.
func readNote(data []byte) (book.Said, error) {
	var c noteCard
	if err := json.Unmarshal(data, &c); err != nil {
		return c.Said, fmt.Errorf("%w: it is no longer JSON of the right form; export it again", errCard)
	}
	n := &c.Said
	switch {
	case c.Format != noteFormat:
		return *n, fmt.Errorf("%w: its format is %q; this program reads %q", errCard, c.Format, noteFormat)
	case n.Number < 1:
		return *n, fmt.Errorf("%w: %d is not a note number", errCard, n.Number)
	case n.Added.IsZero():
		return *n, fmt.Errorf("%w: it does not say when it was added", errCard)
	case n.Seal() != n.Checksum:
		return *n, fmt.Errorf("%w: its text, name or time was changed", errCard)
	}
	return *n, n.Check()
}

// putNotes puts the export's notes into the book, after its records.
func (im *importer) putNotes() error {
	for from := 0; from < len(im.notes); from += importBatch {
		receipts, err := im.store.AddNotes(im.ctx, im.notes[from:min(from+importBatch, len(im.notes))])
		if err != nil {
			return err
		}
		for _, r := range receipts {
			im.answer.Notes.Notes++
			if r.New {
				im.answer.Notes.New++
			}
		}
	}
	return nil
}
