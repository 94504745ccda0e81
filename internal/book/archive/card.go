package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"ringtrue/internal/book"
)

// cardFormat marks a record.json and the shape it has.
const cardFormat = "ringtrue record 1"

// Card is a record's record.json: all that the book holds of it but its two
// files.
type Card struct {
	Format string `json:"format"`
	book.Record
	Derived *Derived `json:"derived,omitempty"` // absent where nothing could be worked out
}

// Derived is what was worked out from a record's files, with its checksum. It can be
// worked out again.
type Derived struct {
	book.Derived
	Checksum book.Sum `json:"seal"`
}

// cardOf is a record's card.
func cardOf(r *book.Record) (*Card, error) {
	c := &Card{Format: cardFormat, Record: *r}
	if c.Tags == nil {
		c.Tags = book.Tags{}
	}
	if r.Derived.Program == "" {
		return c, nil
	}
	c.Derived = &Derived{r.Derived, r.Derived.Checksum()}
	_, err := r.Derived.Crowns.Unpack()
	return c, err
}

// Bytes is the record.json, a line a lane.
func (c *Card) Bytes() ([]byte, error) {
	bare := *c
	var lanes []byte
	if c.Derived != nil {
		var err error
		if lanes, err = json.Marshal(c.Derived.Crowns); err != nil {
			return nil, err
		}
		derived := *c.Derived
		derived.Crowns = nil
		bare.Derived = &derived
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
	lanes = bytes.ReplaceAll(lanes[:len(lanes)-1], []byte(`{"lane"`), []byte("\n   {\"lane\""))
	return fmt.Appendf(nil, "%s\"crowns\": %s\n  ]%s", b.Bytes()[:at], lanes, b.Bytes()[at+len(hole):]), nil
}

// SameRecord reports whether a record.json found on disk is of the same record,
// so that only what was worked out may differ.
func (c *Card) SameRecord(data []byte) bool {
	o, err := readCard(data)
	return err == nil && o.Number == c.Number && o.Checksum == c.Checksum && o.Identity == c.Identity
}

// errCard marks a record.json, or a file beside it, that cannot be taken.
var errCard = errors.New("not as it was exported")

// readCard reads a record.json.
func readCard(data []byte) (*Card, error) {
	var c Card
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, fmt.Errorf("record.json: %w: it is no longer JSON of the right form; export it again", errCard)
	}
	if c.Format != cardFormat {
		return nil, fmt.Errorf("record.json: %w: its format is %q; this program reads %q", errCard, c.Format, cardFormat)
	}
	if c.Corrects == nil || *c.Corrects != (book.Identity{}) {
		return &c, nil
	}
	var raw struct{ Corrects string }
	if err := json.Unmarshal(data, &raw); err != nil || raw.Corrects != "" {
		return nil, fmt.Errorf("record.json: corrects: %w: %q is not an identity of 64 hexadecimal digits", errCard, raw.Corrects)
	}
	c.Corrects = nil
	return &c, nil
}

// entry is the entry that the card and its files make, checked against every
// checksum. What is derived is left out where the card has none that can be
// trusted.
func (c *Card) entry(neck, readings []byte) (*book.Entry, error) {
	e := &book.Entry{
		Number: c.Number, Added: c.Added, Serial: c.Serial, Stage: c.Stage, Note: c.Note, By: c.By, Why: c.Why, Corrects: c.Corrects, Tags: c.Tags,
		Files: book.Files{Neck: book.File{Name: c.NeckName, Bytes: neck}, Readings: book.File{Name: c.ReadingsName, Bytes: readings}},
	}
	fault := func(file, words string) (*book.Entry, error) {
		return nil, fmt.Errorf("%s: %w: %s", file, errCard, words)
	}
	r := book.RecordOf(e, c.Added)
	switch {
	case r.NeckDigest != c.NeckDigest:
		return fault("neck.toml", "its SHA-256 is another")
	case r.ReadDigest != c.ReadDigest:
		return fault("readings.csv", "its SHA-256 is another")
	case c.Number < 1:
		return fault("record.json", fmt.Sprintf("%d is not a record number", c.Number))
	case c.Added.IsZero():
		return fault("record.json", "it does not say when it was added")
	}
	if err := e.Check(); err != nil {
		return nil, fmt.Errorf("record.json: %w", err)
	}
	switch {
	case r.Identity != c.Identity:
		return fault("record.json", "serial, stage or what it corrects was changed")
	case r.Checksum != c.Checksum:
		return fault("record.json", "its note, tags, time or names were changed")
	}
	if d := c.Derived; d != nil && d.Crowns != nil {
		d.Taken = d.Taken.UTC()
		if d.Derived.Checksum() == d.Checksum {
			e.Derived = d.Derived
		}
	}
	return e, nil
}
