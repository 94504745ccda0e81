package sheet

import (
	"fmt"
	"slices"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/text"
)

// cardWords are the lines of a card: above all, what comes before any file, what
// is said of the filing itself, and at the foot.
type cardWords struct{ top, first, file, care []string }

// card is a sheet under way, and what is ticked already.
type card struct {
	neck string
	cardWords
	table cardTable
	done  func(answer.PlanCrown) bool
}

// measures of a card, in mm
const (
	cardEdge  = 14.0
	cardRow   = 8.0
	cardBox   = 4.2
	cardFoot  = 30.0
	cardFret  = 22.0 // the column of fret numbers
	cardLanes = 9    // on one page: beyond, boxes and numbers would touch
)

// cardTable is the crowns by fret and lane.
type cardTable struct {
	frets []int
	lanes []float64 // bass side first, as the neck lies
	at    map[cellKey]answer.PlanCrown
}

func cardTableOf(crowns []answer.PlanCrown) cardTable {
	t := cardTable{at: map[cellKey]answer.PlanCrown{}}
	for _, k := range crowns {
		t.at[cellKey{k.Fret, k.Lane}] = k
		if !slices.Contains(t.frets, k.Fret) {
			t.frets = append(t.frets, k.Fret)
		}
		if !slices.Contains(t.lanes, k.Lane) {
			t.lanes = append(t.lanes, k.Lane)
		}
	}
	slices.Sort(t.frets)
	slices.Sort(t.lanes)
	slices.Reverse(t.lanes)
	return t
}

// Card draws the plan to hang up at the bench. First comes what is done before any
// file, then what comes off which crown, each with a box to tick, some ticked already
// as done says; words stand at the top, file over the table (what the plan leaves,
// what it costs), foot below it (cautions). On upright paper, as many pages as it
// needs; one where nothing comes off. An error says that the paper is none.
func Card(name string, words, before, file, foot []string, crowns []answer.PlanCrown, done func(answer.PlanCrown) bool, paper Paper, units Units) ([]*draw.Page, error) {
	c := card{name, cardWords{words, before, file, foot}, cardTableOf(crowns), done}
	h, w := paper.lying()
	first, err := newPage(w, h, "Card: "+c.neck, units)
	if err != nil {
		return nil, err
	}
	first.About(fmt.Sprintf("What to take off each crown of %s, with boxes to tick.", c.neck))
	t := c.table
	then := text.CardThen
	if len(crowns) == 0 {
		then = text.CardNothing
	}
	pages, top := c.begin(first, then)
	room := func() int { return int((h - cardFoot - top - cardRow) / cardRow) }
	for lanes := t.lanes; ; {
		n := min(len(lanes), cardLanes)
		for frets := t.frets; ; {
			rows := room()
			if len(frets) > 0 && rows < min(len(frets), 3) { // the first page is full
				pages, top = append(pages, first.Next(w, h)), 0
				top = c.next(pages[len(pages)-1])
				rows = room()
			}
			m := min(len(frets), rows)
			c.grid(pages[len(pages)-1], top, t, frets[:m], lanes[:n], units)
			top = h
			if frets = frets[m:]; len(frets) == 0 {
				break
			}
		}
		if lanes = lanes[n:]; len(lanes) == 0 {
			break
		}
	}
	for i, p := range pages {
		number := ""
		if len(pages) > 1 {
			number = fmt.Sprintf("%d of %d", i+1, len(pages))
		}
		c.foot(p, number)
	}
	return pages, nil
}

// begin draws what stands above the work, on as many pages as it takes, the work under
// the heading then; it gives them and where the work begins on the last.
func (c card) begin(p *draw.Page, then string) (pages []*draw.Page, y float64) {
	pages = []*draw.Page{p}
	if len(c.first) == 0 {
		return pages, c.lines(p, c.title(p), append(slices.Clone(c.top), c.file...)) + 4
	}
	w, h := p.Size()
	y = c.heading(p, c.lines(p, c.title(p), c.top)+3, text.CardFirst)
	say := draw.Type{SizePt: 11.5, Level: draw.Below}
	left := cardEdge + cardBox + 3
	for _, step := range c.first {
		lines := p.Wrap(step, say, w-cardEdge-left)
		if y+float64(len(lines))*say.LineMM() > h-cardFoot {
			p = p.Next(w, h)
			pages, y = append(pages, p), c.title(p)
		}
		p.Rect(cardEdge, y-0.2, cardBox, cardBox, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.35}})
		for _, line := range lines {
			p.Text(left, y, line, say)
			y += say.LineMM()
		}
		y += 1.8
	}
	if high := c.linesHigh(p, c.file) + 4*cardRow; y+high > h-cardFoot { // the heading stays with its work
		p = p.Next(w, h)
		pages, y = append(pages, p), c.title(p)
	}
	return pages, c.lines(p, c.heading(p, y+2, then), c.file) + 4
}

// next begins a further page of the work, and gives where it begins.
func (c card) next(p *draw.Page) float64 {
	if len(c.first) == 0 {
		return c.lines(p, c.title(p), append(slices.Clone(c.top), c.file...)) + 4
	}
	return c.title(p) + 4
}

