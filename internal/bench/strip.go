package bench

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/straight"
)

// mark is what a small picture says of a crown, by form and by colour.
type mark byte

const (
	markUnread mark = iota
	markRead        // read, and not off for certain
	markHigh
	markLow
	markAgain // to be read again
	marks     // how many there are
)

// strip is a neck from above as a small picture: nut left, bass side at the top,
// a mark a crown.
type strip struct {
	W, H  int
	Paths []stripPath
	Label string
}

// stripPath is all marks of one kind.
type stripPath struct{ Kind, D string }

// stripStep is how far crowns and lanes of a strip lie apart, in its dots.
const stripStep = 6

// crownKey names a crown.
type crownKey struct {
	fret int
	lane float64
}

// stripOf draws crowns, lanes from the bass side, all with the same frets.
func (l *renderer) stripOf(lanes []float64, first, last int, of func(crownKey) mark) strip {
	var d [marks]strings.Builder
	var count [marks]int
	frets := last - first + 1
	for i, lane := range lanes {
		y, from := stripStep*(i+1), first
		for f := first; f <= last; f++ {
			m := of(crownKey{f, lane})
			count[m]++
			if m != markUnread && m != markRead {
				drawMark(&d[m], m, stripStep*(f-first+1), y)
			}
			// What is off lies over the dot of what is read: a run is then long.
			base := min(m, markRead)
			if f == last || min(of(crownKey{f + 1, lane}), markRead) != base {
				drawRun(&d[base], base, stripStep*(from-first+1), y, f-from+1)
				from = f + 1
			}
		}
	}
	s := strip{W: stripStep * (frets + 1), H: stripStep * (len(lanes) + 1)}
	for m, name := range [marks]string{"unread", "read", "high", "low", "again"} {
		if d[m].Len() > 0 {
			s.Paths = append(s.Paths, stripPath{name, d[m].String()})
		}
	}
	s.Label = l.words.Say("strip.label", frets*len(lanes)-count[markUnread], frets*len(lanes), count[markHigh], count[markLow], count[markAgain])
	return s
}

// drawRun draws n like bars or dots side by side from x on, as one dashed line: the
// style's dash has the step of the crowns.
func drawRun(d *strings.Builder, m mark, x, y, n int) {
	if m == markUnread {
		fmt.Fprintf(d, "M%d %dh%d", x-1, y, stripStep*(n-1)+2)
		return
	}
	fmt.Fprintf(d, "M%d %dh%d.1", x, y, stripStep*(n-1))
}

// drawMark draws what is off: a triangle up or down, or a cross.
func drawMark(d *strings.Builder, m mark, x, y int) {
	switch m {
	case markHigh:
		fmt.Fprintf(d, "M%d %dh4l-2-5z", x-2, y+2)
	case markLow:
		fmt.Fprintf(d, "M%d %dh4l-2 5z", x-2, y-2)
	case markAgain:
		fmt.Fprintf(d, "M%d %dl4 4m0-4l-4 4", x-2, y-2)
	}
}

// stripOfDraft draws a neck in work: what the stage's readings touch, and with a
// judgement what they say. Without one nothing is high or low.
func (l *renderer) stripOfDraft(st *draft.State, judged map[crownKey]mark) strip {
	touched := st.CrownsRead()
	return l.stripOf(lanesOf(st), st.Layout.FirstFret(), st.Layout.LastFret(), func(k crownKey) mark {
		switch m, known := judged[k]; {
		case known:
			return m
		case touched[draft.NewSite(k.lane, k.fret)]:
			return markRead
		}
		return markUnread
	})
}

// marksOf is what an answer says of crowns.
func marksOf(a *answer.FretsAnswer) map[crownKey]mark {
	all := map[crownKey]mark{}
	for _, c := range a.Crowns {
		m := markRead
		switch straight.Verdict(c.Verdict) {
		case straight.High:
			m = markHigh
		case straight.Low:
			m = markLow
		}
		all[crownKey{c.Fret, c.Lane}] = m
	}
	for _, r := range a.Recheck {
		all[crownKey{r.Fret, r.Lane}] = markAgain
	}
	return all
}

// bassFirst sorts lanes from the bass side and drops doubles.
func bassFirst(lanes []float64) []float64 {
	slices.Sort(lanes)
	lanes = slices.Compact(lanes)
	slices.Reverse(lanes)
	return lanes
}
