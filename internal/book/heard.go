package book

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"time"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/name"
	"ringtrue/internal/num"
)

// Bounds of what is kept of one play-through, in bytes.
const (
	MaxSound   = 128 << 20 // of a recording: ten minutes of one side at 24 bits
	maxPlayed  = 4 << 20   // of its numbers: notes by the thousand
	packedMost = 1 << 10   // flate packs no tighter than this
)

// Heard is what was heard of a neck that was played through: numbers, and the recording
// itself only where that was asked for. Like a record it is never changed or removed.
type Heard struct {
	Number    int64           `json:"heard"`
	Serial    string          `json:"serial"`
	Played    time.Time       `json:"played,omitzero"` // where it was not the day it was kept; UTC, to the microsecond
	Added     time.Time       `json:"added"`
	By        string          `json:"by,omitempty"`
	Note      string          `json:"note,omitempty"`
	Program   string          `json:"program"`        // the version that listened
	Recording Sum             `json:"recording"`      // SHA-256 of the recording's file
	Kept      bool            `json:"sound_kept"`     // the recording itself is kept too
	Body      json.RawMessage `json:"played_through"` // a Played, in the words of the version that listened
	Checksum  Sum             `json:"seal"`           // Seal

	// Sound is the recording's file, given where it is to be kept. The book gives it
	// by HeardSound alone.
	Sound []byte `json:"-"`
}

// Played is what a version of the program heard.
type Played struct {
	Neck    string        `json:"neck"` // the model's name
	A4Hz    float64       `json:"a4_hz"`
	Wanted  int           `json:"expected"`
	Notes   []HeardNote   `json:"notes"` // in the order played
	Strings []HeardString `json:"strings"`
	Flaws   []string      `json:"flaws,omitempty"` // of the recording
}

// HeardNote is one note as heard; the names are those of listen's answer.
type HeardNote struct {
	String         int        `json:"string"`
	Fret           int        `json:"fret"`
	Cents          float64    `json:"cents"`
	UCents         float64    `json:"u_cents"`
	CentsAtS       [2]float64 `json:"cents_at_s"`
	GlideCents     num.Opt    `json:"glide_cents"`
	Inharmonicity  num.Opt    `json:"inharmonicity"`
	UInharmonicity num.Opt    `json:"u_inharmonicity"`
	RingS          num.Opt    `json:"ring_s"`
	RingLeastS     float64    `json:"ring_at_least_s,omitempty"`
	TenDBS         num.Opt    `json:"ten_db_s"`
	DecayPerS      num.Opt    `json:"decay_per_s"` // of the first partial whose decay was told
}

// HeardString is what a string's notes told together: its saddle, and its damping law.
type HeardString struct {
	String    int     `json:"string"`
	Frets     int     `json:"frets"` // that the saddle's move rests on; 0 where nothing is told of it
	SaddleMM  num.Opt `json:"saddle_mm"`
	USaddleMM num.Opt `json:"u_saddle_mm"`
	LeftCents num.Opt `json:"left_rms_cents"` // what the best saddle would leave
	Base      num.Opt `json:"damping_base"`
	Square    num.Opt `json:"damping_square"`
}

// HeardReceipt says which play-through it is, and whether it is new.
type HeardReceipt struct {
	Number int64
	New    bool
	Added  time.Time
}

// Hearings keeps what was heard of necks beside their records.
type Hearings interface {
	// AddHeard keeps play-throughs, safe on disk when it returns: all of them or none.
	// One that is there already is left. ErrEntry, ErrReadOnly, ErrFull.
	AddHeard(ctx context.Context, heard []Heard) ([]HeardReceipt, error)

	// EachHeard calls fn for each play-through of a serial ("": of all) in the order
	// they were kept, without its sound. ErrLost: some may have been given to fn.
	EachHeard(ctx context.Context, serial string, fn func(*Heard) error) error

	// HeardSound is the recording that was kept, byte for byte. ErrNotFound.
	HeardSound(ctx context.Context, number int64) ([]byte, error)
}

// When is when a neck was played.
func (h *Heard) When() time.Time {
	if h.Played.IsZero() {
		return h.Added
	}
	return h.Played
}

// Read gives what was heard. ErrDamaged.
func (h *Heard) Read() (p Played, err error) {
	if err := json.Unmarshal(h.Body, &p); err != nil {
		return p, fmt.Errorf("%w: what was heard is not of the right form", ErrDamaged)
	}
	return p, nil
}

// Write sets what was heard.
func (h *Heard) Write(p Played) (err error) {
	h.Body, err = json.Marshal(p)
	return err
}

