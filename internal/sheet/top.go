package sheet

import (
	"math"
	"strings"
	"unicode"

	"ringtrue/internal/draw"
	"ringtrue/internal/text"
)

// What all sheets share, in mm: the paper's margin, that of a phone, under which
// width a sheet is a phone's, and the height of a verdict's plate.
const (
	edgeMM, phoneEdgeMM = 14.0, 4.0
	phoneMM             = 150.0
	plateMM             = 5.4
	a4WideMM, a4HighMM  = 210.0, 297.0
)

// Types that all sheets share: a part's heading, sentences, and notes in the second
// voice: facts, legends, cautions.
func partText() draw.Type { return draw.Type{SizePt: 10, Bold: true, Level: draw.Below} }
func sayText() draw.Type  { return draw.Type{SizePt: 9, Level: draw.Below} }
func noteText() draw.Type { return draw.Type{SizePt: 7.5, Colour: draw.Slate, Level: draw.Below} }

// mood is what a verdict's plate looks like, in grey too: a frame where all is well, a
// broken one where it is in doubt, ink where there is something to do.
type mood int

const (
	well mood = iota
	doubtful
	toDo
)

func moodOf(fine bool) mood {
	if fine {
		return well
	}
	return toDo
}

// heading is what stands at the top of every sheet: whose it is and what it is, the
// verdict on its plate, sentences beside it, and facts at the right (on a phone
// below).
type heading struct {
	title, verdict string
	mood           mood
	say, facts     []string
}

// of takes the verdict from a listing's head: its capitals go on the plate, what
// follows them is the first sentence.
func (h heading) of(head string, m mood) heading {
	words, n := strings.Fields(head), 0
	for n < len(words) && strings.IndexFunc(words[n], unicode.IsLower) < 0 {
		n++
	}
	h.verdict, h.mood = strings.ToLower(strings.Join(words[:n], " ")), m
	if rest := strings.Join(words[n:], " "); rest != "" {
		h.say = append([]string{rest}, h.say...)
	}
	return h
}

// page starts a sheet's first page and draws the heading; y is where the sheet begins.
func (h heading) page(w, high float64, units Units, about string) (p *draw.Page, y float64, err error) {
	title := h.title
	if h.verdict != "" {
		title += ": " + h.verdict
	}
	if p, err = newPage(w, high, title, units); err != nil {
		return nil, 0, err
	}
	p.About(about)
	return p, h.draw(p), nil
}

// draw draws the heading and gives the y below it.
func (h heading) draw(p *draw.Page) (y float64) {
	w, _ := p.Size()
	phone := w < phoneMM
	x, size, right := edgeOf(p), 16.0, 0.0
	width, note := w-2*x, noteText().At(draw.End, draw.Below)
	y = x
	if phone {
		size = 13
	} else {
		for _, line := range h.facts {
			right = math.Max(right, wordSlack*p.Width(line, note)+6)
		}
	}
	name := draw.Type{SizePt: size, Bold: true, Level: draw.Below}
	p.Text(x, y, p.Clip(h.title, name, (width-right)/labelSlack), name)
	y += name.LineMM() + 1
	say := sayText().At(draw.Start, draw.Centred)
	used, line := 0.0, y+say.CapMM()/2
	if h.verdict != "" {
		used = plate(p, x, y, h.verdict, h.mood) + 2.5
		line = y + plateMM/2
	}
	if phone || used > width/2 {
		if used > 0 {
			line = y + plateMM + 3.5
		}
		used = 0
	}
	for _, words := range h.say {
		room := width - used
		if !phone && line < x+float64(len(h.facts))*note.LineMM()+say.CapMM() {
			room -= right
		}
		line = lines(p, x+used, line, room, words, say)
	}
	for i, words := range h.facts {
		if !phone {
			p.Text(x+width, x+float64(i)*note.LineMM(), words, note)
		} else {
			line = lines(p, x, line, width, words, note.At(draw.Start, draw.Centred))
		}
	}
	if used > 0 || h.verdict != "" {
		line = math.Max(line, y+plateMM+say.LineMM()/2)
	}
	return line - say.CapMM()/2 + 2
}

