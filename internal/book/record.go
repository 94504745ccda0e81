package book

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"
)

// File is a file as the maker gave it: its name without folders, and its bytes.
type File struct {
	Name  string
	Bytes []byte
}

// Files are the two that a record is made from.
type Files struct{ Neck, Readings File }

// Sum is a SHA-256 checksum, in JSON in hexadecimal.
type Sum [sha256.Size]byte

// Identity tells one record from another by what it is of: serial, stage, both
// files and the record it corrects. Giving the same things twice is one record.
type Identity = Sum

// String is the checksum in hexadecimal.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// MarshalText writes what String does.
func (s Sum) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what String writes. Any other text is a checksum of
// nothing, zero: it is found out where checksums are compared.
func (s *Sum) UnmarshalText(text []byte) error {
	*s = Sum{}
	if b, err := hex.DecodeString(string(text)); err == nil && len(b) == len(s) && hex.EncodeToString(b) == string(text) {
		copy(s[:], b)
	}
	return nil
}

// Tags are free words about a record: wire=lot7.
type Tags map[string]string

// Text is the tags as JSON with sorted keys: equal tags have equal texts.
func (t Tags) Text() string {
	if len(t) == 0 {
		return "{}"
	}
	b, err := json.Marshal(t)
	if err != nil {
		panic(err) // a map of strings always has a JSON form
	}
	return string(b)
}

// ParseTags reads what Text writes, and nothing else: filters look for a tag in
// the text as it is written.
func ParseTags(s string) (Tags, error) {
	t := Tags{}
	if s == "{}" {
		return t, nil
	}
	if err := json.Unmarshal([]byte(s), &t); err != nil {
		return nil, fmt.Errorf("tags: %w", err)
	}
	if t.Text() != s {
		return nil, fmt.Errorf("tags: not as they were written")
	}
	return t, nil
}

// TagIn is the value of one tag in a text that Text wrote, without reading the rest.
func TagIn(text, tag string) (value string, there bool) { return KeyOf(tag).In(text) }

// TagKey finds one tag in many texts.
type TagKey string

// KeyOf is how a text that Text wrote begins a tag: `"wire":"` is only that, as within
// a word its quotes would be escaped.
func KeyOf(tag string) TagKey {
	key := strings.Trim(Tags{tag: ""}.Text(), "{}")
	return TagKey(key[:len(key)-1])
}

