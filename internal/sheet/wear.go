package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
)

// Wear is what the sheet of a comparison shows: how each crown of a neck changed
// from one stage to another. Lengths are in mm.
type Wear struct {
	Neck       string
	Stages     []string // the two, each with its date
	Verdict    string   // "worn", "moved", "raised", "unchanged", "in doubt"
	Confidence float64
	Guard      float64 // standard uncertainties that the largest error of an unchanged neck stays within
	Summary    string  // what an unchanged neck, or one in doubt, comes to; else empty
	Crowns     []WearCrown
	ByFret     []FretsNote
	Unknown    []FretsPlace // crowns that could not be compared
	Bow        string       // what was taken out; empty: nothing
	LeastCrown string       // when the least crown is reached; empty: not known
	Warnings   []string
}

// WearCrown is one crown's change, up positive.
type WearCrown struct {
	Fret          int
	Lane          float64
	ChangeMM, UMM float64
	Verdict       string // "worn", "moved", "raised", "unchanged", "in doubt"
}

// wearWords are what a sheet of changes says in place of a sheet of heights.
type wearWords struct {
	sentences []string
	footnote  string
}

// leastFullMM keeps the colour scale of an unchanged neck from showing noise in
// full colour.
const leastFullMM = 0.03

// Page draws the sheet: the neck from above with a mark for each crown, and its
// change in colour, form, sign and number. An error says that there is nothing
// to draw.
func (s Wear) Page(l *geometry.Layout, paper Paper, units Units) (*draw.Page, error) {
	heights := Frets{Neck: s.Neck, Verdict: s.Verdict, ZoneLimitMM: leastFullMM, ByFret: s.ByFret, Unknown: s.Unknown, Warnings: s.Warnings}
	most := 0.0
	for _, c := range s.Crowns {
		heights.Crowns = append(heights.Crowns, FretsCrown{Fret: c.Fret, Lane: c.Lane, OffMM: c.ChangeMM, Verdict: c.Verdict})
		most = math.Max(most, c.UMM)
	}
	u := unitOf(units)
	words := &wearWords{sentences: s.sentences(u, most), footnote: "All crowns are judged together: of an unchanged neck the largest error stays within " +
		strconv.FormatFloat(s.Guard, 'f', 1, 64) + " standard uncertainties. What a file took between the two stages counts as wear too."}
	return heights.page(l, paper, units, words)
}

// sentences say what was compared, and what follows.
func (s Wear) sentences(u heightUnit, mostU float64) []string {
	count := map[string]int{}
	for _, c := range s.Crowns {
		count[c.Verdict]++
	}
	var parts []string
	for _, v := range []string{"worn", "moved", "raised", "in doubt", "unchanged"} {
		if count[v] > 0 {
			parts = append(parts, strconv.Itoa(count[v])+" "+v)
		}
	}
	all := []string{
		"from " + strings.Join(s.Stages, " to "),
		fmt.Sprintf("of %s: %s; standard uncertainty %s %s at most", count1(len(s.Crowns), "crown"), strings.Join(parts, ", "), u.plain(mostU), u.short),
	}
	for _, more := range []string{s.Summary, s.Bow, s.LeastCrown} {
		if more != "" {
			all = append(all, more)
		}
	}
	return all
}
