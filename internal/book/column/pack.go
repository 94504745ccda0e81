package column

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// Length is how many record numbers a stretch covers: stretch k is of the numbers
// from k·Length up to (k+1)·Length.
const Length = 4096

// The parts of a stretch. Those of frets begin at FirstFret: part FirstFret + n has
// the heights at fret n.
const (
	Names = iota
	Serials
	Figures
	Shapes
	FirstFret = 16
	parts     = FirstFret + 256
)

// Part is one column, or some that are read together.
type Part struct {
	Number int
	Bytes  []byte
}

// Packer packs the records of a stretch, which are added in order of their numbers.
type Packer struct {
	n                    int
	since, until         int64
	number, at           int64
	stages, models, tags words
	verdicts             words
	shapes               words
	out                  [parts][]byte
	frets                [][256][]byte // by shape: the heights of each fret, record after record
}

// words gives equal texts one small number.
type words struct {
	list []string
	at   map[string]int
}

func (w *words) of(text string) uint64 {
	at, known := w.at[text]
	if !known {
		if w.at == nil {
			w.at = map[string]int{}
		}
		at = len(w.list)
		w.list, w.at[text] = append(w.list, text), at
	}
	return uint64(at)
}

func (w *words) append(b []byte) []byte {
	b = binary.AppendUvarint(b, uint64(len(w.list)))
	for _, text := range w.list {
		b = appendText(b, text)
	}
	return b
}

func appendText(b []byte, text string) []byte {
	return append(binary.AppendUvarint(b, uint64(len(text))), text...)
}

// Add adds a record with all its columns. Crowns that are damaged are an error.
func (p *Packer) Add(r *book.Row, model string) error {
	shape, err := shapeOf(r.Crowns)
	if err != nil {
		return fmt.Errorf("record %d: %w", r.Number, err)
	}
	b := binary.AppendVarint(p.out[Names], r.Number-p.number)
	b = binary.AppendVarint(b, r.At.UnixMicro()-p.at)
	p.number, p.at = r.Number, r.At.UnixMicro()
	if p.n == 0 {
		p.since, p.until = p.at, p.at
	}
	p.since, p.until = min(p.since, p.at), max(p.until, p.at)
	for _, w := range []struct {
		words *words
		text  string
	}{{&p.stages, r.Stage}, {&p.models, model}, {&p.tags, r.Tags.Text()}} {
		b = binary.AppendUvarint(b, w.words.of(w.text))
	}
	p.out[Names] = b
	p.out[Serials] = appendText(p.out[Serials], r.Serial)
	p.figures(&r.Figures)
	kind := p.shapes.of(shape)
	p.out[Shapes] = binary.AppendUvarint(p.out[Shapes], kind)
	if int(kind) == len(p.frets) {
		p.frets = append(p.frets, [256][]byte{})
	}
	p.heights(r.Crowns, &p.frets[kind])
	p.n++
	return nil
}

func (p *Packer) figures(f *book.Figures) {
	b := binary.AppendUvarint(p.out[Figures], p.verdicts.of(f.Verdict))
	for _, size := range []num.Opt{f.ZoneMM, f.WorstMM, f.MetalMM, f.MostMM} {
		v := size.OrNaN()
		if !size.Known() {
			v = math.Float64frombits(missing)
		}
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	b = binary.AppendVarint(b, int64(f.Refits))
	p.out[Figures] = binary.AppendVarint(b, int64(f.FretsOff))
}

// missing is a NaN that no size has: a size that is not known.
const missing = 0x7ff8_0000_5274_7262

// shapeOf is what comes before the heights in packed crowns, but for the exponent of
// the uncertainties: which crowns they are of, and their step.
func shapeOf(c book.Packed) (string, error) {
	if err := c.Check(); err != nil {
		return "", err
	}
	var t book.CrownTable
	if err := c.Open(&t); err != nil {
		return "", err
	}
	head := slices.Clone(c[:len(c)-4*t.Frets*len(t.Lanes)])
	head[5] = 0
	return string(head), nil
}

// heights deals out a record's heights to its frets.
func (p *Packer) heights(c book.Packed, frets *[256][]byte) {
	lanes, first, count := int(c[1]), int(c[2]), int(c[3])
	from := len(c) - 4*lanes*count
	for f := range count {
		for l := range lanes {
			at := from + 2*(l*count+f)
			frets[first+f] = append(frets[first+f], c[at], c[at+1])
		}
	}
}

// Span is when the first and the last of the necks were read, in microseconds since 1970.
func (p *Packer) Span() (since, until int64) { return p.since, p.until }

// Parts are the stretch's columns, in order of their numbers.
func (p *Packer) Parts() []Part {
	head := func(words ...*words) []byte {
		b := binary.AppendUvarint(nil, uint64(p.n))
		for _, w := range words {
			b = w.append(b)
		}
		return b
	}
	all := []Part{
		{Names, append(head(&p.stages, &p.models, &p.tags), p.out[Names]...)},
		{Serials, append(head(), p.out[Serials]...)},
		{Figures, append(head(&p.verdicts), p.out[Figures]...)},
		{Shapes, append(head(&p.shapes), p.out[Shapes]...)},
	}
	for f := range 256 {
		var b []byte
		for kind := range p.frets {
			b = append(b, p.frets[kind][f]...)
		}
		if len(b) > 0 {
			all = append(all, Part{FirstFret + f, b})
		}
	}
	for i := range all {
		all[i].Bytes = binary.LittleEndian.AppendUint32(all[i].Bytes, crc32.Checksum(all[i].Bytes, castagnoli()))
	}
	return all
}

// Seal is a checksum of which stretch columns are of, and of the time they span.
func Seal(stretch, since, until int64) int64 {
	b := binary.LittleEndian.AppendUint64(nil, uint64(stretch))
	b = binary.LittleEndian.AppendUint64(b, uint64(since))
	b = binary.LittleEndian.AppendUint64(b, uint64(until))
	return int64(crc32.Checksum(b, castagnoli()))
}

// castagnoli is a checksum that processors work out by themselves.
func castagnoli() *crc32.Table { return crc32.MakeTable(crc32.Castagnoli) }
