package sound

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// chunks reads a WAV file by its own rules: the RIFF form of the WAVE format,
// Microsoft and IBM, Multimedia Programming Interface 1.0 (1991), from memory.
func chunks(t testing.TB, data []byte) (channels, rate, bits int, samples []float64) {
	t.Helper()
	le := binary.LittleEndian
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" || int(le.Uint32(data[4:]))+8 != len(data) {
		t.Fatalf("no RIFF head: % x of %d bytes", data[:12], len(data))
	}
	for rest := data[12:]; len(rest) >= 8; {
		size := int(le.Uint32(rest[4:]))
		body := rest[8 : 8+size]
		switch string(rest[:4]) {
		case "fmt ":
			if le.Uint16(body) != 1 {
				t.Fatalf("format %d is not plain", le.Uint16(body))
			}
			channels, rate, bits = int(le.Uint16(body[2:])), int(le.Uint32(body[4:])), int(le.Uint16(body[14:]))
		case "data":
			for i := 0; i+1 < len(body); i += 2 {
				samples = append(samples, float64(int16(le.Uint16(body[i:])))/32768)
			}
		}
		rest = rest[8+size+size%2:]
	}
	return channels, rate, bits, samples
}

// TestWAV_sox reads a file back by another program, SoX, and by the chunk reader
// above: both say 48 kHz, 16 bits, and the same samples.
func TestWAV_sox(t *testing.T) {
	pluck := play.Pluck{AtMM: 700, HeightMM: 2}
	data, _ := file(t, issanchou(), nil, nil, pluck, Place{}, 0.5)
	channels, rate, bits, own := chunks(t, data)
	if channels != 1 || rate != 48000 || bits != 16 || len(own) != 24000 {
		t.Errorf("%d channels, %d Hz, %d bits, %d samples", channels, rate, bits, len(own))
	}
	theirs := sox(t, data)
	if len(theirs) != len(own) {
		t.Fatalf("SoX reads %d samples, %d were written", len(theirs), len(own))
	}
	for i := range own {
		if math.Abs(theirs[i]-own[i]) > 1e-9 {
			t.Fatalf("sample %d: SoX reads %g, not %g", i, theirs[i], own[i])
		}
	}
}

