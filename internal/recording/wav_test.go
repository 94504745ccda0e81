package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// le is numbers of 16 and 32 bits, and texts, as a WAV file has them.
func le(parts ...any) []byte {
	var b bytes.Buffer
	for _, p := range parts {
		if s, ok := p.(string); ok {
			p = []byte(s)
		}
		if err := binary.Write(&b, binary.LittleEndian, p); err != nil {
			panic(err)
		}
	}
	return b.Bytes()
}

// wav is a WAV file with a format chunk, an odd chunk to skip, and samples.
func wav(format, data []byte) []byte {
	body := slices.Concat([]byte("WAVEfmt "), le(uint32(len(format))), format, le("note", uint32(3), "abc\x00", "data", uint32(len(data))), data)
	return slices.Concat([]byte("RIFF"), le(uint32(len(body))), body)
}

func plain(tag, channels, rate, bits int) []byte {
	frame := channels * bits / 8
	return le(uint16(tag), uint16(channels), uint32(rate), uint32(rate*frame), uint16(frame), uint16(bits))
}

// extensible is a format whose tag stands in its sub-format.
func extensible(sub, channels, rate, bits int) []byte {
	return slices.Concat(plain(0xFFFE, channels, rate, bits), le(uint16(22), uint16(bits), uint32(0), uint16(sub), "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"))
}

// TestChannels_Forms: one frame of two channels, -0.5 and 0.25, in every form.
func TestChannels_Forms(t *testing.T) {
	for name, file := range map[string][]byte{
		"8 bit":               wav(plain(1, 2, 8000, 8), []byte{64, 160}),
		"16 bit":              wav(plain(1, 2, 44100, 16), le(int16(-16384), int16(8192))),
		"24 bit":              wav(plain(1, 2, 48000, 24), []byte{0, 0, 0xC0, 0, 0, 0x20}),
		"32 bit":              wav(plain(1, 2, 96000, 32), le(int32(-1<<30), int32(1<<29))),
		"float":               wav(plain(3, 2, 48000, 32), le(float32(-0.5), float32(0.25))),
		"double":              wav(plain(3, 2, 48000, 64), le(-0.5, 0.25)),
		"extensible, numbers": wav(extensible(1, 2, 48000, 24), []byte{0, 0, 0xC0, 0, 0, 0x20}),
		"extensible, float":   wav(extensible(3, 2, 48000, 32), le(float32(-0.5), float32(0.25))),
	} {
		c, err := Channels(file)
		if err != nil || len(c) != 2 || len(c[0].Samples) != 1 || c[0].Samples[0] != -0.5 || c[1].Samples[0] != 0.25 {
			t.Errorf("%s: %+v, %v", name, c, err)
		}
		if rate := float64(binary.LittleEndian.Uint32(file[24:])); err == nil && c[0].RateHz != rate {
			t.Errorf("%s: %v Hz", name, c[0].RateHz)
		}
	}
}

// TestChannels_CutOff: a recorder that lost its power left the size 0, or too large.
func TestChannels_CutOff(t *testing.T) {
	whole := wav(plain(1, 1, 44100, 16), le(int16(100), int16(-100), int16(300)))
	for _, size := range []uint32{0, math.MaxUint32, 1000} {
		file := slices.Clone(whole)
		binary.LittleEndian.PutUint32(file[len(file)-6-4:], size)
		if c, err := Channels(file); err != nil || len(c[0].Samples) != 3 {
			t.Errorf("size %d: %+v, %v", size, c, err)
		}
	}
	if c, err := Channels(whole[:len(whole)-3]); err != nil || len(c[0].Samples) != 1 {
		t.Errorf("cut within a sample: %+v, %v", c, err)
	}
}

// TestChannels_SoX: what another program writes in each form comes back as it was given.
func TestChannels_SoX(t *testing.T) {
	program, err := exec.LookPath("sox")
	if err != nil {
		t.Skip("SoX is not installed here, so no other program writes the files; .ci/run installs it")
	}
	dir := t.TempDir()
	raw, want := filepath.Join(dir, "in.f64"), []float64{}
	for i := range 2000 {
		want = append(want, 0.7*math.Sin(0.01*float64(i*i%977)), 0.2*math.Cos(0.3*float64(i)))
	}
	if err := os.WriteFile(raw, le(want), 0o644); err != nil {
		t.Fatal(err)
	}
	for form, within := range map[string]float64{"-e unsigned -b 8": 1.0 / 128, "-e signed -b 16": 1.0 / 32768, "-e signed -b 24": 1.3e-7, "-e signed -b 32": 1e-9,
		"-e floating-point -b 32": 6e-8, "-e floating-point -b 64": 1e-9, "-e a-law": 0} {
		file := filepath.Join(dir, "out.wav")
		args := append(strings.Fields("-D -t f64 -r 44100 -c 2 "+raw), append(strings.Fields(form), file)...)
		if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v: %s", form, err, out)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		c, err := Channels(data)
		if within == 0 {
			if err == nil || !strings.Contains(err.Error(), "compressed") {
				t.Errorf("%s: %v", form, err)
			}
			continue
		}
		if err != nil || len(c) != 2 || len(c[0].Samples) != 2000 || c[0].RateHz != 44100 {
			t.Fatalf("%s: %d channels, %v", form, len(c), err)
		}
		for i, w := range want {
			if got := c[i%2].Samples[i/2]; math.Abs(got-w) > within {
				t.Fatalf("%s: sample %d: %v, want %v", form, i, got, w)
			}
		}
	}
}

