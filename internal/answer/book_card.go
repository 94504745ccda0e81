package answer

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
)

// cardFormat marks a record.json and the shape it has.
const cardFormat = "ringtrue record 1"

// BookCard is a record's record.json: all that the book holds of it but its two
// files. Checksums are SHA-256 in hexadecimal.
type BookCard struct {
	Format   string    `json:"format"`
	Record   int64     `json:"record"`
	Serial   string    `json:"serial"`
	Stage    string    `json:"stage"`
	Added    time.Time `json:"added"`
	Tags     book.Tags `json:"tags"`
	Note     string    `json:"note,omitempty"`
	By       string    `json:"by,omitempty"`
	Why      string    `json:"why,omitempty"`
	Corrects string    `json:"corrects,omitempty"` // the identity of the record that this one corrects

	NeckFile       string `json:"neck_file"` // as it was named
	NeckSHA256     string `json:"neck_sha256"`
	ReadingsFile   string `json:"readings_file"`
	ReadingsSHA256 string `json:"readings_sha256"`

	Identity string `json:"identity"` // of serial, stage, files and what is corrected
	Seal     string `json:"seal"`     // of all the above but the number

	Derived *CardDerived `json:"derived,omitempty"` // absent where nothing could be worked out
}

// CardDerived is what was worked out from a record's files, and by which
// version of the program. It can be worked out again.
type CardDerived struct {
	Program  string     `json:"program"`
	Revision int        `json:"judgement,omitempty"` // its revision; absent before revisions were counted
	Model    string     `json:"model"`
	State    string     `json:"state,omitempty"`
	Taken    *time.Time `json:"taken,omitempty"`
	Verdict  string     `json:"verdict"`
	ZoneMM   *float64   `json:"zone_mm"`
	WorstMM  *float64   `json:"worst_mm"`
	MetalMM  *float64   `json:"total_remove_mm"`
	MostMM   *float64   `json:"max_remove_mm"`
	Refits   int        `json:"refits"`
	FretsOff int        `json:"frets_off"`
	Crowns   []CardLane `json:"crowns"`
	Seal     string     `json:"seal"`
}

// CardLane is a lane's determined crowns from its first such fret on, null
// between them where one is undetermined. Heights are rounded to 0.1 µm.
type CardLane struct {
	Lane      float64    `json:"lane"`
	FirstFret int        `json:"first_fret"`
	OffMM     []*float64 `json:"off_mm"`
	UMM       []*float64 `json:"u_mm"`
}

// cardOf is a record's card.
func cardOf(r *book.Record) (*BookCard, error) {
	c := &BookCard{
		Format: cardFormat, Record: r.Number, Serial: r.Serial, Stage: r.Stage, Added: r.Added, Tags: r.Tags, Note: r.Note, By: r.By, Why: r.Why,
		NeckFile: r.NeckName, NeckSHA256: hexOf(r.NeckDigest), ReadingsFile: r.ReadingsName, ReadingsSHA256: hexOf(r.ReadDigest),
		Identity: r.Identity.String(), Seal: hexOf(r.Seal),
	}
	if c.Tags == nil {
		c.Tags = book.Tags{}
	}
	if r.Corrects != nil {
		c.Corrects = r.Corrects.String()
	}
	d := &r.Derived
	if d.Program == "" {
		return c, nil
	}
	crowns, err := d.Crowns.Unpack()
	if err != nil {
		return nil, err
	}
	k := &CardDerived{Program: d.Program, Revision: d.Revision, Model: d.Model, State: d.States, Verdict: d.Verdict, ZoneMM: d.ZoneMM, WorstMM: d.WorstMM,
		MetalMM: d.MetalMM, MostMM: d.MostMM, Refits: d.Refits, FretsOff: d.FretsOff, Crowns: lanesOf(crowns), Seal: hexOf(d.Seal())}
	if !d.Taken.IsZero() {
		k.Taken = &d.Taken
	}
	c.Derived = k
	return c, nil
}

// lanesOf gathers crowns, sorted by lane and fret, by lane.
func lanesOf(crowns []book.Crown) []CardLane {
	lanes := []CardLane{}
	for _, x := range crowns {
		if n := len(lanes); n == 0 || lanes[n-1].Lane != x.Lane {
			lanes = append(lanes, CardLane{Lane: x.Lane, FirstFret: x.Fret})
		}
		l := &lanes[len(lanes)-1]
		for l.FirstFret+len(l.OffMM) < x.Fret {
			l.OffMM, l.UMM = append(l.OffMM, nil), append(l.UMM, nil)
		}
		off, u := tidy(x.OffMM), tidy(x.UMM)
		l.OffMM, l.UMM = append(l.OffMM, &off), append(l.UMM, &u)
	}
	return lanes
}

