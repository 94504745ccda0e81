package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/book"
)

// BookExported is one record as it is to be written.
type BookExported struct {
	Serial string
	Folder string // RECORD-STAGE
	Files  map[string][]byte
	Card   *BookCard

	// Damaged: this is what can still be read of a record that is not whole. It
	// is no part of the export and belongs in a place apart.
	Damaged bool
}

// BookExportAnswer is what `book export` did.
type BookExportAnswer struct {
	Records int         `json:"records"` // that stand in the folder now
	New     int         `json:"new"`     // of them written just now
	Bad     []BookFault `json:"bad"`     // damaged, and left out
	Refused []BookFault `json:"refused"` // in the way of which stands something else
}

// ErrInTheWay is write's word that other content stands where a record belongs.
var ErrInTheWay = errors.New("something else stands there and is left alone")

// BookExport hands every whole record to write, on several processors. write
// says whether the record is new; ErrInTheWay leaves the record out. Damaged
// records are no part of the export and named; what can be read of them is
// handed over as such.
func BookExport(ctx context.Context, s book.Store, p Progress, write func(BookExported) (bool, error)) (*BookExportAnswer, error) {
	a := &BookExportAnswer{Bad: []BookFault{}, Refused: []BookFault{}}
	type written struct {
		isNew   bool
		refused *BookFault
	}
	bad, err := walk(ctx, s, p, func(ctx context.Context, number int64) (w written, err error) {
		x, r, err := exported(ctx, s, number)
		if errors.Is(err, book.ErrDamaged) && x.Damaged {
			if _, writeErr := write(x); writeErr != nil && !errors.Is(writeErr, ErrInTheWay) {
				return w, writeErr
			}
		}
		if err != nil {
			return w, err
		}
		w.isNew, err = write(x)
		if errors.Is(err, ErrInTheWay) {
			w.refused = &BookFault{Record: number, Serial: r.Serial, Stage: r.Stage, Fault: err.Error()}
			return w, nil
		}
		return w, err
	}, func(w written) error {
		switch {
		case w.refused != nil:
			a.Refused = append(a.Refused, *w.refused)
			return nil
		case w.isNew:
			a.New++
		}
		a.Records++
		return nil
	})
	a.Bad = append(a.Bad, bad...)
	return a, err
}

func exported(ctx context.Context, s book.Store, number int64) (BookExported, book.Record, error) {
	r, f, err := wholeRecord(ctx, s, number)
	if errors.Is(err, book.ErrDamaged) {
		if f.Readings.Bytes == nil {
			f, _ = s.Files(ctx, number) // the record is lost; perhaps its files are not
		}
		r.Number = number
		return salvaged(&r, f), r, err
	}
	if err != nil {
		return BookExported{}, r, err
	}
	if r.Derived.Seal() != r.DerivedSeal { // it can be worked out again
		r.Derived = book.Derived{}
	}
	c, err := cardOf(&r)
	if err != nil {
		return BookExported{}, r, ofRecord(&r, err)
	}
	card, err := CardBytes(c)
	return BookExported{
		Serial: r.Serial, Folder: fmt.Sprintf("%d-%s", r.Number, r.Stage), Card: c,
		Files: map[string][]byte{"neck.toml": f.Neck.Bytes, "readings.csv": f.Readings.Bytes, "record.json": card},
	}, r, err
}

// salvaged is what can be read of a damaged record. Its words may be damaged
// too, so they are made fit for folders.
func salvaged(r *book.Record, f book.Files) BookExported {
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
	x := BookExported{Serial: fit(r.Serial), Folder: fmt.Sprintf("%d-%s", r.Number, fit(r.Stage)), Files: map[string][]byte{}, Damaged: true}
	r.Derived = book.Derived{} // it can be worked out again
	if c, err := cardOf(r); err == nil {
		if card, err := CardBytes(c); err == nil {
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

// CardBytes is a record.json, a line a lane.
func CardBytes(c *BookCard) ([]byte, error) {
	bare := *c
	var lanes []byte
	if c.Derived != nil {
		derived := *c.Derived
		derived.Crowns = nil
		bare.Derived = &derived
		for i, l := range c.Derived.Crowns {
			line, err := json.Marshal(l)
			if err != nil {
				return nil, err
			}
			lanes = fmt.Appendf(lanes, "%s\n   %s", strings.Repeat(",", min(i, 1)), line)
		}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(bare); err != nil {
		return nil, err
	}
	const hole = `"crowns": null` // the maker's own words stand before it
	at := bytes.LastIndex(b.Bytes(), []byte(hole))
	if c.Derived == nil || at < 0 {
		return b.Bytes(), nil
	}
	return fmt.Appendf(nil, "%s\"crowns\": [%s\n  ]%s", b.Bytes()[:at], lanes, b.Bytes()[at+len(hole):]), nil
}

// SameRecord reports whether a record.json found on disk is of the same record,
// so that only what was worked out may differ.
func (c *BookCard) SameRecord(data []byte) bool {
	o, err := readCard(data)
	return err == nil && o.Record == c.Record && o.Seal == c.Seal && o.Identity == c.Identity
}
