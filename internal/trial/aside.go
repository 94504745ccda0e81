package trial

import (
	"ringtrue/internal/findings"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// seen tells readings apart as an answer names them: each by itself, but the
// touches of one top together, as a top set aside is named by its first touch.
type seen struct {
	at   Place // of a top; zero else
	pass string
	nth  int // of the readings; −1 of a top
}

func (n *Neck) seen(i int) seen {
	if r := n.Readings[i]; r.Method == reading.Probe {
		return seen{n.Truth.At[i], r.Pass, -1}
	}
	return seen{nth: i}
}

// readings holds what was set aside against what was misread.
func (s *Score) readings(n *Neck, j *findings.Neck) {
	aside, wrong := map[seen]bool{}, map[seen]bool{}
	for _, m := range j.Estimate.Misreads {
		aside[n.seen(m.Reading)] = true
	}
	for _, w := range n.Truth.Wrong {
		wrong[n.seen(w.Reading)] = true
		s.Misread.add(aside[n.seen(w.Reading)])
	}
	for _, m := range j.Estimate.Misreads {
		if !wrong[n.seen(m.Reading)] && !n.Truth.Shifted[m.Reading] && !n.gives(m.Reading) {
			s.Invented++
		}
	}
	kept, read := n.kept(aside)
	for _, l := range j.Lanes {
		for i, f := range l.Frets {
			p := Place{f, l.Lane.Lane}
			if read[p] && !kept[p] && l.Crown[i] != straight.InDoubt {
				s.AsideSure++
			}
		}
	}
}

// kept tells the crowns that some reading touches, and those of them that one
// touches which was not set aside.
func (n *Neck) kept(aside map[seen]bool) (kept, read map[Place]bool) {
	kept, read = map[Place]bool{}, map[Place]bool{}
	for i := range n.Readings {
		lane := n.Truth.At[i].Lane
		for _, f := range n.touched(i) {
			p := Place{f, lane}
			read[p] = true
			kept[p] = kept[p] || !aside[n.seen(i)]
		}
	}
	return kept, read
}

// touched are the frets that a reading touches in its lane.
func (n *Neck) touched(i int) []int {
	if f := n.Readings[i].Frets; len(f) > 0 {
		return f
	}
	return []int{n.Truth.At[i].Fret}
}

// gives reports whether a reading touches a crown that gives.
func (n *Neck) gives(i int) bool {
	k := n.Truth.laneOf(n.Truth.At[i].Lane)
	if k < 0 {
		return false
	}
	for _, f := range n.touched(i) {
		if n.Truth.Gives[k][n.Truth.place(f)] > 0 {
			return true
		}
	}
	return false
}
