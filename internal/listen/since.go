package listen

import (
	"math"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
	"ringtrue/internal/recording"
)

// Doubts of one note in one play-through, as standard uncertainties: no two plucks fall
// alike. Where the notes of a neck scatter more between two play-throughs than these
// say, what they scatter counts.
const (
	pluckCents    = 1.0
	pluckRing     = 0.15 // a share
	otherHand     = 0.15 // of all rings of a string: plucked elsewhere, or harder
	sameMomentS   = 0.05 // cents of two notes are compared where they were told so near in time
	leastTogether = 5    // notes of a string that tell how it changed
	falseChange   = 0.05 // the chance that any change at all is said where nothing changed
)

// Change is a note or a string that has changed beyond doubt. Fret is -1 of a string.
type Change struct {
	String int      `json:"string"`
	Fret   int      `json:"fret"`
	Of     ChangeOf `json:"of"`
	Then   float64  `json:"then"`
	Now    float64  `json:"now"`
	By     float64  `json:"by"`   // cents or mm; of a ring its share of what it was
	U      float64  `json:"u_by"` // standard uncertainty; of a ring a share
}

// ChangeOf is what has changed.
type ChangeOf string

// What can change.
const (
	CentsChange  ChangeOf = "cents"     // of a note, over its open string
	RingChange   ChangeOf = "ring_s"    // of a note; of a string the median, then 1
	SaddleChange ChangeOf = "saddle_mm" // how far the saddle should move
)

// Changes are what has changed between two play-throughs of a neck.
type Changes struct {
	Cents   int      `json:"cents_compared"` // notes
	Rings   int      `json:"rings_compared"`
	Changed []Change `json:"changed"`
}

// suspect is a change and the standard uncertainties it amounts to.
type suspect struct {
	Change
	sigmas float64
}

// Since compares two play-throughs note by note. A change is told only where it is
// beyond the doubts of both, all comparisons together at 95 % (Bonferroni).
func Since(then, now book.Played) Changes {
	var all []suspect
	a, b := byPlace(then), byPlace(now)
	var rings []suspect
	if !clips(then) && !clips(now) { // what clips falls otherwise than it rang
		rings = ringSuspects(a, b, now)
	}
	cents := centsSuspects(a, b, now)
	out := Changes{Changed: []Change{}}
	for _, s := range rings {
		if s.Fret >= 0 {
			out.Rings++
		}
	}
	out.Cents = len(cents)
	all = append(append(append(all, saddleSuspects(then, now)...), rings...), cents...)
	limit := math.Sqrt2 * math.Erfinv(1-falseChange/float64(max(1, len(all))))
	for _, s := range all {
		if math.Abs(s.sigmas) > limit {
			out.Changed = append(out.Changed, s.Change)
		}
	}
	return out
}

func clips(p book.Played) bool { return slices.Contains(p.Flaws, string(recording.Clipped)) }

type stringFret struct{ String, Fret int }

// byPlace finds notes; of one played twice the first.
func byPlace(p book.Played) map[stringFret]book.HeardNote {
	notes := map[stringFret]book.HeardNote{}
	for _, n := range p.Notes {
		at := stringFret{n.String, n.Fret}
		if _, twice := notes[at]; !twice {
			notes[at] = n
		}
	}
	return notes
}

// inOrder calls fn for each note of now that then has too, once, in order.
func inOrder(a, b map[stringFret]book.HeardNote, now book.Played, fn func(then, now book.HeardNote)) {
	done := map[stringFret]bool{}
	for _, n := range now.Notes {
		at := stringFret{n.String, n.Fret}
		if then, both := a[at]; both && !done[at] {
			fn(then, b[at])
		}
		done[at] = true
	}
}

