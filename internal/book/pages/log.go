package pages

import (
	"encoding/binary"
)

// log is where a write-ahead log has pages: the latest frame of each that checks
// out, up to the last commit (section 4).
type log struct {
	Source
	at    map[uint32]int64 // a page's content
	pages uint32           // of the file after the last commit
}

const (
	logHeader   = 32
	frameHeader = 24
)

// sums are a log's two running checksums.
type sums struct{ a, b uint32 }

// add is section 4.2's checksum, by the byte order that the log's magic number says.
func (s sums) add(order binary.ByteOrder, b []byte) sums {
	for ; len(b) >= 8; b = b[8:] {
		s.a += order.Uint32(b) + s.b
		s.b += order.Uint32(b[4:]) + s.a
	}
	return s
}

func sumsAt(b []byte) sums { return sums{binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])} }

// readLog reads a log. Each frame's checksum is held against the one that the frame
// before it states: so a damaged frame is left out and those behind it are not.
func readLog(wal Source, page int) (log, error) {
	l := log{Source: wal, at: map[uint32]int64{}}
	head, err := readAt(wal, make([]byte, logHeader), 0)
	if err != nil || len(head) < logHeader {
		return l, err
	}
	// The lowest bit of the magic number is the checksums' order. Where it is damaged, both are tried.
	orders := []binary.ByteOrder{binary.LittleEndian, binary.BigEndian}
	switch binary.BigEndian.Uint32(head) {
	case 0x377f0682:
		orders = orders[:1]
	case 0x377f0683:
		orders = orders[1:]
	}
	for _, order := range orders {
		found, err := frames(wal, head, page, order)
		if err != nil {
			return l, err
		}
		if len(found) > 0 {
			l.take(found)
			break
		}
	}
	return l, nil
}

// frame is one that checks out, or the damaged end of a change (number 0).
type frame struct {
	number uint32 // of its page
	pages  uint32 // of the file, where it ends a change; else 0
	at     int64  // of its content
}

func frames(wal Source, head []byte, page int, order binary.ByteOrder) (found []frame, err error) {
	salts, before := [8]byte(head[16:24]), sumsAt(head[24:])
	whole := sums{}.add(order, head[:24]) == before
	b := make([]byte, frameHeader+page)
	for at := int64(logHeader); at+int64(len(b)) <= wal.Size; at += int64(len(b)) {
		if b, err = readAt(wal, b, at); err != nil {
			return nil, err
		}
		if !whole && at == logHeader { // a damaged header: the first frame's word is taken
			salts = [8]byte(b[8:16])
		}
		stated := sumsAt(b[16:])
		f := frame{binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:]), at + frameHeader}
		switch sound := before.add(order, b[:8]).add(order, b[frameHeader:]) == stated; {
		case [8]byte(b[8:16]) != salts: // of an earlier use of the log, or damaged
		case sound:
			found = append(found, f)
		case f.pages != 0:
			found = append(found, frame{pages: f.pages})
		}
		before = stated
	}
	return found, nil
}

// take takes the frames up to the last that ends a change.
func (l *log) take(found []frame) {
	end := len(found)
	for end > 0 && found[end-1].pages == 0 {
		end--
	}
	for _, f := range found[:end] {
		if f.number != 0 {
			l.at[f.number] = f.at
		}
		if f.pages != 0 {
			l.pages = f.pages
		}
	}
}
