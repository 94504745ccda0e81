package book

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"
)

// File is a file as the maker gave it: its name without folders, and its bytes.
type File struct {
	Name  string
	Bytes []byte
}

// Files are the two that a record is made from.
type Files struct{ Neck, Readings File }

// Identity tells one record from another by what it is of: serial, stage, both
// files and the record it corrects. Giving the same things twice is one record.
type Identity [sha256.Size]byte

// String is the identity in hexadecimal.
func (id Identity) String() string { return hex.EncodeToString(id[:]) }

// ParseIdentity reads what String writes.
func ParseIdentity(s string) (Identity, error) {
	var id Identity
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != len(id) || hex.EncodeToString(b) != s {
		return id, fmt.Errorf("%q is not an identity of 64 hexadecimal digits", s)
	}
	copy(id[:], b)
	return id, nil
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
func Digest(b []byte) [sha256.Size]byte { return sha256.Sum256(b) }

func identify(serial, stage string, neck, readings [sha256.Size]byte, corrects *Identity) Identity {
	var none Identity
	if corrects == nil {
		corrects = &none
	}
	return Identity(hashOf([]byte("ringtrue record"), []byte(serial), []byte(stage), neck[:], readings[:], corrects[:]))
}

// hashOf is the SHA-256 of parts, each led by its length.
func hashOf(parts ...[]byte) [sha256.Size]byte {
	h := sha256.New()
	var n [8]byte
	for _, p := range parts {
		binary.LittleEndian.PutUint64(n[:], uint64(len(p)))
		h.Write(n[:])
		h.Write(p)
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// Record is one record as the book holds it, without the bytes of its files.
type Record struct {
	Number        int64
	Identity      Identity
	Serial, Stage string
	Added         time.Time // UTC, to the microsecond
	Note, By, Why string
	Corrects      *Identity
	CorrectsNo    int64 // its number in this book; 0 where nothing is corrected
	CorrectedBy   int64 // the latest record that corrects this one; 0 where none
	Tags          Tags
	NeckName      string // of the files
	ReadingsName  string
	NeckDigest    [sha256.Size]byte
	ReadDigest    [sha256.Size]byte
	Seal          [sha256.Size]byte
	Derived       Derived
	DerivedSeal   [sha256.Size]byte
}

// At is when the neck was read: the readings' own date where they carry one,
// else when the record was added.
func (r *Record) At() time.Time {
	if !r.Derived.Taken.IsZero() {
		return r.Derived.Taken
	}
	return r.Added
}

// SealOf is a checksum over everything of a record that never changes, but for
// its number, which is the book's. It tells flipped bytes.
func SealOf(r *Record) [sha256.Size]byte {
	var corrects Identity
	if r.Corrects != nil {
		corrects = *r.Corrects
	}
	return hashOf([]byte("ringtrue seal"), r.Identity[:], []byte(r.Serial), []byte(r.Stage),
		binary.LittleEndian.AppendUint64(nil, uint64(r.Added.UnixMicro())),
		[]byte(r.Note), []byte(r.By), []byte(r.Why), corrects[:], []byte(r.Tags.Text()),
		[]byte(r.NeckName), []byte(r.ReadingsName), r.NeckDigest[:], r.ReadDigest[:])
}

// Sealed is the record that an entry becomes when added at a time, complete but
// for its number.
func Sealed(e *Entry, added time.Time) Record {
	r := Record{
		Serial: e.Serial, Stage: e.Stage, Added: added.UTC().Truncate(time.Microsecond),
		Note: e.Note, By: e.By, Why: e.Why, Corrects: e.Corrects, Tags: e.Tags,
		NeckName: e.Files.Neck.Name, ReadingsName: e.Files.Readings.Name,
		NeckDigest: Digest(e.Files.Neck.Bytes), ReadDigest: Digest(e.Files.Readings.Bytes),
		Derived: e.Derived,
	}
	r.Identity = identify(r.Serial, r.Stage, r.NeckDigest, r.ReadDigest, r.Corrects)
	r.Seal = SealOf(&r)
	r.DerivedSeal = r.Derived.Seal()
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
	case SealOf(r) != r.Seal:
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