// TestChannels_Refuses says what a file is instead.
func TestChannels_Refuses(t *testing.T) {
	for want, file := range map[string][]byte{
		"an MP3 file":          []byte("ID3\x04\x00\x00\x00\x00\x00\x00\x00\x00"),
		"is an MP3 file":       {0xFF, 0xFB, 0x90, 0x64, 0, 0, 0, 0, 0, 0, 0, 0},
		"an Ogg file":          []byte("OggS\x00\x02\x00\x00\x00\x00\x00\x00"),
		"an M4A or MP4":        []byte("\x00\x00\x00\x20ftypM4A "),
		"is not a WAV file":    []byte("fret,lane\n"),
		"compressed WAV":       wav(plain(0x55, 2, 44100, 16), []byte{0, 0, 0, 0}),
		"12 bits":              wav(plain(1, 1, 44100, 12), []byte{0, 0}),
		"has 0 channels":       wav(plain(1, 0, 44100, 16), []byte{0, 0}),
		"100 samples a second": wav(plain(1, 1, 100, 16), []byte{0, 0}),
		"without sound":        wav(plain(1, 1, 44100, 16), nil),
		"contradicts itself":   wav(le(uint16(1), uint16(2), uint32(44100), uint32(0), uint16(2), uint16(16)), []byte{0, 0, 0, 0}),
		"not numbers":          wav(plain(3, 1, 44100, 32), le(float32(math.NaN()))),
		"before its format":    slices.Concat([]byte("RIFF\x00\x00\x00\x00WAVE"), le("data", uint32(2), int16(3))),
		"cut short":            wav([]byte{1, 0, 1, 0}, []byte{0, 0}),
	} {
		if c, err := Channels(file); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v, %v", want, c, err)
		}
	}
}

// tone is a second of a decaying tone.
func tone(peak float64) Sound {
	s := Sound{make([]float64, 44100), 44100}
	for i := range s.Samples {
		s.Samples[i] = peak * math.Exp(-float64(i)/20000) * math.Sin(0.0117*float64(i))
	}
	return s
}

// TestOf_Flaws: each flaw is seen, and a sound one has none.
func TestOf_Flaws(t *testing.T) {
	sound, dead := tone(0.9), Sound{make([]float64, 44100), 44100}
	clipped := tone(2)
	for i, v := range clipped.Samples {
		clipped.Samples[i] = math.Max(-1, math.Min(32767.0/32768, v))
	}
	gated := Sound{nil, 44100}
	for range 4 {
		gated.Samples = append(append(gated.Samples, tone(0.9).Samples...), make([]float64, 5000)...)
	}
	for _, c := range []struct {
		name     string
		channels []Sound
		flaws    []Flaw
	}{
		{"sound", []Sound{sound}, nil},
		{"full scale once", []Sound{tone(1)}, nil},
		{"both sides", []Sound{tone(0.5), sound}, nil},
		{"left dead", []Sound{dead, sound}, []Flaw{DeadSide}},
		{"right dead", []Sound{sound, dead}, []Flaw{DeadSide}},
		{"clipped", []Sound{clipped}, []Flaw{Clipped}},
		{"gated", []Sound{gated}, []Flaw{Gated}},
	} {
		s, flaws, err := Of(c.channels)
		if err != nil || !slices.Equal(flaws, c.flaws) || len(s.Samples) == 0 || slices.Max(s.Samples) < 0.7 {
			t.Errorf("%s: %v, %v", c.name, flaws, err)
		}
	}
	for _, c := range [][]Sound{{dead}, {dead, dead}, {tone(5e-4)}} {
		if _, _, err := Of(c); !errors.Is(err, ErrSilent) {
			t.Errorf("silence: %v", err)
		}
	}
}

// FuzzChannels: no file makes it panic, and what is read has one length and finite samples.
func FuzzChannels(f *testing.F) {
	f.Add(wav(plain(1, 2, 44100, 16), le(int16(1), int16(2))))
	f.Add(wav(plain(1, 1, 48000, 24), []byte{1, 2, 3, 4, 5, 6}))
	f.Add(wav(extensible(3, 1, 48000, 32), le(float32(0.5))))
	f.Add([]byte("ID3\x04\x00\x00\x00\x00\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Channels(data)
		if err != nil {
			if len(c) > 0 || strings.Contains(err.Error(), "\n") {
				t.Errorf("%d channels, %v", len(c), err)
			}
			return
		}
		for _, s := range c {
			if len(s.Samples) != len(c[0].Samples) || len(s.Samples) == 0 || len(s.Samples) > len(data) || !(s.RateHz > 0) {
				t.Fatalf("%d samples at %v Hz of %d bytes", len(s.Samples), s.RateHz, len(data))
			}
			for _, v := range s.Samples {
				if !(math.Abs(v) <= maxSample) {
					t.Fatalf("sample %v", v)
				}
			}
		}
		if _, _, err := Of(c); err != nil && !errors.Is(err, ErrSilent) {
			t.Error(err)
		}
	})
}
