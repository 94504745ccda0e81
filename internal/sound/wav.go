package sound

import (
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
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
	data := make([]int, n*len(channels[0]))
	for c, s := range channels {
		if len(s) != len(channels[0]) {
			return nil, fmt.Errorf("sound: channels of %d and %d samples", len(channels[0]), len(s))
		}
		for i, v := range s {
			if !(math.Abs(v) <= 1) {
				return nil, ErrClipped
			}
			data[n*i+c] = int(math.Round(v * largest))
		}
	}
	file := &memory{}
	e := wav.NewEncoder(file, RateHz, Bits, n, 1) // 1: plain numbers, no compression
	buffer := &audio.IntBuffer{Format: &audio.Format{NumChannels: n, SampleRate: RateHz}, Data: data, SourceBitDepth: Bits}
	if err := e.Write(buffer); err != nil {
		return nil, err
	}
	if err := e.Close(); err != nil {
		return nil, err
	}
	return file.data, nil
}

// memory is a file in memory: the writer goes back to its head once it knows
// the length.
type memory struct {
	data []byte
	at   int64
}

func (m *memory) Write(p []byte) (int, error) {
	if end := m.at + int64(len(p)); end > int64(len(m.data)) {
		m.data = append(m.data, make([]byte, end-int64(len(m.data)))...)
	}
	m.at += int64(copy(m.data[m.at:], p))
	return len(p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	base := map[int]int64{io.SeekStart: 0, io.SeekCurrent: m.at, io.SeekEnd: int64(len(m.data))}
	from, known := base[whence]
	if to := from + offset; known && to >= 0 {
		m.at = to
		return to, nil
	}
	return 0, errors.New("sound: seek out of the file")
}
