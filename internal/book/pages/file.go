package pages

import (
	"encoding/binary"
	"errors"
	"io"
)

// Smallest and largest page (section 1.3.2); a book's are of the usual size.
const (
	minPage   = 512
	maxPage   = 65536
	usualPage = 4096
)

// Source is a file's bytes.
type Source struct {
	io.ReaderAt
	Size int64
}

// File is a database file with its write-ahead log.
type File struct {
	base Source
	page int // bytes
	log  log
	last uint32 // the highest page number

	beyond bool    // an inner page points past the end
	onPage []Found // reused
}

// View is which version of a page is meant.
type View uint8

// A page that the log has is read from there; Replaced is what lies below it in the file.
const (
	Newest View = iota
	Replaced
)

// Open looks at a file and its log (Size 0 where there is none). An error is the
// disk's: no content is refused.
func Open(base, wal Source) (*File, error) {
	f := &File{base: base}
	var err error
	if f.page, err = pageSize(base); err != nil {
		return nil, err
	}
	if f.log, err = readLog(wal, f.page); err != nil {
		return nil, err
	}
	f.last = uint32(min((base.Size+int64(f.page)-1)/int64(f.page), 1<<32-1))
	for n := range f.log.at {
		f.last = max(f.last, n)
	}
	return f, nil
}

// Cut reports whether the file's end is missing: a page ends early, or both the
// header (section 1.3.7) and a page that Rows met name pages past the end.
func (f *File) Cut() bool {
	return f.base.Size%int64(f.page) != 0 && f.log.pages == 0 || f.beyond && f.promised() > int64(f.last)
}

// promised is how many pages the log's last change, or the header, says there are.
func (f *File) promised() int64 {
	if f.log.pages > 0 {
		return int64(f.log.pages)
	}
	b, err := f.read(1, Newest, nil)
	if err != nil || len(b) < 100 || string(b[:16]) != magic {
		return 0
	}
	return int64(binary.BigEndian.Uint32(b[28:]))
}

const magic = "SQLite format 3\x00"

// PageSize is in bytes.
func (f *File) PageSize() int { return f.page }

// read gives a page, cut short where the file ends in it, in the memory of into where
// that has room; empty where there is none.
func (f *File) read(n uint32, v View, into []byte) ([]byte, error) {
	if n == 0 || n > f.last {
		return nil, nil
	}
	src, at := f.base, int64(n-1)*int64(f.page)
	if where, ok := f.log.at[n]; ok && v == Newest {
		src, at = f.log.Source, where
	}
	if cap(into) < f.page {
		into = make([]byte, f.page)
	}
	return readAt(src, into[:f.page], at)
}

// readAt reads what there is.
func readAt(src Source, into []byte, at int64) ([]byte, error) {
	if at >= src.Size {
		return into[:0], nil
	}
	into = into[:min(int64(len(into)), src.Size-at)]
	n, err := src.ReadAt(into, at)
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return into[:n], err
}

// pageSize is the size by which most pages look like a b-tree's; the header's own
// word (section 1.3.2) where that looks as good.
func pageSize(base Source) (int, error) {
	head, err := readAt(base, make([]byte, 18), 0)
	if err != nil {
		return 0, err
	}
	said := usualPage
	if len(head) == 18 {
		if said = int(binary.BigEndian.Uint16(head[16:])); said == 1 {
			said = maxPage
		}
		if said < minPage || said&(said-1) != 0 {
			said = usualPage
		}
	}
	best, most := said, 0
	for _, size := range []int{said, 512, 1024, 2048, 4096, 8192, 16384, 32768, 65536} {
		n, err := lookingSound(base, size)
		if err != nil {
			return 0, err
		}
		if n > most {
			best, most = size, n
		}
	}
	return best, nil
}

// looked is how many bytes at a file's beginning tell its page size.
const looked = 4 << 20

// lookingSound counts the pages at a file's beginning that are sound b-tree pages
// by a page size.
func lookingSound(base Source, size int) (n int, err error) {
	page := make([]byte, size)
	for at := int64(0); at < min(base.Size, looked); at += int64(size) {
		b, err := readAt(base, page, at)
		if err != nil {
			return 0, err
		}
		if at == 0 && len(b) > 100 {
			continue // led by the file's header
		}
		if len(b) == size && kindOf(b) != 0 {
			n++
		}
	}
	return n, nil
}

// Kinds of b-tree pages (section 1.6).
const (
	indexInner = 2
	tableInner = 5
	indexLeaf  = 10
	tableLeaf  = 13
)

// kindOf is a b-tree page's kind, 0 where it is none or its cell
// pointers are not sound.
func kindOf(b []byte) byte {
	if len(b) < minPage {
		return 0
	}
	first := 8
	switch b[0] {
	case indexInner, tableInner:
		first = 12
	case indexLeaf, tableLeaf:
	default:
		return 0
	}
	cells := int(binary.BigEndian.Uint16(b[3:]))
	start := int(binary.BigEndian.Uint16(b[5:]))
	if start == 0 {
		start = maxPage
	}
	if cells == 0 || first+2*cells > start || start > len(b) {
		return 0
	}
	for i := range cells {
		if at := int(binary.BigEndian.Uint16(b[first+2*i:])); at < start || at >= len(b) {
			return 0
		}
	}
	return b[0]
}

// pointed are the places that a b-tree page's cell pointers name; none where they are
// not sound.
func pointed(b []byte, into map[int]bool) {
	clear(into)
	first := 8
	switch kindOf(b) {
	case 0:
		return
	case indexInner, tableInner:
		first = 12
	}
	for i := range int(binary.BigEndian.Uint16(b[3:])) {
		into[int(binary.BigEndian.Uint16(b[first+2*i:]))] = true
	}
}
