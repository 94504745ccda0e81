package listen

import "ringtrue/internal/heard"

// Of a neck that is tuned another way than its file says.
const (
	mostSemitones = 5
	clearlyBetter = 4.0 // in the cost of the matching: two notes left out
	oneOff        = 2   // semitones that one string alone may be off
)

// tunings are by how many semitones each string lies off its file, where the notes heard
// fit much better so: all strings alike, or single ones. heard is pitches in Hz.
func tunings(all []stop, strings []int, pitches []float64) map[int]int {
	by, best := map[int]int{}, heard.Cost(pitches, pitchesOf(all, nil))
	alike := 0
	for s := -mostSemitones; s <= mostSemitones; s++ {
		try := map[int]int{}
		for _, n := range strings {
			try[n] = s
		}
		if c := heard.Cost(pitches, pitchesOf(all, try)); c < best-clearlyBetter*float64(len(strings)) {
			by, best, alike = try, c, s
		}
	}
	for _, n := range strings {
		kept := by[n]
		for s := alike - oneOff; s <= alike+oneOff; s++ {
			by[n] = s
			if c := heard.Cost(pitches, pitchesOf(all, by)); c < best-clearlyBetter {
				best, kept = c, s
			}
		}
		by[n] = kept
	}
	for n, s := range by {
		if s == 0 {
			delete(by, n)
		}
	}
	return by
}
