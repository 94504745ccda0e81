package archive

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/book"
)

// Folder is one record as it is to be written.
type Folder struct {
	Serial string
	Name   string // RECORD-STAGE
	Files  map[string][]byte
	Card   *Card

	// Damaged: this is what can still be read of a record that is not whole. It
	// is no part of the export and belongs in a place apart.
	Damaged bool
}

// Exported is what an export did, as JSON has it.
type Exported struct {
	Records int     `json:"records"` // that stand in the folder now
	New     int     `json:"new"`     // of them written just now
	Notes   Notes   `json:"notes,omitzero"`
	Heard   Heard   `json:"heard,omitzero"`
	Bad     []Fault `json:"bad"`     // damaged: left out, or only their results
	Refused []Fault `json:"refused"` // in the way of which stands something else
}

// ErrInTheWay is write's word that other content stands where a record belongs.
var ErrInTheWay = errors.New("something else is there already; it was left alone")

// Export hands every whole record to write, on several processors. write says
// whether the record is new; ErrInTheWay leaves the record out. Damaged records
// are no part of the export and named; what can be read of them is handed over
// as such.
func Export(ctx context.Context, s book.Store, p book.Progress, write func(Folder) (bool, error)) (*Exported, error) {
	a := &Exported{Bad: []Fault{}, Refused: []Fault{}}
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (one Exported, err error) {
		x, r, err := exported(ctx, s, number)
		if errors.Is(err, book.ErrDamaged) && x.Damaged {
			if _, writeErr := write(x); writeErr != nil && !errors.Is(writeErr, ErrInTheWay) {
				return one, writeErr
			}
		}
		if err != nil {
			return one, err
		}
		isNew, err := write(x)
		switch {
		case errors.Is(err, ErrInTheWay):
			one.Refused = faultIn(r, "%s", err)
			return one, nil
		case isNew:
			one.New = 1
		}
		if !resultsWhole(r) {
			one.Bad = faultIn(r, "its results are damaged and left out; ringtrue book rebuild recalculates them")
		}
		one.Records = 1
		return one, err
	}, func(one Exported) error {
		a.Records, a.New = a.Records+one.Records, a.New+one.New
		a.Refused, a.Bad = append(a.Refused, one.Refused...), append(a.Bad, one.Bad...)
		return nil
	})
	a.Bad = append(a.Bad, bad...)
	return a, err
}

func exported(ctx context.Context, s book.Store, number int64) (Folder, *book.Record, error) {
	r, f, err := wholeRecord(ctx, s, number)
	if errors.Is(err, book.ErrDamaged) {
		if f.Readings.Bytes == nil {
			f, _ = s.Files(ctx, number) // the record is lost; perhaps its files are not
		}
		r.Number = number
		return salvaged(&r, f), &r, err
	}
	if err != nil {
		return Folder{}, &r, err
	}
	x, err := FolderOf(&r, f)
	if err != nil {
		err = ofRecord(&r, err)
	}
	return x, &r, err
}

// FolderOf is a whole record as it is to be written. Results that are damaged are left
// out: they can be worked out again.
func FolderOf(r *book.Record, f book.Files) (Folder, error) {
	sound := *r
	if !resultsWhole(r) {
		sound.Derived = book.Derived{}
	}
	c, err := cardOf(&sound)
	if err != nil {
		return Folder{}, err
	}
	card, err := c.Bytes()
	return Folder{
		Serial: r.Serial, Name: fmt.Sprintf("%d-%s", r.Number, r.Stage), Card: c,
		Files: map[string][]byte{"neck.toml": f.Neck.Bytes, "readings.csv": f.Readings.Bytes, "record.json": card},
	}, err
}

func resultsWhole(r *book.Record) bool { return r.Derived.Checksum() == r.DerivedChecksum }

// salvaged is what can be read of a damaged record. Its words may be damaged
// too, so they are made fit for folders.
func salvaged(r *book.Record, f book.Files) Folder {
	fit := func(word string) string {
		word = strings.Map(func(c rune) rune {
			if c == '/' || c == '\\' || c == '.' || c == utf8.RuneError || unicode.IsControl(c) {
				return '_'
			}
			return c
		}, word)
		if word == "" {
			return "_"
		}
		return word
	}
	x := Folder{Serial: fit(r.Serial), Name: fmt.Sprintf("%d-%s", r.Number, fit(r.Stage)), Files: map[string][]byte{}, Damaged: true}
	r.Derived = book.Derived{} // it can be worked out again
	if c, err := cardOf(r); err == nil {
		if card, err := c.Bytes(); err == nil {
			x.Card, x.Files["record.json"] = c, card
		}
	}
	if f.Neck.Bytes != nil {
		x.Files["neck.toml"] = f.Neck.Bytes
	}
	if f.Readings.Bytes != nil {
		x.Files["readings.csv"] = f.Readings.Bytes
	}
	return x
}