// plate sets the verdict and gives the plate's width.
func plate(p *draw.Page, x, y float64, verdict string, m mood) float64 {
	set := draw.Type{SizePt: 10, Bold: true, Anchor: draw.Middle, Level: draw.Centred}
	w := labelSlack*p.Width(verdict, set) + 5
	look := draw.Look{Edge: draw.Pen{Colour: draw.Ink, WidthMM: 0.5}}
	switch m {
	case toDo:
		look.Fill, set.Colour = draw.Ink, draw.Paper
	case doubtful:
		look.Edge.DashMM = []float64{1.4, 1}
	}
	p.Rect(x+0.25, y+0.25, w-0.5, plateMM-0.5, look)
	p.Text(x+w/2, y+plateMM/2, verdict, set)
	return w
}

// edgeOf is a page's margin.
func edgeOf(p *draw.Page) float64 {
	if w, _ := p.Size(); w < phoneMM {
		return phoneEdgeMM
	}
	return edgeMM
}

// wrapped breaks words into lines that fit the width in the widest usual font too.
func wrapped(p *draw.Page, words string, set draw.Type, width float64) []string {
	if set.Bold {
		return p.Wrap(words, set, width/labelSlack)
	}
	return p.Wrap(words, set, width/wordSlack)
}

// lines writes words from y down and gives where the next line stands.
func lines(p *draw.Page, x, y, width float64, words string, set draw.Type) float64 {
	for _, line := range wrapped(p, words, set, width) {
		p.Text(x, y, line, set)
		y += set.LineMM()
	}
	return y
}

// foot is what stands at the foot of every sheet: what to do next, notes and cautions
// below it, and the page's number.
type foot struct {
	next   string
	notes  []string
	number string
	room   float64 // above it, mm
}

func nextText() draw.Type { return draw.Type{SizePt: 9, Bold: true, Level: draw.Below} }

// high is how high the foot is, the room above it included.
func (f foot) high(p *draw.Page) float64 {
	w, _ := p.Size()
	width, high := w-2*edgeOf(p), 2+f.room
	if f.next != "" {
		high += float64(len(wrapped(p, f.next, nextText(), width))) * nextText().LineMM()
	}
	for _, words := range f.notes {
		high += float64(len(wrapped(p, words, noteText(), width))) * noteText().LineMM()
	}
	if f.number != "" {
		high += noteText().LineMM()
	}
	return high
}

// draw draws the foot from y down and gives its end.
func (f foot) draw(p *draw.Page, y float64) float64 {
	w, _ := p.Size()
	x := edgeOf(p)
	y += 2 + f.room
	if f.next != "" {
		y = lines(p, x, y, w-2*x, f.next, nextText())
	}
	for _, words := range f.notes {
		y = lines(p, x, y, w-2*x, words, noteText())
	}
	if f.number != "" {
		p.Text(w-x, y, f.number, noteText().At(draw.End, draw.Below))
		y += noteText().LineMM()
	}
	return y
}

// atEnd draws the foot at the page's lower margin.
func (f foot) atEnd(p *draw.Page) { f.draw(p, f.top(p)) }

// ends draws the foot on every page, and their numbers where there are several.
func ends(pages []*draw.Page, f foot) {
	for i, p := range pages {
		if f.number = ""; len(pages) > 1 {
			f.number = text.BlankPage(i+1, len(pages))
		}
		f.atEnd(p)
	}
}

// top is where a foot at the page's lower margin begins.
func (f foot) top(p *draw.Page) float64 {
	_, h := p.Size()
	return h - edgeOf(p) - f.high(p)
}

// signs draws legend items in lines from y on, no wider than w, and gives the y
// below them.
func signs(p *draw.Page, x, y, w float64, items []legendItem) float64 {
	const line, apart = 6.0, 5.0
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	at, mid := x, y+line/2
	for _, item := range items {
		room := item.wide + 1.5 + wordSlack*p.Width(item.words, set)
		if at > x && at+room > x+w {
			at, mid = x, mid+line
		}
		item.sign(p, at, mid)
		p.Text(at+item.wide+1.5, mid, item.words, set)
		at += room + apart
	}
	return mid + line/2
}
