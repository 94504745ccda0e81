package pages

import (
	"encoding/binary"
	"math"
)

// Kind is what a value is, or, joined by |, what it may be.
type Kind uint8

// The storage classes (sqlite.org/datatype3.html, section 2).
const (
	Null Kind = 1 << iota
	Int
	Real
	Text
	Blob
)

// Value is one column of a row. Bytes is of a Text or Blob.
type Value struct {
	Kind  Kind
	Int   int64
	Real  float64
	Bytes []byte
}

// maxValue bounds a value's bytes: more than any file that a book takes.
const maxValue = 1 << 28

// measure gives a serial type's kind and how many bytes its value takes; kind 0
// where it is of no value (section 2.1).
func measure(serialType uint64) (kind Kind, size int) {
	switch {
	case serialType == 0:
		return Null, 0
	case serialType <= 4:
		return Int, int(serialType)
	case serialType == 5:
		return Int, 6
	case serialType == 6:
		return Int, 8
	case serialType == 7:
		return Real, 8
	case serialType <= 9:
		return Int, 0
	case serialType < 12 || serialType > 13+2*maxValue:
		return 0, 0
	case serialType%2 == 0:
		return Blob, int(serialType-12) / 2
	}
	return Text, int(serialType-13) / 2
}

// valueOf reads a value of a serial type from its bytes.
func valueOf(serialType uint64, b []byte) Value {
	kind, _ := measure(serialType)
	v := Value{Kind: kind}
	switch kind {
	case Int:
		if len(b) > 0 && b[0] >= 0x80 {
			v.Int = -1
		}
		for _, c := range b {
			v.Int = v.Int<<8 | int64(c)
		}
		if serialType == 9 {
			v.Int = 1
		}
	case Real:
		v.Real = math.Float64frombits(binary.BigEndian.Uint64(b))
	case Text, Blob:
		v.Bytes = b
	}
	return v
}
