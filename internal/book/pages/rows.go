package pages

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
)

// Ref is where a row lies.
type Ref struct {
	page uint32
	at   uint16 // of its header
	view View
}

// Below is the same place in the file below the log.
func (r Ref) Below() Ref { r.view = Replaced; return r }

// Found is a row that has one of the shapes.
type Found struct {
	Ref
	Shape    int
	Number   int64 // the row's; 0 where what stands before its header is damaged, and of an index
	Live     bool  // the page's cell pointers are sound and name it: it is no copy that was left behind
	Behind   bool  // it is such a copy: the page is sound and has no place for it
	Replaced bool  // the log has another version of its page
}

// Rows calls fn for every row of the shapes, in order of pages, the log's first.
func (f *File) Rows(ctx context.Context, shapes []Shape, fn func(Found) error) error {
	find := newFinder(shapes)
	named := map[int]bool{}
	var page []byte
	for n := uint32(1); n != 0 && n <= f.last; n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		views := []View{Newest}
		if _, has := f.log.at[n]; has {
			views = append(views, Replaced)
		}
		for _, v := range views {
			b, err := f.read(n, v, page)
			if err != nil {
				return err
			}
			page = b[:0]
			f.lookBeyond(b)
			pointed(b, named)
			if err := f.inPage(b, find, Ref{page: n, view: v}, named, fn); err != nil {
				return err
			}
		}
	}
	return nil
}

// lookBeyond notes whether an inner page points past the file's end.
func (f *File) lookBeyond(b []byte) {
	if kind := kindOf(b); kind != indexInner && kind != tableInner {
		return
	}
	children := []int{8}
	for i := range int(binary.BigEndian.Uint16(b[3:])) {
		children = append(children, int(binary.BigEndian.Uint16(b[12+2*i:])))
	}
	for _, at := range children {
		if at+4 <= len(b) && binary.BigEndian.Uint32(b[at:]) > f.last {
			f.beyond = true
		}
	}
}

// inPage calls fn for every row that begins on a page.
func (f *File) inPage(b []byte, find *finder, ref Ref, named map[int]bool, fn func(Found) error) error {
	live := 0
	f.onPage = f.onPage[:0]
	f.eachRow(b, find, ref, named, func(x Found) {
		if x.Live {
			live++
		}
		f.onPage = append(f.onPage, x)
	})
	for _, x := range f.onPage {
		elsewhere := kindOf(b) != tableLeaf && !find.shapes[x.Shape].Index // the page has another use now
		x.Behind = !x.Live && len(named) > 0 && (elsewhere || live == len(named))
		if err := fn(x); err != nil {
			return err
		}
	}
	return nil
}

// eachRow calls fn for every place of a page that looks like a row.
func (f *File) eachRow(b []byte, find *finder, ref Ref, named map[int]bool, fn func(Found)) {
	for at := range b {
		which, payload := find.at(b[at:])
		if which < 0 || int64(payload) > f.base.Size+f.log.Size {
			continue
		}
		shape := &find.shapes[which]
		ref.at = uint16(at)
		x := Found{Ref: ref, Shape: which, Replaced: ref.view == Replaced}
		begin := at
		if !shape.Index {
			number, n := varintBefore(b[:at])
			x.Number, begin = int64(number), at-n
		} else if b[0] != indexInner && b[0] != indexLeaf {
			continue
		}
		size := varintOf(payload)
		switch {
		case bytes.HasSuffix(b[:begin], size):
			cell := begin - len(size)
			if b[0] == indexInner {
				cell -= 4 // led by the left child's number
			}
			x.Live = named[cell]
		case shape.Bare:
			x.Number = 0
		default:
			continue // too little of it is left to tell it from chance
		}
		fn(x)
	}
}

// local is how many bytes of a payload lie on a table's leaf page (section 1.6).
func (f *File) local(payload int) int {
	u := f.page
	if payload <= u-35 {
		return payload
	}
	least := (u-12)*32/255 - 23
	if k := least + (payload-least)%(u-4); k <= u-35 {
		return k
	}
	return least
}

// ErrRow is a row that cannot be read to its end.
var ErrRow = errors.New("its pages do not follow each other to its end")

// Values reads a row. With ErrRow come the values before the fault, the others of
// Kind 0; any other error is the disk's.
func (f *File) Values(r Ref) ([]Value, error) {
	b, err := f.read(r.page, r.view, nil)
	if err != nil {
		return nil, err
	}
	if int(r.at) >= len(b) {
		return nil, ErrRow
	}
	types, payload := header(b[r.at:], nil)
	if payload == 0 || int64(payload) > f.base.Size+f.log.Size {
		return nil, ErrRow
	}
	size := int(b[r.at])
	whole, err := f.payload(b[r.at:], payload, r.view)
	if err != nil && !errors.Is(err, ErrRow) {
		return nil, err
	}
	values, at := make([]Value, len(types)), size
	for i, t := range types {
		_, n := measure(t)
		if at+n > len(whole) {
			break
		}
		values[i] = valueOf(t, whole[at:at+n])
		at += n
	}
	return values, err
}

// payload gathers a row's bytes from its page and its chain of overflow pages
// (section 1.6.1), with ErrRow as far as they go.
func (f *File) payload(b []byte, size int, v View) ([]byte, error) {
	local := f.local(size)
	if local > len(b) {
		return b, ErrRow
	}
	if size == local {
		return b[:local], nil
	}
	if local+4 > len(b) {
		return b[:local], ErrRow
	}
	whole := append(make([]byte, 0, min(size, 1<<16)), b[:local]...) // a damaged size may be far too large
	var page []byte
	for next := binary.BigEndian.Uint32(b[local:]); len(whole) < size; {
		var err error
		if page, err = f.read(next, v, page); err != nil {
			return whole, err
		}
		take := min(size-len(whole), f.page-4)
		if len(page) < 4+take {
			return whole, ErrRow
		}
		next = binary.BigEndian.Uint32(page)
		whole = append(whole, page[4:4+take]...)
	}
	return whole, nil
}
