package book

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/name"
)

// maxSaid is the longest note of a neck, in letters.
const maxSaid = 500

// Said is what a person says of a neck between its records: glued at 13:50, handed to
// Ines. Like a record it is never changed or removed; what follows is a new note.
type Said struct {
	Number   int64     `json:"note"`
	Serial   string    `json:"serial"`
	Text     string    `json:"text"`
	By       string    `json:"by,omitempty"` // who says it
	At       time.Time `json:"at"`           // the moment it speaks of; UTC, to the microsecond
	Added    time.Time `json:"added"`        // when it was said
	Checksum Sum       `json:"seal"`         // Seal
}

// NoteReceipt says which note it is, and whether it is new.
type NoteReceipt struct {
	Number int64
	New    bool
	Added  time.Time
}

// Touched is a record in force as the list of necks in hand needs it.
type Touched struct {
	Number        int64
	Serial, Stage string
	At            time.Time // when it was added; of corrections, when the first of what they correct was
	Verdict       string    // empty: nothing was worked out
	FretsOff      int
}

// Notebook keeps what is said of necks beside their records.
type Notebook interface {
	// AddNotes makes notes, safe on disk when it returns: all of them or none. A note
	// that is there already is left. ErrEntry, ErrReadOnly, ErrFull.
	AddNotes(ctx context.Context, notes []Said) ([]NoteReceipt, error)

	// Notes lists the notes of a serial ("": of all) that were added since a time, in
	// the order they were added.
	Notes(ctx context.Context, serial string, since time.Time) ([]Said, error)

	// LastNote is the highest number of a note, 0 where there is none.
	LastNote(ctx context.Context) (int64, error)

	// Touched lists records in force that were added since a time, in that order. It
	// reads no record before it.
	Touched(ctx context.Context, since time.Time) ([]Touched, error)
}

// Check says what makes a note unfit, wrapping ErrEntry.
func (n *Said) Check() error {
	if err := checkWord("serial", n.Serial); err != nil {
		return err
	}
	switch {
	case strings.TrimSpace(n.Text) == "":
		return fmt.Errorf("note: %w: it is empty", ErrEntry)
	case utf8.RuneCountInString(n.Text) > maxSaid || !utf8.ValidString(n.Text) || strings.ContainsFunc(n.Text, unicode.IsControl):
		return fmt.Errorf("note: %w: write one line of at most %d letters", ErrEntry, maxSaid)
	case utf8.RuneCountInString(n.By) > maxWord || !utf8.ValidString(n.By) || strings.ContainsFunc(n.By, unicode.IsControl):
		return fmt.Errorf("by: %w: write a name of at most %d letters", ErrEntry, maxWord)
	case n.At.IsZero():
		return fmt.Errorf("note: %w: it does not say when", ErrEntry)
	}
	return nil
}

// Seal is a checksum over all of a note but its number, which is the book's.
func (n *Said) Seal() Sum {
	when := binary.LittleEndian.AppendUint64(nil, uint64(n.At.UnixMicro()))
	when = binary.LittleEndian.AppendUint64(when, uint64(n.Added.UnixMicro()))
	return hashOf([]byte("ringtrue note"), []byte(n.Serial), []byte(n.Text), []byte(n.By), when)
}

// Intact tells what is damaged in a note, or nil.
func (n *Said) Intact() error {
	if n.Seal() != n.Checksum {
		return fmt.Errorf("%w: it is not what was said", ErrDamaged)
	}
	return nil
}

// NoteOf is a note complete but for its number. One that was added before keeps its
// time; else it is the clock's, but after the neck's last note or record (microseconds
// since 1970), so that the order stays where a clock is set back.
func NoteOf(n Said, now time.Time, lastOfNeck int64) Said {
	n.Added = AddedAt(&Entry{Added: n.Added}, now, lastOfNeck).UTC().Truncate(time.Microsecond)
	n.At = n.At.UTC().Truncate(time.Microsecond)
	n.Checksum = n.Seal()
	return n
}

// Tell adds a note that was typed, and gives it as it is in the book. Where began is
// false the serial must have a record or a note: an unknown one is ErrNotFound with
// the near ones.
func Tell(ctx context.Context, s Store, n Said, began bool) (Said, error) {
	if err := n.Check(); err != nil {
		return n, err
	}
	for _, w := range []struct{ what, why string }{{"serial", name.TypedSerial(n.Serial)}, {"by", name.Typed(n.By)}, {"note", name.Typed(n.Text)}} {
		if w.why != "" {
			return n, fmt.Errorf("%s: %w: it %s", w.what, ErrEntry, w.why)
		}
	}
	if !began {
		if _, err := NotesOf(ctx, s, n.Serial); err != nil {
			return n, err
		}
	}
	got, err := s.AddNotes(ctx, []Said{n})
	if err != nil {
		return n, err
	}
	n.Number, n.Added = got[0].Number, got[0].Added
	return n, nil
}

// NotesOf are the notes of a neck; a serial without record or note is ErrNotFound with
// the near ones.
func NotesOf(ctx context.Context, s Store, serial string) ([]Said, error) {
	notes, err := s.Notes(ctx, serial, time.Time{})
	if err != nil || len(notes) > 0 {
		return notes, err
	}
	_, err = RecordsOf(ctx, s, serial)
	if errors.Is(err, ErrDamaged) {
		err = nil // it is there
	}
	return nil, err
}
