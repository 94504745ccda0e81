package column

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// bytes reads what a Packer wrote; it stops at the first fault.
type bytes struct {
	b   []byte
	bad bool
}

// open takes off a part's checksum.
func open(part []byte) (bytes, error) {
	n := len(part) - 4
	if n < 0 || crc32.Checksum(part[:n], castagnoli()) != binary.LittleEndian.Uint32(part[n:]) {
		return bytes{}, fmt.Errorf("%w: columns that are not as they were written", book.ErrDamaged)
	}
	return bytes{b: part[:n]}, nil
}

func (r *bytes) size() int {
	v, n := binary.Uvarint(r.b)
	if n <= 0 || v > math.MaxInt32 {
		r.b, r.bad = nil, true
		return 0
	}
	r.b = r.b[n:]
	return int(v)
}

func (r *bytes) signed() int64 {
	v, n := binary.Varint(r.b)
	if n <= 0 {
		r.b, r.bad = nil, true
		return 0
	}
	r.b = r.b[n:]
	return v
}

func (r *bytes) take(n int) []byte {
	if n < 0 || n > len(r.b) {
		r.b, r.bad = nil, true
		return nil
	}
	taken := r.b[:n]
	r.b = r.b[n:]
	return taken
}

func (r *bytes) words() (list []string) {
	for n := r.size(); n > 0 && !r.bad; n-- {
		list = append(list, string(r.take(r.size())))
	}
	return list
}

// word is a place in a list.
func (r *bytes) word(list []string) int {
	at := r.size()
	if at >= len(list) {
		r.bad = true
		return 0
	}
	return at
}

func (r *bytes) err() error {
	if r.bad || len(r.b) > 0 {
		return fmt.Errorf("%w: columns of the wrong length", book.ErrDamaged)
	}
	return nil
}

// Name is what names a record: places in the lists of words, and its number and time.
type Name struct {
	Number             int64
	At                 int64 // microseconds since 1970
	Stage, Model, Tags int32
}

// NameList is the part Names.
type NameList struct {
	Stages, Models, Tags []string // Tags are texts
	All                  []Name   // in order of numbers
}

// ReadNames reads the part Names.
func ReadNames(part []byte) (l NameList, err error) {
	r, err := open(part)
	if err != nil {
		return l, err
	}
	n := min(r.size(), Length)
	l.Stages, l.Models, l.Tags = r.words(), r.words(), r.words()
	l.All = make([]Name, n)
	var last Name
	for i := range l.All {
		last.Number += r.signed()
		last.At += r.signed()
		last.Stage, last.Model, last.Tags = int32(r.word(l.Stages)), int32(r.word(l.Models)), int32(r.word(l.Tags))
		l.All[i] = last
	}
	return l, r.err()
}

// ReadSerials reads the part Serials. The serials share their memory.
func ReadSerials(part []byte) ([]string, error) {
	r, err := open(part)
	if err != nil {
		return nil, err
	}
	list := make([]string, min(r.size(), Length))
	whole := string(r.b)
	for i := range list {
		n := r.size()
		from := len(whole) - len(r.b)
		r.take(n)
		if r.bad {
			break
		}
		list[i] = whole[from : from+n]
	}
	return list, r.err()
}

// FigureList is the part Figures, read record after record.
type FigureList struct {
	r        bytes
	verdicts []string
}

// ReadFigures begins to read the part Figures.
func ReadFigures(part []byte) (l FigureList, err error) {
	if l.r, err = open(part); err == nil {
		l.r.size()
		l.verdicts = l.r.words()
	}
	return l, err
}

// Next reads the next record's.
func (l *FigureList) Next(f *book.Figures) error {
	f.Verdict = ""
	if at := l.r.word(l.verdicts); !l.r.bad {
		f.Verdict = l.verdicts[at]
	}
	b := l.r.take(4 * 8)
	if b == nil {
		return fmt.Errorf("%w: columns of the wrong length", book.ErrDamaged)
	}
	for i, size := range []*num.Opt{&f.ZoneMM, &f.WorstMM, &f.MetalMM, &f.MostMM} {
		bits := binary.LittleEndian.Uint64(b[8*i:])
		*size = num.Opt{}
		if bits != missing {
			*size = num.Some(math.Float64frombits(bits))
		}
	}
	f.Refits, f.FretsOff = int(l.r.signed()), int(l.r.signed())
	if l.r.bad {
		return fmt.Errorf("%w: columns of the wrong length", book.ErrDamaged)
	}
	return nil
}

// ShapeList is the part Shapes.
type ShapeList struct {
	Kinds   []book.CrownTable // without heights
	Of      []int32           // of each record
	records [][]int32         // of each kind
}

// ReadShapes reads the part Shapes.
func ReadShapes(part []byte) (l ShapeList, err error) {
	r, err := open(part)
	if err != nil {
		return l, err
	}
	l.Of = make([]int32, min(r.size(), Length))
	heads := r.words()
	for _, h := range heads {
		var t book.CrownTable
		head := make(book.Packed, len(h))
		copy(head, h)
		if len(h) < 4 {
			return l, fmt.Errorf("%w: crowns cut short", book.ErrDamaged)
		}
		head = append(head, make([]byte, 4*int(h[1])*int(h[3]))...)
		if err := head.Open(&t); err != nil {
			return l, err
		}
		l.Kinds = append(l.Kinds, t)
	}
	l.records = make([][]int32, len(heads))
	for i := range l.Of {
		kind := r.word(heads)
		if l.Of[i] = int32(kind); !r.bad {
			l.records[kind] = append(l.records[kind], int32(i))
		}
	}
	return l, r.err()
}

// Fret calls fn with the crowns at one fret of each kind of record, as Crowns says.
func (l *ShapeList) Fret(part []byte, fret int, fn func(book.Crowns)) error {
	r, err := open(part)
	if err != nil {
		return err
	}
	var all []book.Crowns
	for i := range l.Kinds {
		if l.Kinds[i].HasFret(fret) && len(l.records[i]) > 0 {
			t := l.Kinds[i].At(fret)
			all = append(all, book.Crowns{Records: l.records[i], Table: &t, Heights: r.take(2 * len(t.Lanes) * len(l.records[i]))})
		}
	}
	if err := r.err(); err != nil {
		return err
	}
	for _, c := range all {
		fn(c)
	}
	return nil
}

// Time is a name's time.
func (n Name) Time() time.Time { return time.UnixMicro(n.At).UTC() }
