package findings

import "ringtrue/internal/straight"

// minCrowns is how many crowns of a lane tell which of them is off: of three,
// one stands off the line of the other two, and so does each; of four with one
// fault the other three stand in line.
const minCrowns = 4

// thin reports whether the lane's crowns are too few to tell which is off.
func (l Lane) thin() bool { return len(l.Frets) < minCrowns }

// ofThree says what a lane of three crowns tells of its middle one.
func (n *Neck) ofThree(fret int) []Finding {
	var out []Finding
	for _, l := range n.Lanes {
		i := l.at(fret)
		if !l.thin() || len(l.Frets) != 3 || i != 1 || l.Verdict != straight.NotLevel {
			continue
		}
		out = append(out, Finding{Fret: fret, Case: OneOfThree, MM: l.Off[i] - (l.Off[0]+l.Off[2])/2, Lanes: []float64{l.Lane.Lane},
			Neighbours: [2]int{l.Frets[0], l.Frets[2]}})
	}
	return out
}
