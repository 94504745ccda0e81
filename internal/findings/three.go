package findings

import (
	"fmt"

	"ringtrue/internal/straight"
)

// leastCrowns is how many crowns of a lane tell which of them is off: of three,
// one stands off the line of the other two, and so does each; of four with one
// fault the other three stand in line.
const leastCrowns = 4

// thin reports whether the lane's crowns are too few to tell which is off.
func (l Lane) thin() bool { return len(l.Frets) < leastCrowns }

const adviseThree = "three crowns alone do not tell which one is off: read the frets beside them before you press or file"

// ofThree says what a lane of three crowns tells of its middle one.
func (n *Neck) ofThree(fret int) []Finding {
	var out []Finding
	for _, l := range n.Lanes {
		i := l.at(fret)
		if !l.thin() || len(l.Frets) != 3 || i != 1 || l.Verdict != straight.NotLevel {
			continue
		}
		words := "low, or fret %d or %d high"
		if l.Off[i] > (l.Off[0]+l.Off[2])/2 {
			words = "high, or fret %d or %d low"
		}
		out = append(out, Finding{Fret: fret, Kind: KindReadAgain, Open: true, Lanes: []float64{l.Lane.Lane}, Advice: adviseThree,
			Words: fmt.Sprintf(words+", in %s", l.Frets[0], l.Frets[2], laneName(l.Lane.Lane))})
	}
	return out
}
