package archive

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
)

// heardFormat marks the file of what was heard and the shape it has.
const heardFormat = "ringtrue heard 1"

// Heard counts play-throughs, as JSON has it.
type Heard struct {
	Heard  int `json:"heard"`
	New    int `json:"new"`
	Sounds int `json:"sounds"` // of them with their recording
}

// heardCard is SERIAL/heard-NUMBER.json: all that the book has of a play-through but
// its sound, which is SERIAL/heard-NUMBER.wav.
type heardCard struct {
	Format string `json:"format"`
	book.Heard
}

// ExportHeard hands every undamaged play-through to write, its sound first: where the
// numbers are, all of it is. As ExportNotes.
func ExportHeard(ctx context.Context, s book.Store, write func(NoteFile) (bool, error)) (done Heard, bad, refused []Fault, err error) {
	bad, err = eachHeard(ctx, s, func(h *book.Heard, sound []byte) error {
		why, err := done.ExportHeard(h, sound, write)
		refused = append(refused, why...)
		return err
	})
	return done, bad, refused, err
}

// ExportHeard hands an undamaged play-through to write, as ExportNote does a note.
func (done *Heard) ExportHeard(h *book.Heard, sound []byte, write func(NoteFile) (bool, error)) (refused []Fault, err error) {
	name := fmt.Sprintf("heard-%d", h.Number)
	data, err := json.MarshalIndent(heardCard{heardFormat, *h}, "", " ")
	if err != nil {
		return nil, err
	}
	if h.Kept {
		_, err = write(NoteFile{h.Serial, name + ".wav", sound})
	}
	isNew := false
	if err == nil {
		isNew, err = write(NoteFile{h.Serial, name + ".json", append(data, '\n')})
	}
	switch {
	case errors.Is(err, ErrInTheWay):
		return []Fault{heardFault(h, err)}, nil
	case err == nil:
		done.count(h, isNew)
	}
	return nil, err
}

func (n *Heard) count(h *book.Heard, isNew bool) {
	n.Heard++
	if isNew {
		n.New++
	}
	if h.Kept {
		n.Sounds++
	}
}

// eachHeard calls fn with every undamaged play-through and its sound, and names the
// damaged ones.
func eachHeard(ctx context.Context, s book.Store, fn func(h *book.Heard, sound []byte) error) (bad []Fault, err error) {
	err = s.EachHeard(ctx, "", func(h *book.Heard) error {
		fault := h.Intact()
		if fault == nil {
			_, fault = h.Read()
		}
		var sound []byte
		if fault == nil && h.Kept {
			sound, fault = s.HeardSound(ctx, h.Number)
		}
		if errors.Is(fault, book.ErrDamaged) || errors.Is(fault, book.ErrNotFound) {
			bad = append(bad, heardFault(h, fault))
			return nil
		}
		if fault != nil {
			return fault
		}
		return fn(h, sound)
	})
	if errors.Is(err, book.ErrDamaged) {
		return append(bad, Fault{Fault: "what was heard cannot be read: " + fileerr.OneLine(err)}), nil
	}
	return bad, err
}

func heardFault(h *book.Heard, err error) Fault {
	return BesideFault("heard", h.Number, h.Serial, err)
}

// checkHeard checks every play-through, and its sound, against its checksum.
func (a *Checked) checkHeard(ctx context.Context, s book.Store) error {
	bad, err := eachHeard(ctx, s, func(h *book.Heard, _ []byte) error {
		a.Heard.count(h, false)
		return nil
	})
	a.Heard.Heard += len(bad)
	a.Bad = append(a.Bad, bad...)
	return err
}

// foundHeard is a play-through of an export, to be read again when it is put.
type foundHeard struct {
	at     string // its file
	number int64
}

// readHeard reads and checks what an export has heard, a file at a time.
func (w *Whole) readHeard() error {
	err := w.eachBeside("heard-", func(at string) error {
		h, err := readHeard(w.Dir, at)
		if err == nil {
			w.heard = append(w.heard, foundHeard{at, h.Number})
		}
		return err
	})
	slices.SortFunc(w.heard, func(a, b foundHeard) int { return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.at, b.at)) })
	return err
}

// readHeard reads a play-through's files; an errCard or book.ErrEntry says why they
// cannot be taken.
func readHeard(dir fs.FS, at string) (h book.Heard, err error) {
	data, err := fs.ReadFile(dir, at)
	if err != nil {
		return h, err
	}
	if h, err = heardOf(data); err != nil || !h.Kept {
		return h, err
	}
	wav := strings.TrimSuffix(at, ".json") + ".wav"
	h.Sound, err = fs.ReadFile(dir, wav)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return h, fmt.Errorf("%w: its sound, %s, is missing", errCard, path.Base(wav))
	case err != nil:
		return h, err
	case book.Digest(h.Sound) != h.Recording:
		return h, fmt.Errorf("%w: its sound, %s, was changed", errCard, path.Base(wav))
	}
	return h, h.Check()
}

// heardOf reads the numbers' file; of one that has its sound beside it the rest of
// Check is to come.
func heardOf(data []byte) (book.Heard, error) {
	var c heardCard
	if err := json.Unmarshal(data, &c); err != nil {
		return c.Heard, fmt.Errorf("%w: it is no longer JSON of the right form; export it again", errCard)
	}
	h := &c.Heard
	var body bytes.Buffer // as it was sealed: the file has it set out in lines
	if err := json.Compact(&body, h.Body); err == nil {
		h.Body = body.Bytes()
	}
	switch {
	case c.Format != heardFormat:
		return *h, fmt.Errorf("%w: its format is %q; this program reads %q", errCard, c.Format, heardFormat)
	case h.Number < 1:
		return *h, fmt.Errorf("%w: %d is not the number of a play-through", errCard, h.Number)
	case h.Added.IsZero():
		return *h, fmt.Errorf("%w: it does not say when it was added", errCard)
	case h.Seal() != h.Checksum:
		return *h, fmt.Errorf("%w: its numbers, names or times were changed", errCard)
	case h.Kept:
		return *h, nil
	}
	return *h, h.Check()
}

// putHeard puts the export's play-throughs into the book, one at a time: a sound is large.
func (im *importer) putHeard() error {
	for _, x := range im.heard {
		h, err := readHeard(im.Dir, x.at)
		if err != nil {
			return err
		}
		receipts, err := im.store.AddHeard(im.ctx, []book.Heard{h})
		if err != nil {
			return err
		}
		im.answer.Heard.count(&h, receipts[0].New)
	}
	return nil
}
