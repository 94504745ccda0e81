package setup

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
	"ringtrue/internal/unit"
)

// What no neck has: a size beyond these is a slip of typing or of the unit until it
// is typed again. Common practice, from memory, no source: set-ups lie between 1 and
// 3 mm over fret 12, a bass up to 4, a slot as it comes 1 mm over fret 1, and a set
// of strings rises evenly by 1 mm at most; the limits leave twice that.
const (
	mostActionMM     = 6.0
	mostBassActionMM = 8.0
	mostFirstMM      = 3.0
	mostOffMM        = 3.0
)

// Limits are the largest sizes that are not questioned on a neck.
type Limits struct {
	ActionMM, FirstMM float64
	ActionFret        int // where the action is measured
}

// LimitsOf are those of a neck by its scale. A neck whose own file wants more, as one
// for playing with a slide, is allowed that and as much again as is usual to take off.
func LimitsOf(scaleMM float64, wantedMM []float64, actionFret int) Limits {
	l := Limits{ActionMM: mostActionMM, FirstMM: mostFirstMM, ActionFret: actionFret}
	if scaleMM >= stringset.BassScaleMM {
		l.ActionMM = mostBassActionMM
	}
	for _, mm := range wantedMM {
		if mm > l.ActionMM/2 {
			l.ActionMM = math.Max(l.ActionMM, 2*mm)
			l.FirstMM = math.Max(l.FirstMM, mm)
		}
	}
	return l
}

// Size is one of the sizes measured on a string.
type Size int

// The sizes that are questioned.
const (
	SizeFirst Size = iota
	SizeHeld
	SizeAction
)

// Question is a size that no neck has.
type Question struct {
	String  int // 0: every string
	Size    Size
	Fret    int
	MM      float64
	Low     bool    // too small, not too large
	OtherMM num.Opt // the least of what the other strings have; missing: nothing to hold it against
	UpToMM  float64 // the most of it
	LimitMM float64
}

// Questions is an error: what was measured has to be typed again.
type Questions []Question

// Error says all of them, in mm, a line each.
func (q Questions) Error() string {
	lines := make([]string, len(q))
	for i, x := range q {
		lines[i] = x.Says(func(mm float64) string { return unit.Decimal(math.Round(mm*1000)/1000) + " mm" })
	}
	return strings.Join(lines, "\n")
}

// Says asks in words, sizes as write has them.
func (q Question) Says(write func(mm float64) string) string {
	where := fmt.Sprintf("over fret %d", q.Fret)
	if q.Size == SizeHeld {
		where = fmt.Sprintf("held on fret %d, over fret 1", HeldFret)
	}
	why := fmt.Sprintf("It is %s at most on any neck", write(q.LimitMM))
	least, known := q.OtherMM.Get()
	switch {
	case q.Low:
		why = "It must be more than 0"
	case known && least == q.UpToMM:
		why = fmt.Sprintf("The others have %s", write(least))
	case known:
		why = fmt.Sprintf("The others have %s to %s", bare(write(least)), write(q.UpToMM))
	}
	which := "every string"
	if q.String > 0 {
		which = fmt.Sprintf("string %d", q.String)
	}
	return fmt.Sprintf("%s %s: %s? %s. Type it again", which, where, write(q.MM), why)
}

// bare is a size without its unit.
func bare(size string) string {
	number, _, _ := strings.Cut(size, " ")
	return number
}

// Question asks about what was measured, before anything is worked out of it: sizes
// above the limits; an action of nothing, or an open gap of nothing under a string
// that held down has one; a string far off the middle of the others. Nil for no
// question.
func (l Limits) Question(all []Measured) (out Questions) {
	for _, row := range []row{
		{SizeFirst, 1, l.FirstMM, func(m Measured) num.Opt { return m.FirstMM }},
		{SizeHeld, 1, l.FirstMM, func(m Measured) num.Opt { return m.HeldMM }},
		{SizeAction, l.ActionFret, l.ActionMM, func(m Measured) num.Opt { return m.ActionMM }},
	} {
		out = append(out, row.question(all)...)
	}
	return out
}

// row is one size of every string.
type row struct {
	size   Size
	fret   int
	mostMM float64
	of     func(Measured) num.Opt
}

func (r row) question(all []Measured) (out Questions) {
	fits := func(m Measured) bool {
		mm, known := r.of(m).Get()
		return known && mm <= r.mostMM && !r.low(m, mm)
	}
	measured, same := 0, true
	var sane []float64
	for i, m := range all {
		mm, known := r.of(m).Get()
		if !known {
			continue
		}
		measured++
		q := Question{String: m.String, Size: r.size, Fret: r.fret, MM: mm, Low: r.low(m, mm), LimitMM: r.mostMM}
		if fits(m) {
			if q = r.off(all, i, q, fits); q.OtherMM == (num.Opt{}) {
				sane = append(sane, mm)
				continue
			}
		}
		same = same && (len(out) == 0 || out[0].MM == mm)
		out = append(out, q)
	}
	if measured > 1 && len(out) == measured && same {
		out = out[:1] // one value was given for all
		out[0].String = 0
	}
	for i := range out {
		if len(sane) > 0 {
			out[i].OtherMM, out[i].UpToMM = num.Some(slices.Min(sane)), slices.Max(sane)
		}
	}
	return out
}

// low says that a size is nothing where it cannot be: a slot too deep lays the open
// string on fret 1, but then a held one lies there too.
func (r row) low(m Measured, mm float64) bool {
	return mm <= 0 && (r.size == SizeAction || r.size == SizeFirst && m.HeldMM.Or(0) > 0)
}

// off asks about a string far off the middle of at least two others that fit, and
// names those. The middle is the median, which one slip among them does not move.
func (r row) off(all []Measured, i int, q Question, fits func(Measured) bool) Question {
	var others []float64
	for j, m := range all {
		if j != i && fits(m) {
			others = append(others, r.of(m).OrNaN())
		}
	}
	if len(others) > 1 && math.Abs(q.MM-num.Median(slices.Clone(others))) > mostOffMM {
		q.OtherMM, q.UpToMM = num.Some(slices.Min(others)), slices.Max(others)
	}
	return q
}
