package pages

// maxVarint is the most bytes that a varint takes (section 1.6).
const maxVarint = 9

// varint reads a big-endian integer of 7 bits a byte, the ninth of 8 bits; n is 0
// where b ends first (section 1.6).
func varint(b []byte) (v uint64, n int) {
	for i := 0; i < len(b) && i < maxVarint; i++ {
		if i == maxVarint-1 {
			return v<<8 | uint64(b[i]), maxVarint
		}
		v = v<<7 | uint64(b[i]&0x7f)
		if b[i] < 0x80 {
			return v, i + 1
		}
	}
	return 0, 0
}

// varintOf is a size of less than 2^31 as a varint.
func varintOf(size int) []byte {
	b := []byte{byte(size & 0x7f)}
	for size >>= 7; size > 0; size >>= 7 {
		b = append([]byte{byte(size&0x7f) | 0x80}, b...)
	}
	return b
}

// varintBefore reads the varint that ends where b ends and has another before it, as
// a row's number has its payload's size: that one's last byte shows where to begin.
// n is 0 where there is none.
func varintBefore(b []byte) (v uint64, n int) {
	if len(b) == 0 {
		return 0, 0
	}
	n = 1
	for n < min(len(b)-1, maxVarint) && b[len(b)-1-n] >= 0x80 {
		n++
	}
	v, size := varint(b[len(b)-n:])
	if size != n || n > 1 && n < maxVarint && b[len(b)-n] == 0x80 { // a leading zero is never written
		return 0, 0
	}
	return v, n
}
