package book

import (
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"time"

	"ringtrue/internal/drift"
)

// FretScanner is a book that reads crowns fret by fret.
type FretScanner interface {
	// ScanFrets calls fn as Scan does, with Crowned told too, and gives the crowns of
	// the records that it handed out, which are counted from 0.
	ScanFrets(ctx context.Context, f Filter, want Columns, fn func(*Row) error) (FretReader, error)
}

// FretReader reads crowns fret by fret. What it hands out is good until the function
// returns. Methods may be called by several goroutines at once.
type FretReader interface {
	// Shapes hands out every record's shape that has crowns: a table without heights,
	// one for neighbours that are alike.
	Shapes(fn func(record int, t *CrownTable))

	// Fret hands out the crowns of one fret, those of many records at once. ErrBusy:
	// records were worked out again since they were scanned.
	Fret(ctx context.Context, fret int, fn func(Crowns)) error
}

// Crowns are what records that are alike have at one fret.
type Crowns struct {
	Records []int32     // ascending
	Table   *CrownTable // of that fret alone, without heights
	Heights []byte      // record after record, lane after lane: 2 bytes each
}

// Each sets the table to one record after the other.
func (c Crowns) Each(fn func(record int, t *CrownTable)) {
	t, long := *c.Table, 2*len(c.Table.Lanes)
	for i, r := range c.Records {
		t.heights = c.Heights[i*long:][:long]
		fn(int(r), &t)
	}
}

// Pick leaves out records for which place gives a number below 0, and puts their
// places instead of the others. room is memory to be used again.
func (c Crowns) Pick(place func(record int32) int32, room *Crowns) Crowns {
	long := 2 * len(c.Table.Lanes)
	records := room.Records[:0]
	dropped := false
	heights := room.Heights[:0]
	for i, r := range c.Records {
		at := place(r)
		if at < 0 && !dropped {
			dropped = true
			heights = append(heights, c.Heights[:i*long]...)
		}
		if at < 0 {
			continue
		}
		records = append(records, at)
		if dropped {
			heights = append(heights, c.Heights[i*long:][:long]...)
		}
	}
	room.Records, room.Heights = records, heights
	if !dropped {
		heights = c.Heights
	}
	return Crowns{Records: records, Table: c.Table, Heights: heights}
}

// scanFrets reads a book fret by fret, or keeps the crowns of one that cannot.
func scanFrets(ctx context.Context, s Scanner, f Filter, want Columns, fn func(*Row) error) (FretReader, error) {
	if by, ok := s.(FretScanner); ok {
		return by.ScanFrets(ctx, f, want, fn)
	}
	var k KeptCrowns
	n := 0
	err := s.Scan(ctx, f, want|CrownColumns, func(r *Row) (err error) {
		if r.Crowned, err = k.Keep(n, r.Crowns); err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		n++
		return fn(r)
	})
	return &k, err
}

// KeptCrowns are crowns in memory, as a FretReader.
type KeptCrowns struct {
	tables []*CrownTable // without heights
	kept   []keptRecord
	slab   []byte // heights, of many records at once
}

type keptRecord struct {
	record  int
	table   *CrownTable
	heights []byte
}

// slabBytes is for how many heights room is made at once.
const slabBytes = 1 << 17

// Keep keeps a record's crowns, and says whether it has any.
func (k *KeptCrowns) Keep(record int, p Packed) (bool, error) {
	var t CrownTable
	if err := p.Open(&t); err != nil {
		return false, err
	}
	if len(t.heights) == 0 {
		return false, nil
	}
	if len(k.slab)+len(t.heights) > cap(k.slab) {
		k.slab = make([]byte, 0, max(slabBytes, len(t.heights)))
	}
	from := len(k.slab)
	k.slab = append(k.slab, t.heights...)
	k.kept = append(k.kept, keptRecord{record, k.like(&t), k.slab[from:]})
	return true, nil
}

// like gives like records one table. A book has few of them.
func (k *KeptCrowns) like(t *CrownTable) *CrownTable {
	for _, o := range k.tables {
		if o.FirstFret == t.FirstFret && o.Frets == t.Frets && o.StepMM == t.StepMM && slices.Equal(o.Lanes, t.Lanes) {
			return o
		}
	}
	k.tables = append(k.tables, &CrownTable{FirstFret: t.FirstFret, Frets: t.Frets, StepMM: t.StepMM, Lanes: slices.Clone(t.Lanes)})
	return k.tables[len(k.tables)-1]
}

// Shapes is FretReader's.
func (k *KeptCrowns) Shapes(fn func(record int, t *CrownTable)) {
	for _, r := range k.kept {
		fn(r.record, r.table)
	}
}