// centsSuspects compares stopped notes, each over its open string: that is how a player
// tunes. The open string's doubt is in every note of it.
func centsSuspects(a, b map[stringFret]book.HeardNote, now book.Played) (out []suspect) {
	by := map[int][]float64{}
	inOrder(a, b, now, func(x, y book.HeardNote) {
		open := stringFret{x.String, 0}
		xo, was := a[open]
		yo, is := b[open]
		if x.Fret == 0 || !was || !is || !sameMoment(x, y) || !sameMoment(x, xo) || !sameMoment(y, yo) {
			return
		}
		c := Change{String: x.String, Fret: x.Fret, Of: CentsChange, Then: x.Cents - xo.Cents, Now: y.Cents - yo.Cents}
		c.By = c.Now - c.Then
		for _, n := range []book.HeardNote{x, xo, y, yo} {
			c.U = math.Hypot(c.U, math.Hypot(pluckCents, n.UCents))
		}
		by[c.String] = append(by[c.String], c.By)
		out = append(out, suspect{Change: c})
	})
	own := math.Sqrt2 * scatter(by) // the open strings scatter as much
	for i := range out {
		out[i].U = math.Max(out[i].U, own)
		out[i].sigmas = out[i].By / out[i].U
	}
	return out
}

func sameMoment(x, y book.HeardNote) bool {
	return math.Abs(x.CentsAtS[0]-y.CentsAtS[0]) <= sameMomentS
}

// ringSuspects compares rings, each beside its string's: new strings ring longer on all
// frets, which tells nothing of a note. The strings' own changes come first.
func ringSuspects(a, b map[stringFret]book.HeardNote, now book.Played) []suspect {
	by := map[int][]float64{}
	var notes, strings []suspect
	inOrder(a, b, now, func(x, y book.HeardNote) {
		was, is := x.RingS.Or(0), y.RingS.Or(0)
		if !(was > 0 && is > 0) {
			return
		}
		c := Change{String: x.String, Fret: x.Fret, Of: RingChange, Then: was, Now: is, By: is / was, U: math.Hypot(ringDoubt(was), ringDoubt(is))}
		by[c.String] = append(by[c.String], math.Log(c.By))
		notes = append(notes, suspect{Change: c})
	})
	own, seen := scatter(by), map[int]bool{}
	for i := range notes {
		n := &notes[i]
		n.U = math.Max(n.U, own)
		beside, many := 0.0, len(by[n.String]) >= leastTogether
		if many {
			beside = num.Median(by[n.String])
		}
		n.sigmas = (math.Log(n.By) - beside) / n.U
		if many && !seen[n.String] {
			u := math.Hypot(otherHand, 1.2533*n.U/math.Sqrt(float64(len(by[n.String])))) // of a median
			strings = append(strings, suspect{Change{n.String, -1, RingChange, 1, math.Exp(beside), math.Exp(beside), u}, beside / u})
		}
		seen[n.String] = true
	}
	return append(strings, notes...)
}

// ringDoubt is that of a ring as a share: of the pluck, and of the blocks it is told in.
func ringDoubt(s float64) float64 { return math.Hypot(pluckRing, ringStepS/math.Sqrt(12)/s) }

// ringStepS is the step in which rings are told.
const ringStepS = 0.05

// scatter is how notes scatter about their strings' medians: 1.4826 times the median
// size, as large as it may be at 95 % by its own scatter (its efficiency is 0.37: Huber,
// Robust Statistics, from memory); 0 of too few.
func scatter(by map[int][]float64) float64 {
	var off []float64
	for _, values := range by {
		if len(values) < leastTogether {
			continue
		}
		middle := num.Median(values)
		for _, v := range values {
			off = append(off, math.Abs(v-middle))
		}
	}
	if len(off) == 0 {
		return 0
	}
	return 1.4826 * num.Median(off) * (1 + 1.645/math.Sqrt(2*0.37*float64(len(off))))
}

// saddleSuspects compares how far each string's saddle should move.
func saddleSuspects(then, now book.Played) (out []suspect) {
	was := map[int]book.HeardString{}
	for _, s := range then.Strings {
		was[s.String] = s
	}
	for _, s := range now.Strings {
		x, y := was[s.String].SaddleMM, s.SaddleMM
		if !x.Known() || !y.Known() {
			continue
		}
		c := Change{String: s.String, Fret: -1, Of: SaddleChange, Then: x.Or(0), Now: y.Or(0), U: math.Hypot(was[s.String].USaddleMM.Or(0), s.USaddleMM.Or(0))}
		c.By = c.Now - c.Then
		out = append(out, suspect{c, c.By / math.Max(c.U, 1e-9)})
	}
	return out
}
