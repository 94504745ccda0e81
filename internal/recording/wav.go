package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
)

// Sound is one channel of a recording; full scale is 1.
type Sound struct {
	Samples []float64
	RateHz  float64
}

// Seconds is how long it lasts.
func (s Sound) Seconds() float64 { return float64(len(s.Samples)) / s.RateHz }

// Limits of a recording of a neck.
const (
	minRateHz, maxRateHz = 8000, 400000
	maxChannels          = 32
)

// Format tags of WAVE: Microsoft and IBM, Multimedia Programming Interface 1.0
// (1991), and Microsoft's WAVEFORMATEXTENSIBLE, both from memory.
const (
	tagNumbers    = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE // the tag itself stands in the sub-format
)

// format is the fmt chunk of a WAV file.
type format struct {
	tag, channels, bits, frame int
	rateHz                     float64
}

// Channels reads all channels of a WAV file. Errors say what the file is instead,
// and what to save it as.
func Channels(data []byte) ([]Sound, error) {
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" {
		return nil, notWAV(data)
	}
	var f *format
	for rest := data[12:]; len(rest) >= 8; {
		name, size := string(rest[:4]), uint64(binary.LittleEndian.Uint32(rest[4:8]))
		body := rest[8:]
		// A recorder that was cut off left the size 0, all ones or too large.
		if size > uint64(len(body)) || name == "data" && size == 0 {
			size = uint64(len(body))
		}
		switch name {
		case "fmt ":
			var err error
			if f, err = readFormat(body[:size]); err != nil {
				return nil, err
			}
		case "data":
			if f == nil {
				return nil, errors.New("a damaged WAV file: sound comes before its format; record it again")
			}
			return f.sounds(body[:size])
		}
		rest = body[min(size+size%2, uint64(len(body))):]
	}
	return nil, errors.New("a WAV file without sound in it; record it again")
}

// notWAV says what else a file is, by its first bytes.
func notWAV(data []byte) error {
	const save = "save it as WAV, 16 or 24 bit"
	for _, k := range []struct {
		at         int
		mark, name string
	}{{0, "ID3", "an MP3"}, {0, "OggS", "an Ogg"}, {0, "fLaC", "a FLAC"}, {4, "ftyp", "an M4A or MP4"}, {0, "FORM", "an AIFF"}, {0, "RF64", "an RF64"},
		{0, "caff", "a CAF"}, {0, "\x1aE\xdf\xa3", "a WebM"}} {
		if len(data) >= k.at+len(k.mark) && bytes.HasPrefix(data[k.at:], []byte(k.mark)) {
			return fmt.Errorf("is %s file, not WAV; %s", k.name, save)
		}
	}
	// Eleven set bits open a frame of MPEG sound.
	if len(data) > 2 && data[0] == 0xFF && data[1]&0xE0 == 0xE0 {
		return fmt.Errorf("is an MP3 file, not WAV; %s", save)
	}
	return fmt.Errorf("is not a WAV file; %s", save)
}

func readFormat(b []byte) (*format, error) {
	if len(b) < 16 {
		return nil, errors.New("a damaged WAV file: its format is cut short; record it again")
	}
	le := binary.LittleEndian
	f := &format{tag: int(le.Uint16(b)), channels: int(le.Uint16(b[2:])), rateHz: float64(le.Uint32(b[4:])),
		frame: int(le.Uint16(b[12:])), bits: int(le.Uint16(b[14:]))}
	if f.tag == tagExtensible {
		if len(b) < 26 {
			return nil, errors.New("a damaged WAV file: its format is cut short; record it again")
		}
		f.tag = int(le.Uint16(b[24:]))
	}
	switch {
	case f.tag != tagNumbers && f.tag != tagFloat:
		return nil, fmt.Errorf("a compressed WAV file (format %d); save it uncompressed, 16 or 24 bit", f.tag)
	case f.channels < 1 || f.channels > maxChannels:
		return nil, fmt.Errorf("has %d channels; record one or two", f.channels)
	case !(f.rateHz >= minRateHz && f.rateHz <= maxRateHz):
		return nil, fmt.Errorf("has %g samples a second; record at 44100 or 48000", f.rateHz)
	case f.read() == nil:
		return nil, fmt.Errorf("has samples of %d bits; record with 16 or 24", f.bits)
	case f.frame != f.channels*f.bits/8:
		return nil, errors.New("a damaged WAV file: its format contradicts itself; record it again")
	}
	return f, nil
}

// read gives the reader of one sample, nil for a width nobody records with.
func (f *format) read() func(b []byte) float64 {
	le := binary.LittleEndian
	if f.tag == tagFloat {
		switch f.bits {
		case 32:
			return func(b []byte) float64 { return float64(math.Float32frombits(le.Uint32(b))) }
		case 64:
			return func(b []byte) float64 { return math.Float64frombits(le.Uint64(b)) }
		}
		return nil
	}
	switch f.bits {
	case 8: // without sign
		return func(b []byte) float64 { return (float64(b[0]) - 128) / (1 << 7) }
	case 16:
		return func(b []byte) float64 { return float64(int16(le.Uint16(b))) / (1 << 15) }
	case 24:
		return func(b []byte) float64 {
			return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
		}
	case 32:
		return func(b []byte) float64 { return float64(int32(le.Uint32(b))) / (1 << 31) }
	}
	return nil
}

// sounds takes the channels apart.
func (f *format) sounds(b []byte) ([]Sound, error) {
	n := len(b) / f.frame
	if n == 0 {
		return nil, errors.New("a WAV file without sound in it; record it again")
	}
	out, read, width := make([]Sound, f.channels), f.read(), f.bits/8
	for k := range out {
		samples := make([]float64, n)
		for i := range samples {
			v := read(b[i*f.frame+k*width:])
			if math.IsNaN(v) || math.Abs(v) > maxSample {
				return nil, errors.New("a damaged WAV file: some samples are not numbers of sound; record it again")
			}
			samples[i] = v
		}
		out[k] = Sound{samples, f.rateHz}
	}
	return out, nil
}

// maxSample is the largest sample of floating point that is taken for sound.
const maxSample = 1e6