// Fret is FretReader's.
func (k *KeptCrowns) Fret(ctx context.Context, fret int, fn func(Crowns)) error {
	var c Crowns
	for i, r := range k.kept {
		t := r.table
		if !t.HasFret(fret) {
			continue
		}
		if len(c.Records) == 0 {
			one := t.At(fret)
			c.Table = &one
		}
		c.Records = append(c.Records, int32(r.record))
		for l := range t.Lanes {
			at := 2 * (l*t.Frets + fret - t.FirstFret)
			c.Heights = append(c.Heights, r.heights[at], r.heights[at+1])
		}
		if i+1 == len(k.kept) || k.kept[i+1].table != t {
			fn(c)
			c.Records, c.Heights = c.Records[:0], c.Heights[:0]
		}
	}
	return ctx.Err()
}

// Heights reads where every crown stands from the book, of each neck's latest
// record that a filter picks (Stage "": SeatedStage), in order of time, and
// gives the stage read. ErrNotFound: no record of that kind.
func Heights(ctx context.Context, s Scanner, f Filter) (h drift.Heights, stage string, notes []Note, err error) {
	var t heights
	scan := func(ctx context.Context, f Filter, fn func(*Row) error) (err error) {
		t.crowns, err = scanFrets(ctx, s, f, NameColumns|TagTextColumn, fn)
		return err
	}
	records, f, notes, err := latest(ctx, s, f, scan, func(r *Row, n *neckValue) error {
		n.told, n.word = r.Crowned, r.TagText
		return nil
	})
	if err != nil {
		return nil, "", nil, err
	}
	all := len(records)
	records = slices.DeleteFunc(records, func(n neckValue) bool { return !n.told })
	if left := all - len(records); left > 0 {
		notes = append(notes, Note{Undetermined, left, all})
	}
	t.place(records)
	return &t, f.Stage, notes, nil
}

// heights are necks whose crowns stay in the book.
type heights struct {
	necks  []neckValue
	crowns FretReader
	neck   []int32 // of each record, counted from 1; 0 where it is left out
}

func (h *heights) place(necks []neckValue) {
	h.necks = necks
	last := int32(-1)
	for _, n := range necks {
		last = max(last, n.row)
	}
	h.neck = make([]int32, last+1)
	for i, n := range necks {
		h.neck[n.row] = int32(i) + 1
	}
}

// of is a record's neck, counted from 0; below that where it is left out.
func (h *heights) of(record int32) int32 {
	if int(record) >= len(h.neck) {
		return -1
	}
	return h.neck[record] - 1
}

func (h *heights) Len() int                { return len(h.necks) }
func (h *heights) Label(neck int) string   { return h.necks[neck].serial }
func (h *heights) Date(neck int) time.Time { return h.necks[neck].date() }

func (h *heights) Tags(neck int) map[string]string {
	tags, err := ParseTags(h.necks[neck].word)
	if err != nil {
		return nil // a damaged record: check names it
	}
	return tags
}

func (h *heights) Tag(neck int, tag string) string {
	v, _ := TagIn(h.necks[neck].word, tag)
	return v
}

func (h *heights) Shapes(fn func(neck int, s *drift.Shape)) {
	var shapes shapes
	h.crowns.Shapes(func(record int, t *CrownTable) {
		if neck := h.of(int32(record)); neck >= 0 {
			fn(int(neck), shapes.of(t))
		}
	})
}

// shapes turns tables into shapes, neighbours that are alike into one.
type shapes struct {
	table *CrownTable
	shape *drift.Shape
}

func (s *shapes) of(t *CrownTable) *drift.Shape {
	if t != s.table {
		s.table = t
		s.shape = &drift.Shape{FirstFret: t.FirstFret, Frets: t.Frets, Lanes: t.Lanes, StepMM: t.StepMM}
	}
	return s.shape
}

func (h *heights) Fret(ctx context.Context, fret int, fn func(necks []int32, s *drift.Shape, steps []int16)) error {
	var steps []int16
	var room Crowns
	return h.crowns.Fret(ctx, fret, func(c Crowns) {
		c = c.Pick(h.of, &room)
		steps = slices.Grow(steps[:0], len(c.Heights)/2)[:len(c.Heights)/2]
		for i := range steps {
			steps[i] = int16(binary.LittleEndian.Uint16(c.Heights[2*i:])) // none is drift.NoHeight
		}
		t := c.Table
		fn(c.Records, &drift.Shape{FirstFret: t.FirstFret, Frets: t.Frets, Lanes: t.Lanes, StepMM: t.StepMM}, steps)
	})
}
