package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
	"ringtrue/internal/wear"
)

// Units are the unit of heights on a sheet.
type Units int

// Units of heights.
const (
	Micrometres Units = iota
	Thousandths       // of an inch
)

// Paper is what a sheet is for.
type Paper int

// Papers: landscape for the wall by the bench, or a tall picture 100 mm wide
// whose numbers can be read on a screen 390 dots wide, the nut at its top.
const (
	A4 Paper = iota
	Letter
	Phone
)

// PapersByName are the papers by the names a maker gives.
func PapersByName() map[string]Paper {
	return map[string]Paper{"a4": A4, "letter": Letter, "phone": Phone}
}

// lying is a paper's width and height in mm, laid down; Phone grows.
func (p Paper) lying() (width, height float64) {
	switch p {
	case Letter:
		return 11 * unit.MMPerInch, 8.5 * unit.MMPerInch
	case Phone:
		return 100, 100
	}
	return 297, 210
}

const maxLanes = 24 // rows of numbers that can still be read on paper

// Frets draws an answer of `frets`. Every determined crown is shown by place,
// colour, form, sign and number; of more than 24 lanes the whole ones, and the
// rest is named.
//
// An error says that there is no lane to draw.
func Frets(a *answer.FretsAnswer, l *geometry.Layout, paper Paper, units Units) (*draw.Page, error) {
	return fretsPage(a, l, paper, units, nil)
}

// fretsPage draws heights, or with words changes.
func fretsPage(a *answer.FretsAnswer, l *geometry.Layout, paper Paper, units Units, words *changeWords) (*draw.Page, error) {
	f := &fretsSheet{FretsAnswer: a, l: l, unit: unitOf(units), name: cmp.Or(a.Neck, "Neck without a name"), changes: words}
	f.frets = span2(l.FirstFret(), l.LastFret())
	if f.gather(); len(f.lanes) == 0 {
		return nil, fmt.Errorf("sheet: no lane was read, so there is nothing to draw")
	}
	head := heading{title: f.name + text.SheetFrets, verdict: a.Verdict, mood: moodOfFrets(f.Verdict), say: f.sentences(), facts: f.facts()}
	if words != nil {
		head.title = f.name + text.SheetChanges
	}
	w, h := paper.lying()
	p, y, err := head.page(w, h, units, f.about())
	if err != nil {
		return nil, err
	}
	if f.p = p; paper == Phone {
		f.drawTall(y)
	} else {
		f.drawWide(y)
	}
	return p, nil
}

// moodOfFrets is how a verdict on frets looks.
func moodOfFrets(verdict string) mood {
	switch verdict {
	case string(straight.InDoubt):
		return doubtful
	case string(straight.NotLevel), string(wear.Worn), string(wear.Moved):
		return toDo
	}
	return well
}

// fretsSheet is a sheet under way.
type fretsSheet struct {
	*answer.FretsAnswer
	p       *draw.Page
	takes   bool // something comes off somewhere
	l       *geometry.Layout
	unit    heightUnit
	name    string
	frets   []int
	lanes   []float64 // shown, ascending: from the treble side
	left    int       // lanes that have no room
	cells   map[cellKey]cell
	full    float64 // mm at the ends of the colour scale
	g       ground
	changes *changeWords // nil on a sheet of heights
}

// cellKey is a crown by its fret and lane.
type cellKey struct {
	fret int
	lane float64
}

// cell is what is known of one crown.
type cell struct {
	known bool
	answer.CrownAnswer
	remove    float64
	readAgain bool
}

// heightUnit writes heights.
type heightUnit struct {
	perMM       float64
	digits      int
	short, long string
}

func unitOf(u Units) heightUnit {
	if u == Thousandths {
		return heightUnit{perMM: 1000 / unit.MMPerInch, digits: 1, short: "thou", long: "thousandths of an inch"}
	}
	return heightUnit{perMM: 1000, short: "µm", long: "µm"}
}

func (u heightUnit) plain(mm float64) string { return number(mm*u.perMM, u.digits) }

// signed is a height with its sign; 0 has none.
func (u heightUnit) signed(mm float64) string {
	s := u.plain(mm)
	if mm > 0 && s != number(0, u.digits) {
		return "+" + s
	}
	return s
}

func span2(from, to int) []int {
	var all []int
	for n := from; n <= to; n++ {
		all = append(all, n)
	}
	return all
}

// gather sorts what is known by fret and lane, and picks the lanes to show.
func (f *fretsSheet) gather() {
	f.cells = map[cellKey]cell{}
	lanes := map[float64]bool{}
	most := f.ZoneLimitMM
	at := func(fret int, lane float64, change func(*cell)) {
		if lane >= 1 && lane <= float64(f.l.Strings()) {
			lanes[lane] = true
		}
		if change != nil {
			c := f.cells[cellKey{fret, lane}]
			change(&c)
			f.cells[cellKey{fret, lane}] = c
		}
	}
	for _, lane := range f.Lanes {
		at(0, lane.Lane, nil)
	}
	for _, k := range f.Crowns {
		at(k.Fret, k.Lane, func(c *cell) { c.known, c.CrownAnswer = true, k })
		most = math.Max(most, math.Abs(k.OffMM))
	}
	if f.Work != nil {
		for _, k := range f.Work.Crowns {
			at(k.Fret, k.Lane, func(c *cell) { c.remove = k.RemoveMM })
			f.takes = f.takes || f.unit.plain(k.RemoveMM) != number(0, f.unit.digits)
		}
	}
	for _, q := range f.Undetermined {
		at(q.Fret, q.Lane, nil)
	}
	for _, q := range f.Recheck {
		at(q.Fret, q.Lane, func(c *cell) { c.readAgain = true })
	}
	for lane := range lanes {
		f.lanes = append(f.lanes, lane)
	}
	slices.Sort(f.lanes)
	if len(f.lanes) > maxLanes {
		whole := slices.DeleteFunc(slices.Clone(f.lanes), func(v float64) bool { return v != math.Trunc(v) })
		f.left = len(f.lanes) - len(whole)
		f.lanes = whole
	}
	f.full = f.unit.roundUp(most)
}

// roundUp is the least of a ladder of round heights that is mm or more.
func (u heightUnit) roundUp(mm float64) float64 {
	v := math.Max(mm*u.perMM, 1e-3)
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 1.5, 2, 3, 5, 7} {
		if m*power >= v*(1-1e-9) {
			return m * power / u.perMM
		}
	}
	return 10 * power / u.perMM
}

// colour is the colour of a height.
func (f *fretsSheet) colour(off float64) draw.Colour { return draw.Diverging(off / f.full) }
