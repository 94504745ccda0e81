package draft

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"math/bits"
	"strconv"
)

// oneBit reports whether two bytes differ by one bit.
func oneBit(a, b byte) bool { return bits.OnesCount8(a^b) == 1 }

// endFlipped reports whether a last line is all there but for a bit of its end.
func endFlipped(line []byte) bool {
	n := len(line) - 1
	_, err := parseLine(line[:n])
	return err == nil && oneBit(line[n], '\n')
}

// mend repairs what one flipped bit did to the line that ends at end: in its
// JSON, its checksum, the space between, or in a line end, which makes one line of
// two or two of one. It gives the lines without their ends, none where that is
// not what happened, and how many bytes they were.
func mend(data []byte, end int) (lines [][]byte, used int) {
	line := data[:end]
	used = min(end+1, len(data))
	if _, err := parseLine(line); err == nil { // its end was flipped
		return [][]byte{line}, used
	}
	if fixed, ok := mendBit(line); ok {
		return [][]byte{fixed}, used
	}
	if a, b, ok := mendMerged(line); ok {
		return [][]byte{a, b}, used
	}
	if fixed, more, ok := mendSplit(line, data[used:]); ok {
		return [][]byte{fixed}, used + more
	}
	return nil, used
}

// sumLength is a checksum's, in letters; a space follows.
const sumLength = 8

// mendBit repairs a bit within a line.
func mendBit(line []byte) ([]byte, bool) {
	if len(line) <= sumLength+1 {
		return nil, false
	}
	fixed := bytes.Clone(line)
	sum, data := fixed[:sumLength], fixed[sumLength+1:]
	if oneBit(fixed[sumLength], ' ') {
		fixed[sumLength] = ' '
		_, err := parseLine(fixed)
		return fixed, err == nil
	}
	is := crc32.ChecksumIEEE(data)
	away := 0
	for i, letter := range fmt.Appendf(nil, "%08x", is) {
		away += bits.OnesCount8(letter ^ sum[i])
	}
	if away == 1 {
		copy(sum, fmt.Appendf(nil, "%08x", is))
	} else if want, err := strconv.ParseUint(string(sum), 16, 32); err != nil || !flipBack(data, is^uint32(want)) {
		return nil, false
	}
	_, err := parseLine(fixed)
	return fixed, err == nil
}

// flipBack flips the bit of data that changes its checksum so. A checksum of this
// kind is linear: what a bit changes follows from how many bytes come after it
// (Peterson and Brown 1961).
func flipBack(data []byte, change uint32) bool {
	for bit := range 8 {
		d := crc32.IEEETable[byte(1)<<bit]
		for i := len(data) - 1; i >= 0; i-- {
			if d == change {
				data[i] ^= 1 << bit
				return true
			}
			d = crc32.IEEETable[byte(d)] ^ d>>8
		}
	}
	return false
}

// mendMerged parts two lines whose line end was flipped.
func mendMerged(line []byte) (a, b []byte, ok bool) {
	for i := range line {
		if !oneBit(line[i], '\n') || len(line) < i+sumLength+3 || line[i+sumLength+1] != ' ' || line[i+sumLength+2] != '{' {
			continue
		}
		a, b = line[:i], line[i+1:]
		_, errA := parseLine(a)
		_, errB := parseLine(b)
		if errA == nil && errB == nil {
			return a, b, true
		}
	}
	return nil, nil, false
}

// mendSplit joins a line that a flipped bit parted from its rest.
func mendSplit(line, rest []byte) (fixed []byte, used int, ok bool) {
	end := bytes.IndexByte(rest, '\n')
	if end < 0 {
		return nil, 0, false
	}
	fixed = append(append(bytes.Clone(line), '\n'), rest[:end]...)
	for bit := range 8 {
		fixed[len(line)] = '\n' ^ 1<<bit
		if _, err := parseLine(fixed); err == nil {
			return fixed, end + 1, true
		}
	}
	return nil, 0, false
}