// In is TagIn.
func (k TagKey) In(text string) (value string, there bool) {
	_, rest, there := strings.Cut(text, string(k))
	if !there {
		return "", false
	}
	for end := 0; end < len(rest); end++ {
		switch rest[end] {
		case '\\':
			end++
		case '"':
			if value = rest[:end]; !strings.Contains(value, `\`) {
				return value, true
			}
			err := json.Unmarshal([]byte(`"`+value+`"`), &value)
			return value, err == nil
		}
	}
	return "", false
}

// Entry is what goes into the book.
type Entry struct {
	Serial, Stage string
	Note          string
	By            string // who entered it
	Why           string // of a correction
	Corrects      *Identity
	Tags          Tags
	Files         Files
	Derived       Derived

	// Number and Added are set where a record comes from another book: it then
	// keeps its time, and its number where that is free.
	Number int64
	Added  time.Time
}

// Identity works out which record the entry is.
func (e *Entry) Identity() Identity {
	return identify(e.Serial, e.Stage, Digest(e.Files.Neck.Bytes), Digest(e.Files.Readings.Bytes), e.Corrects)
}

// Digest is the SHA-256 of a file's bytes.
func Digest(b []byte) Sum { return sha256.Sum256(b) }

func identify(serial, stage string, neck, readings Sum, corrects *Identity) Identity {
	var none Identity
	if corrects == nil {
		corrects = &none
	}
	return hashOf([]byte("ringtrue record"), []byte(serial), []byte(stage), neck[:], readings[:], corrects[:])
}

// hashOf is the SHA-256 of parts, each led by its length.
func hashOf(parts ...[]byte) Sum {
	h := sha256.New()
	var n [8]byte
	for _, p := range parts {
		binary.LittleEndian.PutUint64(n[:], uint64(len(p)))
		h.Write(n[:])
		h.Write(p)
	}
	return Sum(h.Sum(nil))
}

// Record is one record as the book holds it, without the bytes of its files. JSON
// has what never changes of it.
type Record struct {
	Number       int64     `json:"record"`
	Serial       string    `json:"serial"`
	Stage        string    `json:"stage"`
	Added        time.Time `json:"added"` // UTC, to the microsecond
	Tags         Tags      `json:"tags"`
	Note         string    `json:"note,omitempty"`
	By           string    `json:"by,omitempty"`
	Why          string    `json:"why,omitempty"`
	Corrects     *Identity `json:"corrects,omitempty"`
	NeckName     string    `json:"neck_file"` // of the files, as they were given
	NeckDigest   Sum       `json:"neck_sha256"`
	ReadingsName string    `json:"readings_file"`
	ReadDigest   Sum       `json:"readings_sha256"`
	Identity     Identity  `json:"identity"`
	Checksum     Sum       `json:"seal"` // ChecksumOf

	CorrectsNo      int64   `json:"-"` // the number in this book of what it corrects; 0 where nothing is
	CorrectedBy     int64   `json:"-"` // the latest record that corrects this one; 0 where none
	Derived         Derived `json:"-"`
	DerivedChecksum Sum     `json:"-"`
}

// At is when the neck was read: the readings' own date where they carry one,
// else when the record was added.
func (r *Record) At() time.Time {
	if !r.Derived.Taken.IsZero() {
		return r.Derived.Taken
	}
	return r.Added
}

// ChecksumOf is a checksum over everything of a record that never changes, but for
// its number, which is the book's. It tells flipped bytes.
func ChecksumOf(r *Record) Sum {
	var corrects Identity
	if r.Corrects != nil {
		corrects = *r.Corrects
	}
	return hashOf([]byte("ringtrue seal"), r.Identity[:], []byte(r.Serial), []byte(r.Stage),
		binary.LittleEndian.AppendUint64(nil, uint64(r.Added.UnixMicro())),
		[]byte(r.Note), []byte(r.By), []byte(r.Why), corrects[:], []byte(r.Tags.Text()),
		[]byte(r.NeckName), []byte(r.ReadingsName), r.NeckDigest[:], r.ReadDigest[:])
}

// RecordOf is the record that an entry becomes when added at a time, complete but
// for its number.
func RecordOf(e *Entry, added time.Time) Record {
	r := Record{
		Serial: e.Serial, Stage: e.Stage, Added: added.UTC().Truncate(time.Microsecond),
		Note: e.Note, By: e.By, Why: e.Why, Corrects: e.Corrects, Tags: e.Tags,
		NeckName: e.Files.Neck.Name, ReadingsName: e.Files.Readings.Name,
		NeckDigest: Digest(e.Files.Neck.Bytes), ReadDigest: Digest(e.Files.Readings.Bytes),
		Derived: e.Derived,
	}
	r.Identity = identify(r.Serial, r.Stage, r.NeckDigest, r.ReadDigest, r.Corrects)
	r.Checksum = ChecksumOf(&r)
	r.DerivedChecksum = r.Derived.Checksum()
	return r
}

// Whole tells what is damaged in a record and its files, or nil.
func Whole(r *Record, f Files) error {
	switch {
	case Digest(f.Neck.Bytes) != r.NeckDigest:
		return fmt.Errorf("%w: the neck file is not the one that was given", ErrDamaged)
	case Digest(f.Readings.Bytes) != r.ReadDigest:
		return fmt.Errorf("%w: the readings are not the ones that were given", ErrDamaged)
	case identify(r.Serial, r.Stage, r.NeckDigest, r.ReadDigest, r.Corrects) != r.Identity:
		return fmt.Errorf("%w: serial, stage or files are not what was recorded", ErrDamaged)
	case ChecksumOf(r) != r.Checksum:
		return fmt.Errorf("%w: its note, tags, time or names are not what was recorded", ErrDamaged)
	}
	return nil
}

// AddedAt is the time a new entry is recorded under: its own where it comes
// from another book, else the clock's, but always after the last record of the
// same neck (microseconds since 1970, 0 for none). So a neck's records keep
// their order when a clock is set back.
func AddedAt(e *Entry, now time.Time, lastOfNeck int64) time.Time {
	if !e.Added.IsZero() {
		return e.Added
	}
	if now.UnixMicro() <= lastOfNeck {
		return time.UnixMicro(lastOfNeck + 1).UTC()
	}
	return now
}

// Behind is how far a clock stood behind the time that AddedAt gave an entry, 0
// where it did not, or where the entry brought its own.
func Behind(e *Entry, added, now time.Time) time.Duration {
	if !e.Added.IsZero() {
		return 0
	}
	return max(0, added.Sub(now))
}
