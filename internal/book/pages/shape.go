package pages

// Column is what a column of a row may be.
type Column struct {
	Kinds Kind
	Bytes int // of a Blob; 0: any number
}

// Shape is what the rows of one table, or of one index, look like.
type Shape struct {
	Columns []Column
	More    bool // further columns may follow, as later versions of a table add them
	Index   bool // its rows have no number of their own
	Bare    bool // looked for too where what stands before a row's header is damaged
}

// maxHeader is the longest header of a row that is looked for: its size is one byte.
const maxHeader = 0x7f

// fits reports whether a row of these serial types has the shape.
func (s *Shape) fits(types []uint64) bool {
	if len(types) < len(s.Columns) || len(types) > len(s.Columns) && !s.More {
		return false
	}
	for i, c := range s.Columns {
		kind, size := measure(types[i])
		if kind&c.Kinds == 0 || kind == Blob && c.Bytes > 0 && size != c.Bytes {
			return false
		}
	}
	return true
}

// header reads a row's header: its serial types, appended to into, and how long the
// whole payload is, header and values; 0 where b does not begin with a header
// (section 2.1).
func header(b []byte, into []uint64) (types []uint64, payload int) {
	types = into
	if len(b) == 0 || b[0] < 2 || b[0] > maxHeader || int(b[0]) > len(b) {
		return types, 0
	}
	size := int(b[0])
	payload = size
	for at := 1; at < size; {
		t, n := varint(b[at:size])
		kind, bytes := measure(t)
		if n == 0 || kind == 0 || n > 1 && b[at] == 0x80 {
			return types, 0
		}
		types = append(types, t)
		payload += bytes
		at += n
	}
	if payload > maxValue {
		return types, 0
	}
	return types, payload
}

// finder picks the places of a page at which a row of one of the shapes may begin,
// by the first two bytes.
type finder struct {
	shapes []Shape
	size   [256]bool // header sizes that a shape can have
	first  [256]bool // first bytes of the first column's type
	types  []uint64  // reused
}

func newFinder(shapes []Shape) *finder {
	f := &finder{shapes: shapes}
	for _, s := range shapes {
		for size := 1 + len(s.Columns); size <= maxHeader; size++ {
			f.size[size] = true
		}
		c := s.Columns[0]
		for t := range 256 {
			kind, bytes := measure(uint64(t & 0x7f))
			f.first[t] = f.first[t] || t >= 0x80 && c.Kinds&(Text|Blob) != 0 ||
				t < 0x80 && kind&c.Kinds != 0 && (kind != Blob || c.Bytes == 0 || c.Bytes == bytes)
		}
	}
	return f
}

// at gives the shape of the row whose header begins at b's beginning, -1 for none,
// and how long its payload is.
func (f *finder) at(b []byte) (shape, payload int) {
	if len(b) < 2 || !f.size[b[0]] || !f.first[b[1]] {
		return -1, 0
	}
	f.types, payload = header(b, f.types[:0])
	if payload == 0 {
		return -1, 0
	}
	for i := range f.shapes {
		if f.shapes[i].fits(f.types) {
			return i, payload
		}
	}
	return -1, 0
}
