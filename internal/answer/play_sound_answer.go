package answer

import (
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/sound"
)

// SoundAnswer is what `play --wav` says of the file it writes.
type SoundAnswer struct {
	Neck         string      `json:"neck"`
	Touch        string      `json:"touch"`
	Heard        string      `json:"heard"` // in words: the force on the saddle, or the speed at a pickup
	SampleHz     int         `json:"sample_hz"`
	Bits         int         `json:"bits"`
	Channels     int         `json:"channels"`
	LengthS      float64     `json:"length_s"`
	TurnedDownDB float64     `json:"turned_down_db"` // 0: every note stands at its own full scale
	AllNotes     bool        `json:"all_notes"`
	Notes        []SoundNote `json:"notes"` // in the order they are heard
	NotJudged    []NotJudged `json:"not_judged"`
	Warnings     []string    `json:"warnings"`
}

// SoundNote is one note of the file. Its full scale is a force at the saddle or
// a speed at a pickup.
type SoundNote struct {
	TimeS       float64      `json:"time_s"` // where it begins
	SecondsS    float64      `json:"length_s"`
	String      int          `json:"string"`
	Pitch       string       `json:"pitch"` // of the open string
	Fret        int          `json:"fret"`
	State       string       `json:"state"` // "as read", "as planned", "perfect crowns"
	Verdict     play.Verdict `json:"verdict"`
	Ticks       int          `json:"ticks,omitempty"`   // before it, among all notes
	Release     string       `json:"release,omitempty"` // "away" from the board or "towards" it
	TriangleMM  float64      `json:"triangle_mm"`
	FullScaleN  num.Opt      `json:"full_scale_n,omitzero"`
	FullScaleMM num.Opt      `json:"full_scale_mm_per_s,omitzero"`
	PeakDB      num.Opt      `json:"peak_db"` // below full scale; nil for a silent note
	Contact     *PlayContact `json:"contact,omitempty"`
}

// soundNote is what is known of stop i of case k before it is heard.
func (l *listener) soundNote(k, i int, seconds, full float64) SoundNote {
	told := l.notes(k, i)[0]
	number := l.cases[k].Lane.String
	n := SoundNote{SecondsS: seconds, String: number, Pitch: l.pitchOf(number), Fret: told.Fret,
		State: l.state(), Verdict: told.Verdict, Contact: told.Contact}
	if l.place.FromSaddleMM == 0 {
		n.FullScaleN = num.Some(full)
	} else {
		n.FullScaleMM = num.Some(full)
	}
	return n
}

// file puts channels into a WAV file. Were it to clip, all of it would be turned
// down, and the answer says by how much.
func (l *listener) file(notes []SoundNote, channels ...[]float64) (*SoundAnswer, []byte, error) {
	a := &SoundAnswer{Neck: l.r.Model.Name, Touch: l.touch.Name, Heard: l.place.String(), SampleHz: sound.RateHz, Bits: sound.Bits,
		Channels: len(channels), LengthS: float64(len(channels[0])) / sound.RateHz, Notes: notes, NotJudged: []NotJudged{},
		Warnings: l.answer.Warnings}
	most := 0.0
	for _, s := range channels {
		most = math.Max(most, peak(s))
	}
	if most > 1 {
		a.TurnedDownDB = 20 * math.Log10(most)
		for _, s := range channels {
			for i := range s {
				s[i] /= most
			}
		}
	}
	data, err := sound.WAV(channels...)
	return a, data, err
}
