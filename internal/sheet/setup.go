package sheet

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// measures of a set-up sheet, in mm
const (
	setupName  = 30.0 // the column of the rows' names
	setupCol   = 25.3 // a string's column, at most
	setupBig   = 8.6  // a row of this pass
	setupSmall = 5.2  // a row of the heights, at most
)

// setupPage is a set-up sheet under way: y is how far down it is drawn.
type setupPage struct {
	*draw.Page
	a        *answer.SetupAnswer
	in       length
	digits   int // of a mm
	step, y  float64
	crowding bool // columns too narrow for the usual type
	foot     foot
}

// Setup draws the set-up sheet to print: this pass with boxes to tick and lines to
// write what is measured next, the deeds in order, every height; the bass left. On one
// upright page. An error says that the paper is none.
func Setup(a *answer.SetupAnswer, paper Paper, units Units) (*draw.Page, error) {
	h, w := paper.lying()
	s := a.Sheet
	head := heading{title: text.SetupTitle(a.Neck)}
	if a.Lowest {
		head.say = append(head.say, text.SetupLowest(a.Left))
	}
	head.say = append(head.say, text.SetupPlays(a.Notes, a.Left, a.JudgeBy, a.PerfectCrowns))
	page, y, err := head.of(text.SetupHead(s), moodOf(s.Done() && !s.FretsOff)).page(w, h, units, text.SetupAbout(a.Neck))
	if err != nil {
		return nil, err
	}
	p := &setupPage{Page: page, a: a, y: y, foot: foot{next: text.NextMeasure, notes: []string{text.SetupCare}}}
	if s.Done() && !s.FretsOff {
		p.foot.next = text.NextRod
	}
	p.in, p.digits = lengthFor("mm", 0.5, units), 2
	if units == Thousandths {
		p.digits = 3
	}
	p.step = math.Min(setupCol, (w-2*edgeMM-setupName)/float64(max(1, len(s.Cuts))))
	p.crowding = p.step < 13
	small := draw.Type{SizePt: 8, Level: draw.Below}
	p.cannot(small)
	for _, words := range append(a.Warnings, text.SetupTooLow(s)...) {
		p.words("! "+words, small)
	}
	p.y += 2
	p.thisPass()
	p.deeds(small)
	p.heights()
	p.foot.atEnd(page)
	return page, nil
}

// mostCannot is how many strings that cannot be had are said one by one.
const mostCannot = 6

// cannot says which strings cannot be had as wanted.
func (p *setupPage) cannot(set draw.Type) {
	s := p.a.Sheet
	if len(s.Cannot) > mostCannot {
		p.words(text.CannotShort(s, p.a.PerfectCrowns), set)
		return
	}
	for _, c := range s.Cannot {
		p.words(c.Why, set)
	}
}

// words writes a paragraph.
func (p *setupPage) words(words string, set draw.Type) {
	w, _ := p.Size()
	p.y = lines(p.Page, edgeMM, p.y, w-2*edgeMM, words, set)
}

// say writes a height in the shop's unit.
func (p *setupPage) say(mm float64) string { return p.in.say(mm, p.digits) }

// heading heads a table and names its unit.
func (p *setupPage) heading(words string) {
	p.words(strings.Replace(words, ", mm", ", "+p.in.name, 1), partText())
}

// row draws a row of a table: its name, and a cell a string.
func (p *setupPage) row(name string, cells []string, high float64, set draw.Type) {
	w := setupName + p.step*float64(len(cells))
	p.Line(edgeMM, p.y, edgeMM+w, p.y, draw.Pen{Colour: draw.Mist, WidthMM: 0.2})
	y := p.y + high/2
	bare := strings.TrimLeft(name, " ")
	p.Text(edgeMM+1+2*float64(len(name)-len(bare)), y, bare, draw.Type{SizePt: 9, Level: draw.Centred})
	for k, c := range cells {
		p.Text(edgeMM+setupName+p.step*(float64(k)+0.5), y, c, set.At(draw.Middle, draw.Centred))
	}
	p.y += high
}

// strings draws the heads of the columns.
func (p *setupPage) strings() {
	var numbers []int
	pitch := map[int]string{}
	for _, x := range p.a.Strings {
		numbers = append(numbers, x.String)
		pitch[x.String] = x.Pitch
	}
	p.row("string", text.SetupStrings(numbers, func(n int) string { return pitch[n] }), setupSmall+1, p.kind(9, true))
}

// kind is a type of figures, smaller where columns are narrow.
func (p *setupPage) kind(size float64, bold bool) draw.Type {
	if p.crowding {
		size = math.Min(size, 7)
	}
	return draw.Type{SizePt: size, Bold: bold}
}

// thisPass draws what to take off now, a box to tick under each figure, and lines to
// write what is measured next.
func (p *setupPage) thisPass() {
	s := p.a.Sheet
	if !s.Early() && !s.Done() {
		p.heading(text.SetupTake(s))
		p.strings()
		for _, r := range text.SetupFirst(s, p.say) {
			top := p.y
			p.row(r[0], r[1:], setupBig, p.kind(12, true))
			for k, cell := range r[1:] {
				if strings.Trim(cell, "0123456789.") == "" && r[0] != text.SetupFeeler {
					x := edgeMM + setupName + p.step*float64(k+1) - 3.4
					p.Rect(x, top+setupBig/2-1.3, 2.6, 2.6, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.3}})
				}
			}
		}
		p.words(text.SetupKey, noteText())
		p.y += 2
	}
	p.heading(text.SetupAgain)
	p.strings()
	for _, name := range text.SetupToMeasure(s) {
		p.row(name, make([]string, len(s.Cuts)), setupBig-1, p.kind(9, false))
	}
	bottom := p.y
	for k := range len(s.Cuts) + 1 {
		x := edgeMM + setupName + p.step*float64(k)
		p.Line(x, bottom-(setupBig-1)*float64(len(text.SetupToMeasure(s))), x, bottom, draw.Pen{Colour: draw.Mist, WidthMM: 0.2})
	}
	p.Line(edgeMM, bottom, edgeMM+setupName+p.step*float64(len(s.Cuts)), bottom, draw.Pen{Colour: draw.Mist, WidthMM: 0.2})
	p.y += 3
}

// deeds lists what to do in order.
func (p *setupPage) deeds(set draw.Type) {
	for i, words := range p.a.Steps {
		p.words(fmt.Sprintf("%d. %s", i+1, words), set)
	}
	p.y += 3
}

// heights draws every height as it is and as wanted, setbacks, and the least action.
func (p *setupPage) heights() {
	figures := p.kind(8.5, false)
	p.heading(text.SetupAll)
	p.strings()
	rows, places := text.SetupRows(p.a.Sheet), text.SetupPlaceRows()
	high := math.Min(setupSmall, (p.foot.top(p.Page)-p.y)/float64(len(rows)+len(places)))
	for _, r := range rows {
		p.row(r.Name, p.cells(func(k int) num.Opt { return r.Of(p.a.Sheet.Cuts[k]) }), high, figures)
	}
	for _, r := range places {
		p.row(r, p.cells(func(k int) num.Opt { return p.a.Strings[k].Place(r) }), high, figures)
	}
}

// cells are a row's figures, the bass first.
func (p *setupPage) cells(of func(k int) num.Opt) (cells []string) {
	for k := len(p.a.Strings) - 1; k >= 0; k-- {
		cells = append(cells, text.SetupFigure(of(k), p.say))
	}
	return cells
}
