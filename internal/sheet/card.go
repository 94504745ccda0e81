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
type cardWords struct {
	top, first, file []string
	last             foot
}

// card is a sheet under way, and what is ticked already.
type card struct {
	neck, verdict string
	cardWords
	table cardTable
	done  func(answer.PlanCrown) bool
}

// newCard is a card under way.
func newCard(name, verdict string, words, before, file, care []string, files bool) card {
	c := card{neck: name, verdict: verdict, cardWords: cardWords{words, before, file, foot{notes: care, number: " "}}} // room for a number
	if files {
		c.last.next = text.NextCrown
	}
	return c
}

// measures of a card, in mm
const (
	cardRow   = 8.0
	cardBox   = 4.2
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
func Card(name, verdict string, words, before, file, foot []string, crowns []answer.PlanCrown, done func(answer.PlanCrown) bool, paper Paper, units Units) ([]*draw.Page, error) {
	c := newCard(name, verdict, words, before, file, foot, len(crowns) > 0)
	c.table, c.done = cardTableOf(crowns), done
	h, w := paper.lying()
	first, err := newPage(w, h, name+text.SheetMoves, units)
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
	room := func() int { return int((c.last.top(first) - top - cardRow) / cardRow) }
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
	ends(pages, c.last)
	return pages, nil
}

// cardText is a step of a card: read at arm's length.
func cardText() draw.Type { return draw.Type{SizePt: 11, Level: draw.Below} }

// begin draws what stands above the work, on as many pages as it takes, the work under
// the heading then; it gives them and where the work begins on the last.
func (c card) begin(p *draw.Page, then string) (pages []*draw.Page, y float64) {
	pages = []*draw.Page{p}
	if len(c.first) == 0 {
		return pages, c.next(p)
	}
	w, h := p.Size()
	low := c.last.top(p)
	y = lines(p, edgeMM, c.heading(c.top).draw(p)+2, w-2*edgeMM, text.CardFirst, partText()) + 1
	left := edgeMM + cardBox + 3
	for _, step := range c.first {
		if y+float64(len(wrapped(p, step, cardText(), w-edgeMM-left)))*cardText().LineMM() > low {
			p = p.Next(w, h)
			pages, y = append(pages, p), c.heading(nil).draw(p)
		}
		p.Rect(edgeMM, y-0.4, cardBox, cardBox, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.35}})
		y = lines(p, left, y, w-edgeMM-left, step, cardText()) + 1.8
	}
	high := 4 * cardRow
	for _, words := range c.file {
		high += float64(len(wrapped(p, words, sayText(), w-2*edgeMM))) * sayText().LineMM()
	}
	if y+high > low { // the heading stays with its work
		p = p.Next(w, h)
		pages, y = append(pages, p), c.heading(nil).draw(p)
	}
	y = lines(p, edgeMM, y+2, w-2*edgeMM, then, partText()) + 1
	for _, words := range c.file {
		y = lines(p, edgeMM, y, w-2*edgeMM, words, sayText())
	}
	return pages, y + 4
}

// heading is what stands at a page's top.
func (c card) heading(say []string) heading {
	return heading{title: c.neck + text.SheetMoves, verdict: c.verdict, mood: moodOfFrets(c.verdict), say: say}
}

// next begins a further page of the work, and gives where it begins.
func (c card) next(p *draw.Page) float64 {
	var say []string
	if len(c.first) == 0 {
		say = append(slices.Clone(c.top), c.file...)
	}
	return c.heading(say).draw(p) + 2
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
	step := min((w-2*edgeMM-cardFret)/float64(len(lanes)), 27)
	right := edgeMM + cardFret + step*float64(len(lanes))
	label := draw.Type{SizePt: 8.5, Colour: draw.Slate, Level: draw.Centred}
	y := top + cardRow/2
	p.Text(edgeMM, y, "take off, "+u.short, label)
	for k, lane := range lanes {
		p.Text(edgeMM+cardFret+step*float64(k)+cardBox+1.5, y, "lane "+laneName(lane), label)
	}
	number := draw.Type{SizePt: 12, Bold: true, Level: draw.Centred}
	amount := draw.Type{SizePt: 11, Level: draw.Centred}
	for i, f := range frets {
		y := top + cardRow*(float64(i)+1.5)
		p.Line(edgeMM, y-cardRow/2, right, y-cardRow/2, draw.Pen{Colour: draw.Mist, WidthMM: 0.2})
		p.Text(edgeMM, y, "fret "+strconv.Itoa(f), number)
		for k, lane := range lanes {
			crown, ok := t.at[cellKey{f, lane}]
			if !ok {
				continue
			}
			x := edgeMM + cardFret + step*float64(k)
			p.Rect(x, y-cardBox/2, cardBox, cardBox, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.35}})
			if c.done(crown) {
				tick := []draw.Point{{X: x + 0.8, Y: y}, {X: x + 1.7, Y: y + 1.1}, {X: x + 3.5, Y: y - 1.3}}
				p.Path(tick, false, draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.6}})
			}
			p.Text(x+cardBox+1.5, y, u.amount(crown.RemoveMM), amount)
		}
	}
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