// crowns lists the determined crowns.
func (l CardLane) crowns() (out []book.Crown, err error) {
	if len(l.OffMM) != len(l.UMM) {
		return nil, fmt.Errorf("lane %g has %d heights and %d uncertainties", l.Lane, len(l.OffMM), len(l.UMM))
	}
	for i, off := range l.OffMM {
		if off != nil && l.UMM[i] != nil {
			out = append(out, book.Crown{Fret: l.FirstFret + i, Lane: l.Lane, OffMM: *off, UMM: *l.UMM[i]})
		}
	}
	return out, nil
}

// tidy takes off the last bits that a multiple of a step comes out with.
func tidy(mm float64) float64 { return math.Round(mm*1e7) / 1e7 }

func hexOf(sum [sha256.Size]byte) string { return hex.EncodeToString(sum[:]) }

// errCard marks a record.json, or a file beside it, that cannot be taken.
var errCard = errors.New("not as it was exported")

// readCard reads a record.json.
func readCard(data []byte) (*BookCard, error) {
	var c BookCard
	if err := json.Unmarshal(data, &c); err != nil {
		return nil, fmt.Errorf("record.json: %w: it is no longer JSON of the right form; export it again", errCard)
	}
	if c.Format != cardFormat {
		return nil, fmt.Errorf("record.json: %w: its format is %q; this program reads %q", errCard, c.Format, cardFormat)
	}
	return &c, nil
}

// entry is the entry that the card and its files make, checked against every
// checksum. What is derived is left out where the card has none that can be
// trusted.
func (c *BookCard) entry(neck, readings []byte) (*book.Entry, error) {
	e := &book.Entry{
		Number: c.Record, Added: c.Added, Serial: c.Serial, Stage: c.Stage, Note: c.Note, By: c.By, Why: c.Why, Tags: c.Tags,
		Files: book.Files{Neck: book.File{Name: c.NeckFile, Bytes: neck}, Readings: book.File{Name: c.ReadingsFile, Bytes: readings}},
	}
	switch {
	case hexOf(book.Digest(neck)) != c.NeckSHA256:
		return nil, fmt.Errorf("neck.toml: %w: its SHA-256 is another", errCard)
	case hexOf(book.Digest(readings)) != c.ReadingsSHA256:
		return nil, fmt.Errorf("readings.csv: %w: its SHA-256 is another", errCard)
	case c.Record < 1:
		return nil, fmt.Errorf("record.json: %w: %d is no record's number", errCard, c.Record)
	case c.Added.IsZero():
		return nil, fmt.Errorf("record.json: %w: it does not say when it was added", errCard)
	}
	if c.Corrects != "" {
		id, err := book.ParseIdentity(c.Corrects)
		if err != nil {
			return nil, fmt.Errorf("record.json: corrects: %w: %w", errCard, err)
		}
		e.Corrects = &id
	}
	if err := e.Check(); err != nil {
		return nil, fmt.Errorf("record.json: %w", err)
	}
	sealed := book.Sealed(e, c.Added)
	switch {
	case sealed.Identity.String() != c.Identity:
		return nil, fmt.Errorf("record.json: %w: serial, stage or what it corrects was changed", errCard)
	case hexOf(sealed.Seal) != c.Seal:
		return nil, fmt.Errorf("record.json: %w: its note, tags, time or names were changed", errCard)
	}
	if c.Derived != nil {
		if d, err := c.Derived.derived(); err == nil && hexOf(d.Seal()) == c.Derived.Seal {
			e.Derived = d
		}
	}
	return e, nil
}

// derived packs what was worked out.
func (k *CardDerived) derived() (book.Derived, error) {
	var crowns []book.Crown
	for _, l := range k.Crowns {
		c, err := l.crowns()
		if err != nil {
			return book.Derived{}, err
		}
		crowns = append(crowns, c...)
	}
	packed, err := book.Pack(crowns)
	d := book.Derived{Program: k.Program, Revision: k.Revision, Model: k.Model, States: k.State, Verdict: k.Verdict, ZoneMM: k.ZoneMM, WorstMM: k.WorstMM,
		MetalMM: k.MetalMM, MostMM: k.MostMM, Refits: k.Refits, FretsOff: k.FretsOff, Crowns: packed}
	if k.Taken != nil {
		d.Taken = k.Taken.UTC()
	}
	return d, err
}
