package play

import "slices"

// Left is what a report leaves unjudged under the judging touch: nothing where
// every note was judged against every fret.
type Left struct {
	Notes  int   `json:"notes"`   // how many were not judged at all
	InPart int   `json:"in_part"` // how many were judged against some frets only
	Lanes  []int `json:"lanes"`   // the lanes to read for them
}

// IsZero says that nothing is left, so that JSON leaves it out.
func (l Left) IsZero() bool { return !l.Any() }

// Any says that something is left.
func (l Left) Any() bool { return l.Notes+l.InPart > 0 }

// left counts what could not be judged. A string that lacks what its whole set-up
// hangs on has all its stops open.
func (n *Neck) left() (l Left) {
	for _, u := range n.Open {
		if u.Lack == LackBeyond {
			l.InPart += len(u.Stops)
		} else {
			l.Notes += len(u.Stops)
		}
		if !slices.Contains(l.Lanes, u.String) {
			l.Lanes = append(l.Lanes, u.String)
		}
	}
	slices.Sort(l.Lanes)
	return l
}