// title draws the neck's name and gives where the next line stands.
func (c card) title(p *draw.Page) float64 {
	w, h := p.Size()
	p.Rect(0, 0, w, h, draw.Filled(draw.Paper))
	title := draw.Type{SizePt: 17, Bold: true, Level: draw.Below}
	p.Text(cardEdge, cardEdge, p.Clip(c.neck, title, w-2*cardEdge), title)
	return cardEdge + title.LineMM()
}

func (c card) heading(p *draw.Page, y float64, words string) float64 {
	set := draw.Type{SizePt: 13, Bold: true, Level: draw.Below}
	p.Text(cardEdge, y, words, set)
	return y + set.LineMM() + 0.5
}

func cardLine() draw.Type { return draw.Type{SizePt: 10, Level: draw.Below} }

// linesHigh is how high words stand.
func (c card) linesHigh(p *draw.Page, all []string) (high float64) {
	w, _ := p.Size()
	for _, words := range all {
		high += float64(len(p.Wrap(words, cardLine(), w-2*cardEdge))) * cardLine().LineMM()
	}
	return high
}

// lines writes words from y down.
func (c card) lines(p *draw.Page, y float64, all []string) float64 {
	w, _ := p.Size()
	say := cardLine()
	for _, words := range all {
		for _, line := range p.Wrap(words, say, w-2*cardEdge) {
			p.Text(cardEdge, y, line, say)
			y += say.LineMM()
		}
	}
	return y
}

// BeforeFiling lists what a neck wants before any file: frets to press, seat or
// replace, then what to read again. Empty where the file comes first.
func BeforeFiling(a *answer.FretsAnswer) (steps []string) {
	if a.Work != nil {
		for _, f := range a.Work.First {
			steps = append(steps, text.CardFret(f.Fret, f.Brief))
		}
	}
	for _, r := range a.Recheck {
		steps = append(steps, text.CardReadAgain(r.Fret, r.Lane, r.ReadingMM, r.ExpectedMM))
	}
	if n := len(a.Undetermined); n > 0 {
		steps = append(steps, text.CardOpen(n))
	}
	if a.Work != nil && len(a.Work.First) > 0 {
		steps = append(steps, text.CardReadAll)
	}
	return steps
}

// grid draws rows of frets and columns of lanes.
func (c card) grid(p *draw.Page, top float64, t cardTable, frets []int, lanes []float64, units Units) {
	if len(lanes) == 0 {
		return
	}
	w, _ := p.Size()
	u := unitOf(units)
	step := min((w-2*cardEdge-cardFret)/float64(len(lanes)), 27)
	right := cardEdge + cardFret + step*float64(len(lanes))
	label := draw.Type{SizePt: 8.5, Colour: draw.Slate, Level: draw.Centred}
	y := top + cardRow/2
	p.Text(cardEdge, y, "take off, "+u.short, label)
	for k, lane := range lanes {
		p.Text(cardEdge+cardFret+step*float64(k)+cardBox+1.5, y, "lane "+laneName(lane), label)
	}
	number := draw.Type{SizePt: 12, Bold: true, Level: draw.Centred}
	amount := draw.Type{SizePt: 11, Level: draw.Centred}
	for i, f := range frets {
		y := top + cardRow*(float64(i)+1.5)
		p.Line(cardEdge, y-cardRow/2, right, y-cardRow/2, draw.Pen{Colour: draw.Mist, WidthMM: 0.2})
		p.Text(cardEdge, y, "fret "+strconv.Itoa(f), number)
		for k, lane := range lanes {
			crown, ok := t.at[cellKey{f, lane}]
			if !ok {
				continue
			}
			x := cardEdge + cardFret + step*float64(k)
			p.Rect(x, y-cardBox/2, cardBox, cardBox, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.35}})
			if c.done(crown) {
				tick := []draw.Point{{X: x + 0.8, Y: y}, {X: x + 1.7, Y: y + 1.1}, {X: x + 3.5, Y: y - 1.3}}
				p.Path(tick, false, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.6}})
			}
			p.Text(x+cardBox+1.5, y, u.amount(crown.RemoveMM), amount)
		}
	}
}

// foot draws cautions and the page's number.
func (c card) foot(p *draw.Page, number string) {
	w, h := p.Size()
	small := draw.Type{SizePt: 7.5, Colour: draw.Slate, Level: draw.Below}
	y := h - cardFoot + 6
	for _, words := range c.care {
		for _, line := range p.Wrap(words, small, w-2*cardEdge-20) {
			p.Text(cardEdge, y, line, small)
			y += small.LineMM()
		}
	}
	p.Text(w-cardEdge, h-cardEdge, number, draw.Type{SizePt: 8, Colour: draw.Slate, Anchor: draw.End})
}

// amount is metal to take off; what would round to nothing is less than the last
// digit.
func (u heightUnit) amount(mm float64) string {
	text := u.plain(mm)
	if text == number(0, u.digits) {
		return "<" + text[:len(text)-1] + "1"
	}
	return text
}
