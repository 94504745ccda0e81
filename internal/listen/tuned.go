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
	cost := func(by map[int]int) float64 { return heard.Cost(pitches, pitchesOf(all, by)) }
	by, alike := map[int]int{}, 0
	file := cost(by)
	best := file - clearlyBetter*float64(len(strings))
	for s := -mostSemitones; s <= mostSemitones; s++ {
		try := map[int]int{}
		for _, n := range strings {
			try[n] = s
		}
		if c := cost(try); c < best {
			by, best, alike = try, c, s
		}
	}
	if alike == 0 {
		best = file
	}
	for _, n := range strings {
		kept, least := by[n], best-clearlyBetter
		for s := alike - oneOff; s <= alike+oneOff; s++ {
			by[n] = s
			if c := cost(by); c < least {
				kept, least = s, c
			}
		}
		if by[n] = kept; least < best-clearlyBetter {
			best = least
		}
	}
	for n, s := range by {
		if s == 0 {
			delete(by, n)
		}
	}
	return by
}
