package playthrough

import (
	"cmp"
	"slices"
	"strconv"

	"ringtrue/internal/listen"
	"ringtrue/internal/play"
	"ringtrue/internal/table"
)

// Ear is what the player heard of a note.
type Ear string

// What an ear says: verdicts of a note.
const (
	Clear  = Ear(play.Clear)
	Buzzes = Ear(play.Buzzes)
)

// Mark is a key pressed while playing, at a sample.
type Mark struct {
	At    int
	Heard Ear
}

// A key is of the note that began so long before it at least; the notes up to it are
// known so long after it.
const (
	reactionS = 0.1
	settledS  = 0.4
)

// point is a sound: where it begins, and its note; −1: none of them.
type point struct{ from, note int }

// place gives marks up to a sample to the notes that sounded last before them, a later
// mark after an earlier one, and counts those that are of no note.
func (t *Take) place(points []point, until int, give func(note int, e Ear)) (stray int) {
	var at []int
	for k := range t.marks {
		if k <= until {
			at = append(at, k)
		}
	}
	slices.Sort(at)
	for _, k := range at {
		note := -1
		for _, p := range points {
			if p.from > k-int(reactionS*t.rateHz) {
				break
			}
			note = p.note
		}
		if note < 0 {
			stray++
			continue
		}
		give(note, t.marks[k])
	}
	return stray
}

// Answer is what the player heard of one note.
type Answer struct {
	String, Fret int
	Touch        string
	Heard        Ear
}

// Answers are what the player said of notes, in the order they were to be played: by the
// names that a report gives the sounds, where it fits; else by those given while playing.
func (t *Take) Answers(r *listen.Report) []Answer {
	t.mu.Lock()
	defer t.mu.Unlock()
	points, until := t.points(r), len(t.samples)+int(t.rateHz)
	ears := make([]Ear, len(t.notes))
	t.place(points, until, func(note int, e Ear) { ears[note] = e })
	var out []Answer
	for i, n := range t.notes {
		if ears[i] != "" {
			out = append(out, Answer{n.String, n.Fret, t.Touch, ears[i]})
		}
	}
	return out
}

// points are the sounds in order.
func (t *Take) points(r *listen.Report) (all []point) {
	if r == nil || !r.Fits {
		for _, h := range t.follower.Heard() {
			all = append(all, point{h.From, h.Name})
		}
		return all
	}
	sample := func(s float64) int { return int(s*t.rateHz + 0.5) }
	for _, n := range r.Notes {
		i := slices.IndexFunc(t.notes, func(w listen.Wanted) bool { return w.String == n.String && w.Fret == n.Fret })
		all = append(all, point{sample(n.AtS), i})
	}
	for _, u := range r.Unnamed {
		all = append(all, point{sample(u.AtS), -1})
	}
	slices.SortStableFunc(all, func(a, b point) int { return cmp.Compare(a.from, b.from) })
	return all
}

// CSV writes answers as a file: string, fret, touch, heard.
func CSV(all []Answer) []byte {
	rows := [][]string{{"string", "fret", "touch", "heard"}}
	for _, a := range all {
		rows = append(rows, []string{strconv.Itoa(a.String), strconv.Itoa(a.Fret), a.Touch, string(a.Heard)})
	}
	return table.Commas(rows)
}