// Check says what makes a play-through unfit, wrapping ErrEntry.
func (h *Heard) Check() error {
	if err := checkWord("serial", h.Serial); err != nil {
		return err
	}
	for _, w := range []struct {
		what, text string
		most       int
	}{{"by", h.By, maxWord}, {"note", h.Note, maxSaid}, {"program", h.Program, maxWord}} {
		if utf8.RuneCountInString(w.text) > w.most || !utf8.ValidString(w.text) || bytes.ContainsFunc([]byte(w.text), unicode.IsControl) {
			return fmt.Errorf("%s: %w: write one line of at most %d letters", w.what, ErrEntry, w.most)
		}
	}
	p, err := h.Read()
	switch {
	case err != nil || len(h.Body) > maxPlayed:
		return fmt.Errorf("heard: %w: its numbers are not of the right form", ErrEntry)
	case len(p.Notes) == 0:
		return fmt.Errorf("heard: %w: it has no note", ErrEntry)
	case h.Kept && len(h.Sound) == 0:
		return fmt.Errorf("heard: %w: its sound is missing", ErrEntry)
	case len(h.Sound) > MaxSound:
		return fmt.Errorf("heard: %w: its sound has %d MB; at most %d are kept", ErrEntry, len(h.Sound)>>20, MaxSound>>20)
	case h.Kept && Digest(h.Sound) != h.Recording:
		return fmt.Errorf("heard: %w: its sound is another recording's", ErrEntry)
	}
	return nil
}

// Typed says what was typed wrong of a new play-through, wrapping ErrEntry.
func (h *Heard) Typed() error {
	for _, w := range []struct{ what, why string }{{"by", name.Typed(h.By)}, {"note", name.Typed(h.Note)}} {
		if w.why != "" {
			return fmt.Errorf("%s: %w: it %s", w.what, ErrEntry, w.why)
		}
	}
	return nil
}

// Identity tells play-throughs apart: two with the same one are the same, kept twice.
func (h *Heard) Identity() Sum {
	kept := []byte{0}
	if h.Kept {
		kept[0] = 1
	}
	var played []byte
	if !h.Played.IsZero() {
		played = binary.LittleEndian.AppendUint64(nil, uint64(h.Played.UnixMicro()))
	}
	return hashOf([]byte("ringtrue heard"), []byte(h.Serial), played, []byte(h.By), []byte(h.Note), h.Recording[:], kept, h.Body)
}

// Seal is a checksum over all of a play-through but its number, which is the book's.
func (h *Heard) Seal() Sum {
	identity := h.Identity()
	return hashOf([]byte("ringtrue heard seal"), identity[:], []byte(h.Program), binary.LittleEndian.AppendUint64(nil, uint64(h.Added.UnixMicro())))
}

// Intact tells what is damaged in a play-through, its sound apart, or nil.
func (h *Heard) Intact() error {
	if h.Seal() != h.Checksum {
		return fmt.Errorf("%w: it is not what was heard", ErrDamaged)
	}
	return nil
}

// HeardOf is a play-through complete but for its number; its time as NoteOf's.
func HeardOf(h Heard, now time.Time, lastOfNeck int64) Heard {
	h.Added = AddedAt(&Entry{Added: h.Added}, now, lastOfNeck).UTC().Truncate(time.Microsecond)
	if !h.Played.IsZero() {
		h.Played = h.Played.UTC().Truncate(time.Microsecond)
	}
	h.Checksum = h.Seal()
	return h
}

// Squeeze packs bytes for a book, losing nothing.
func Squeeze(data []byte) []byte {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err == nil {
		_, err = w.Write(data)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil { // memory takes whatever is written
		panic(err)
	}
	return b.Bytes()
}

// Unsqueeze unpacks them again, at most so many bytes. ErrDamaged.
func Unsqueeze(packed []byte, most int) ([]byte, error) {
	room := min(int64(most), int64(len(packed))*packedMost) + 1
	data, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(packed)), room))
	if err != nil || len(data) > most {
		return nil, fmt.Errorf("%w: what is packed cannot be unpacked", ErrDamaged)
	}
	return data, nil
}

// UnsqueezePlayed unpacks a Body. ErrDamaged.
func UnsqueezePlayed(packed []byte) (json.RawMessage, error) { return Unsqueeze(packed, maxPlayed) }

// HeardOn are the play-throughs of a neck; one that is damaged ends it with
// ErrDamaged.
func HeardOn(ctx context.Context, s Hearings, serial string) (all []Heard, err error) {
	err = s.EachHeard(ctx, serial, func(h *Heard) error {
		if err := h.Intact(); err != nil {
			return fmt.Errorf("heard %d: %w", h.Number, err)
		}
		all = append(all, *h)
		return nil
	})
	return all, err
}
