package text

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/num"
	"ringtrue/internal/setup"
)

// SetupCell is what the table has for one end of a string in this pass.
func SetupCell(e *setup.End, say func(mm float64) string) string {
	if e == nil {
		return "-"
	}
	switch e.Deed {
	case setup.Take:
		return say(e.NowMM)
	case setup.Touch:
		return "last"
	case setup.Raise:
		return "low"
	}
	return "-"
}

// SetupKey says what the table's words stand for.
const SetupKey = "- : as wanted, within the uncertainty. last: less left than anyone can file for sure, one stroke at a time. low: too low already"

// SetupStrings are the heads of the columns, the bass first.
func SetupStrings(numbers []int, pitch func(number int) string) []string {
	var out []string
	for _, n := range slices.Backward(numbers) {
		out = append(out, fmt.Sprintf("%d %s", n, pitch(n)))
	}
	return out
}

// SetupRow is one row of the sheet's figures: its name, and what it has of a string.
type SetupRow struct {
	Name string
	Of   func(c setup.Cut) num.Opt
}

// SetupRows are the sheet's figures in mm, as they are and as they should be.
func SetupRows(s *setup.Sheet) []SetupRow {
	slot := func(of func(e *setup.End) float64) func(setup.Cut) num.Opt {
		return func(c setup.Cut) num.Opt {
			if c.Slot == nil {
				return num.Opt{}
			}
			return num.Some(of(c.Slot))
		}
	}
	saddle := func(of func(e *setup.End) float64) func(setup.Cut) num.Opt {
		return func(c setup.Cut) num.Opt { return num.Some(of(&c.Saddle)) }
	}
	is, want := func(e *setup.End) float64 { return e.IsMM }, func(e *setup.End) float64 { return e.WantedMM }
	take, short := func(e *setup.End) float64 { return e.TakeMM }, func(e *setup.End) float64 { return e.ShortMM }
	doubt := func(e *setup.End) float64 { return e.UMM }
	rows := []SetupRow{
		{fmt.Sprintf("over fret %d", s.Over), func(c setup.Cut) num.Opt { return c.ActionMM }},
		{"  wanted", func(c setup.Cut) num.Opt { return num.Some(c.ActionWantedMM) }},
		{"saddle is", saddle(is)}, {"  wanted", saddle(want)}, {"  lower by", saddle(take)}, {"  ± (2 in 3)", saddle(doubt)}, {"  stop short", saddle(short)},
	}
	if s.ZeroFret {
		return rows
	}
	return append([]SetupRow{
		{"over fret 1", func(c setup.Cut) num.Opt { return c.FirstMM }},
		{"  wanted", func(c setup.Cut) num.Opt { return c.FirstWantedMM }},
		{"held, fret 1", func(c setup.Cut) num.Opt { return c.HeldMM }},
		{"  wanted", func(c setup.Cut) num.Opt { return c.FeelerMM }},
		{"nut is", slot(is)}, {"  wanted", slot(want)}, {"  deeper by", slot(take)}, {"  ± (2 in 3)", slot(doubt)}, {"  stop short", slot(short)},
	}, rows...)
}

// SetupFirst is the table of this pass: its rows' names, and their cells, the bass
// first; say writes a height.
func SetupFirst(s *setup.Sheet, say func(mm float64) string) (rows [][]string) {
	add := func(name string, cell func(setup.Cut) string) {
		row := []string{name}
		for _, c := range slices.Backward(s.Cuts) {
			row = append(row, cell(c))
		}
		rows = append(rows, row)
	}
	add("saddle", func(c setup.Cut) string { return SetupCell(&c.Saddle, say) })
	if s.ZeroFret {
		return rows
	}
	add("nut slot", func(c setup.Cut) string { return SetupCell(c.Slot, say) })
	add(SetupFeeler, func(c setup.Cut) string {
		mm, known := c.FeelerNowMM.Get()
		if !known || !slices.Contains([]setup.Deed{setup.Take, setup.Touch}, c.Slot.Deed) {
			return "-"
		}
		return say(math.Max(0, mm))
	})
	return rows
}

// The headings of the sheet's tables.
const (
	SetupHeights = "Heights as they are and as wanted, mm"
	SetupAll     = "Heights, setbacks and lowest clear action, mm" // both in one table
	SetupPlaces  = "Setbacks and lowest clear action, mm"
	SetupShowing = "Saddle over the bridge, mm"
)

// SetupFeeler names the row of leaves that a slot is filed to.
const SetupFeeler = "feeler"

// SetupAgain heads the lines to write on.
const SetupAgain = "Strung up and measured again, mm"

// SetupToMeasure are the rows of it.
func SetupToMeasure(s *setup.Sheet) []string {
	action := fmt.Sprintf("over fret %d", s.Over)
	if s.ZeroFret {
		return []string{action}
	}
	return []string{"over fret 1", fmt.Sprintf("held on %d, fret 1", setup.HeldFret), action}
}

// Names of the rows of places and of the least action.
const (
	SetupSaddleBack = "saddle back"
	SetupBothSaddle = "both: saddle"
	SetupBothNut    = "both: nut"
	SetupLeast      = "lowest clear"
)

// SetupPlaceRows are those rows in order.
func SetupPlaceRows() []string {
	return []string{SetupSaddleBack, SetupBothSaddle, SetupBothNut, SetupLeast}
}

// SetupFigure is a height in a table, as say writes it.
func SetupFigure(v num.Opt, say func(mm float64) string) string {
	mm, known := v.Get()
	if !known {
		return "-"
	}
	return say(mm)
}

// SetupMM writes a height in mm.
func SetupMM(mm float64) string {
	words := fmt.Sprintf("%.2f", mm)
	if words == "-0.00" {
		return "0.00"
	}
	return words
}
