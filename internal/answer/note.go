package answer

import (
	"context"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/inhand"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
)

// NoteAnswer is a note that was added, as JSON has it.
type NoteAnswer struct {
	Serial  string      `json:"serial"`
	Note    int64       `json:"note"`
	Text    string      `json:"text"`
	By      string      `json:"by,omitempty"`
	At      time.Time   `json:"at"`
	Meaning inhand.Kind `json:"meaning"`
	Heard   string      `json:"heard"`
	Next    string      `json:"next"` // what the neck needs now
}

// Tell adds a note that was said now, in the shop's own time, safe on disk when it
// returns. begin: the serial may be new. Errors are those of book.Tell.
func Tell(ctx context.Context, s book.Store, n book.Said, now time.Time, begin bool, shop neck.Shop) (*NoteAnswer, error) {
	n.At = inhand.Moment(n.Text, now)
	w := inhand.Understand(n.Text, n.By, n.At, now)
	n, err := book.Tell(ctx, s, n, begin)
	if err != nil {
		return nil, err
	}
	a := &NoteAnswer{n.Serial, n.Number, n.Text, n.By, n.At, w.Kind, text.NoteHeard(n.Serial, w), ""}
	next, err := InHand(ctx, s, InHandRequest{Now: now, Serial: n.Serial, All: true, Shop: shop})
	if err == nil && len(next.Necks) == 1 {
		a.Next = next.Necks[0].Words
	}
	return a, nil // the note is kept, whatever the neck's files say
}

// ToldAnswer is all that was said of a neck.
type ToldAnswer struct {
	Serial string      `json:"serial"`
	Notes  []book.Said `json:"notes"`
}

// Told lists a neck's notes. An unknown serial is book.ErrNotFound with the near ones.
func Told(ctx context.Context, s book.Store, serial string) (*ToldAnswer, error) {
	notes, err := book.NotesOf(ctx, s, serial)
	return &ToldAnswer{serial, append([]book.Said{}, notes...)}, err
}