// sox reads a file's samples by SoX.
func sox(t testing.TB, data []byte) []float64 {
	t.Helper()
	program, err := exec.LookPath("sox")
	if err != nil {
		t.Skip("SoX is not installed here, so no other program reads the file back; .ci/run installs it")
	}
	name := filepath.Join(t.TempDir(), "note.wav")
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	raw, err := exec.Command(program, name, "-t", "f64", "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, len(raw)/8)
	if err := binary.Read(bytes.NewReader(raw), binary.NativeEndian, out); err != nil {
		t.Fatal(err)
	}
	return out
}

// line is the complex height of a sound's spectrum at a frequency, a damped
// partial of which is sought: four-term Blackman-Harris window.
func line(s []float64, hz float64) complex128 {
	var sum complex128
	var weight float64
	turn, step := cmplx.Exp(complex(0, -2*math.Pi*hz/RateHz)), cmplx.Exp(complex(0, 2*math.Pi/float64(len(s)-1)))
	z, c := complex(1, 0), complex(1, 0)
	for _, v := range s {
		w := 0.35875 - 0.48829*real(c) + 0.14128*real(c*c) - 0.01168*real(c*c*c)
		sum += complex(w*v, 0) * z
		weight += w
		z, c = z*turn, c*step
	}
	return sum * complex(2/weight, 0)
}

// partial measures a partial near hz: its frequency from the turn between two
// windows of 0.2 s, 10 ms apart, its decay in 1/s from the fall between two
// windows so many seconds apart.
func partial(s []float64, hz, apart float64) (frequency, decay float64) {
	const window, near = 9600, 480
	far := int(apart * RateHz)
	a, b, c := line(s[:window], hz), line(s[near:near+window], hz), line(s[far:far+window], hz)
	turn := math.Remainder(cmplx.Phase(b/a)-2*math.Pi*hz*near/RateHz, 2*math.Pi)
	return hz + turn/(2*math.Pi*near/RateHz), math.Log(cmplx.Abs(a)/cmplx.Abs(c)) / apart
}

// decaySeconds is how far apart two windows stand that a slow decay is measured by.
func decaySeconds() float64 {
	if testing.Short() {
		return 0.7
	}
	return 1.9
}

// TestWAV_Issanchou2018: the file's partials lie where the published modal data
// of the string have them (S4; partial 101 and beyond are above hearing), and
// they die away by the published damping law (S5).
func TestWAV_Issanchou2018(t *testing.T) {
	pluck := play.Pluck{AtMM: 1002 * 0.32, HeightMM: 2}
	for _, p := range []Place{{}, {FromSaddleMM: 41}} {
		data, _ := file(t, issanchou(), nil, nil, pluck, p, decaySeconds()+0.3)
		s := sox(t, data)
		for n, want := range map[int]struct{ hz, sigma float64 }{37: {7339.690, 8.1341}, 61: {12345.367, 21.3036}} {
			hz, sigma := partial(s, want.hz, 0.15)
			if math.Abs(hz-want.hz) > 0.01 || math.Abs(sigma/want.sigma-1) > 0.01 {
				t.Errorf("%v, partial %d: %.3f Hz and %.3f 1/s, published %.3f and %.3f", p, n, hz, sigma, want.hz, want.sigma)
			}
		}
		for n := 1; n <= 12; n++ { // and the low ones by the same formulas
			m := float64(n)
			want := m * 195.9963 * math.Sqrt(1+1.78e-5*m*m)
			hz, sigma := partial(s, want, decaySeconds())
			if law := issanchou().Decay.RatePerS(want); math.Abs(hz-want) > 0.01 || math.Abs(sigma-law) > 0.01+0.01*law {
				t.Errorf("%v, partial %d: %.3f Hz and %.3f 1/s, the laws say %.3f and %.3f", p, n, hz, sigma, want, law)
			}
		}
	}
}

// TestWAV_squareLaw: the file's partials die away as strings.damping says, base +
// square·f², on a wound string and with the default figures.
func TestWAV_squareLaw(t *testing.T) {
	law := stringset.Law{Base: 0.5, Square: 5e-8}
	span := play.Span{LengthMM: 480, TensionN: 87.562, MassGPerM: 7.68391, StiffnessNMM2: 267.8, Decay: law}
	data, _ := file(t, span, nil, nil, play.Pluck{AtMM: 370, HeightMM: 0.8}, Place{}, decaySeconds()+0.3)
	s := sox(t, data)
	b := math.Pi * math.Pi * span.StiffnessNMM2 / (span.TensionN * span.LengthMM * span.LengthMM)
	for _, n := range []int{1, 2, 3, 5, 8, 20, 40} {
		m := float64(n)
		want := m / span.PeriodS() * math.Sqrt(1+b*m*m)
		hz, decay := partial(s, want, decaySeconds())
		if math.Abs(hz-want) > 0.01 || math.Abs(decay/law.RatePerS(want)-1) > 0.005 {
			t.Errorf("partial %d: %.3f Hz and %.4f 1/s, not %.3f and %.4f", n, hz, decay, want, law.RatePerS(want))
		}
	}
}

func TestWAV_faults(t *testing.T) {
	for _, bad := range []float64{1.0001, -1.0001, math.NaN(), math.Inf(1)} {
		if _, err := WAV([]float64{0, bad}); !errors.Is(err, ErrClipped) {
			t.Errorf("%g: %v", bad, err)
		}
	}
	if _, err := WAV([]float64{0}, []float64{0, 0}); err == nil {
		t.Error("channels of two lengths passed")
	}
	data, err := WAV([]float64{1, 0}, []float64{0, -1})
	if err != nil {
		t.Fatal(err)
	}
	if channels, _, _, s := chunks(t, data); channels != 2 || fmt.Sprint(s) != fmt.Sprint([]float64{32767.0 / 32768, 0, 0, -32767.0 / 32768}) {
		t.Errorf("%d channels, %v", channels, s)
	}
}
