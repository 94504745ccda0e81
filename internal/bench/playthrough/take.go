package playthrough

import (
	"encoding/binary"
	"errors"
	"slices"
	"sync"

	"ringtrue/internal/heard"
	"ringtrue/internal/listen"
)

// Limits of one play-through.
const (
	MostSeconds          = 600
	minRateHz, maxRateHz = 8000, 96000
	mostMarks            = 2000
)

// When the player is told of the sound, in s and as shares of full scale.
const (
	silentS    = 4.0
	silentPeak = 33 // of 32768, as package recording's silence
	loudS      = 2.0
	fullScale  = 32700
	strangers  = 5 // sounds in a row that are none of the notes
)

// ErrRate is a rate that no microphone has.
var ErrRate = errors.New("no microphone has this sample rate")

// ErrSamples are bytes that are no samples of 16 bits.
var ErrSamples = errors.New("samples must have 16 bits")

// Hint is what the player is told of the sound.
type Hint string

// Hints.
const (
	Silent  Hint = "silent"  // nothing sounds
	TooLoud Hint = "loud"    // it clips
	Strange Hint = "strange" // sounds that are none of the notes
	Full    Hint = "full"    // no more is taken
)

// Take is one play-through.
type Take struct {
	ID    string
	Touch string // by which it is played

	mu       sync.Mutex
	request  listen.Request
	notes    []listen.Wanted
	rateHz   float64
	follower *heard.Follower
	samples  []int16
	marks    map[int]Ear // by the sample at which the key was pressed
	loud     int         // samples up to the last that was not silence
	clipped  int         // samples up to the last that clipped; 0: none did
}

// New begins a play-through. Errors: those of the request, and ErrRate.
func New(id string, r listen.Request, rateHz float64, touch string) (*Take, error) {
	notes, err := r.Wanted()
	if err != nil {
		return nil, err
	}
	if !(rateHz >= minRateHz && rateHz <= maxRateHz) {
		return nil, ErrRate
	}
	hz := make([]float64, len(notes))
	for i, n := range notes {
		hz[i] = n.Hz
	}
	return &Take{ID: id, Touch: touch, request: r, notes: notes, rateHz: rateHz, follower: heard.NewFollower(rateHz, hz), marks: map[int]Ear{}}, nil
}

// Notes are those to play, in order.
func (t *Take) Notes() []listen.Wanted { return t.notes }

// Request is what is played.
func (t *Take) Request() listen.Request { return t.request }

// Add takes a stretch of sound, 16 bits little-endian, that begins at a sample, and
// marks. What came before is left out, so a stretch may be sent again; one that leaves a
// gap is not taken, as State.Have then tells. Error: ErrSamples.
func (t *Take) Add(at int, pcm []byte, marks []Mark) (State, error) {
	if len(pcm)%2 != 0 || at < 0 {
		return State{}, ErrSamples
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, m := range marks {
		if len(t.marks) < mostMarks {
			t.marks[m.At] = m.Heard
		}
	}
	if skip := 2 * (len(t.samples) - at); skip >= 0 && skip < len(pcm) {
		t.take(pcm[skip:])
	}
	return t.state(), nil
}

// take adds samples that follow on.
func (t *Take) take(pcm []byte) {
	room := int(MostSeconds*t.rateHz) - len(t.samples)
	x := make([]float64, min(len(pcm)/2, max(0, room)))
	run := 0
	for i := range x {
		v := int16(binary.LittleEndian.Uint16(pcm[2*i:]))
		t.samples = append(t.samples, v)
		x[i] = float64(v) / (1 << 15)
		if v > silentPeak || v < -silentPeak {
			t.loud = len(t.samples)
		}
		if v < fullScale && v > -fullScale {
			run = 0
		} else if run++; run > 3 {
			t.clipped = len(t.samples)
		}
	}
	if len(x) > 0 {
		t.follower.Add(x)
	}
}

// State is how far a play-through is.
type State struct {
	Have  int    // samples taken
	Next  int    // the note to play, an index of Notes; their number at the end
	Last  int    // the note heard last; −1: none yet
	Heard []bool // by note
	Ears  []Ear  // by note: what the player said of it; "" where nothing
	Stray int    // marks that are of no note
	Hint  Hint
}

func (t *Take) state() State {
	all := t.follower.Heard()
	s := State{Have: len(t.samples), Next: t.follower.Next(), Last: -1, Heard: make([]bool, len(t.notes)), Ears: make([]Ear, len(t.notes))}
	points, strange := make([]point, len(all)), 0
	for i, h := range all {
		points[i] = point{h.From, h.Name}
		if h.Name < 0 {
			strange++
			continue
		}
		strange = 0
		s.Heard[h.Name], s.Last = true, h.Name
	}
	settled := len(t.samples) - int(settledS*t.rateHz)
	s.Stray = t.place(points, settled, func(note int, e Ear) { s.Ears[note] = e })
	ago := func(sample int) float64 { return float64(len(t.samples)-sample) / t.rateHz }
	switch {
	case len(t.samples) >= int(MostSeconds*t.rateHz):
		s.Hint = Full
	case ago(t.loud) > silentS:
		s.Hint = Silent
	case t.clipped > 0 && ago(t.clipped) < loudS:
		s.Hint = TooLoud
	case strange >= strangers:
		s.Hint = Strange
	}
	return s
}

// WAV is the sound as a file: mono, 16 bits.
func (t *Take) WAV() []byte {
	t.mu.Lock()
	defer t.mu.Unlock()
	le, size, rate := binary.LittleEndian, 2*len(t.samples), uint32(t.rateHz)
	b := slices.Grow([]byte("RIFF"), 44+size)
	b = le.AppendUint32(b, uint32(36+size))
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1) // plain numbers
	b = le.AppendUint16(b, 1) // one channel
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, 2*rate)
	b = le.AppendUint16(b, 2)
	b = le.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(size))
	for _, v := range t.samples {
		b = le.AppendUint16(b, uint16(v))
	}
	return b
}
