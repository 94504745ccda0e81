package sound

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
)

// Bits is the width of a sample in the file.
const Bits = 16

// largest is the number that stands for full scale.
const largest = 1<<(Bits-1) - 1

// ErrClipped is a sample beyond full scale: it would be cut off.
var ErrClipped = errors.New("sound: louder than full scale")

// WAV writes channels of equal length, 1 being full scale, as a WAV file of 16
// bits at RateHz. ErrClipped: a sample lies beyond full scale, or is no number.
func WAV(channels ...[]float64) ([]byte, error) {
	n := len(channels)
	for _, s := range channels {
		if len(s) != len(channels[0]) {
			return nil, fmt.Errorf("sound: channels of %d and %d samples", len(channels[0]), len(s))
		}
	}
	file := wavHead(n, n*len(channels[0])*Bits/8)
	for i := range channels[0] {
		for _, s := range channels {
			if !(math.Abs(s[i]) <= 1) {
				return nil, ErrClipped
			}
			file = binary.LittleEndian.AppendUint16(file, uint16(int16(math.Round(s[i]*largest))))
		}
	}
	return file, nil
}

// wavHead is the head of a WAV file with so many channels and bytes of samples,
// and room for these: the RIFF form of the WAVE format, Microsoft and IBM,
// Multimedia Programming Interface 1.0 (1991), from memory.
func wavHead(channels, size int) []byte {
	const (
		headSize, formatSize = 44, 16
		plain                = 1 // numbers without compression
	)
	le := binary.LittleEndian
	frame := channels * Bits / 8
	b := append(make([]byte, 0, headSize+size), "RIFF"...)
	b = le.AppendUint32(b, uint32(headSize-8+size))
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, formatSize)
	b = le.AppendUint16(b, plain)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, RateHz)
	b = le.AppendUint32(b, uint32(RateHz*frame))
	b = le.AppendUint16(b, uint16(frame))
	b = le.AppendUint16(b, Bits)
	b = append(b, "data"...)
	return le.AppendUint32(b, uint32(size))
}
