package draw

import (
	"fmt"
	"math"
)

// Page is a drawing under way. Marks cover what was drawn before them.
// Neither a Page nor two that share fonts (Next) are for several goroutines at
// once.
type Page struct {
	widthMM, heightMM float64
	title, about      string
	turn              func(string) string // nil: words are drawn as they come
	marks             []mark
	boxes             []TextBox
	extent            Box
	fonts             *fonts
}

// mark is one thing on the page: lines or a circle with a look, or a text.
type mark struct {
	lines  []line
	circle *circle
	look   Look
	text   *text
}

// circle is a circle round its centre, in mm.
type circle struct{ x, y, r float64 }

// Box is an upright rectangle on the page in mm.
type Box struct{ X, Y, W, H float64 }

// Overlaps says whether two boxes share an area.
func (b Box) Overlaps(o Box) bool {
	return b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H
}

// Within says whether the box lies inside another.
func (b Box) Within(o Box) bool {
	return b.X >= o.X && b.Y >= o.Y && b.X+b.W <= o.X+o.W && b.Y+b.H <= o.Y+o.H
}

// TextBox is where a text stands: the box around its capitals and descenders.
type TextBox struct {
	Box
	Text string
	Type Type
}

// New starts a page. The title names the picture to programs that read it
// aloud, and to the tab or window that shows it.
//
// Sizes are in mm, more than 0 and at most 5000. An error says that they are
// not, or that the fonts could not be read.
func New(widthMM, heightMM float64, title string) (*Page, error) {
	const most = 5000 // mm: a page that still fits the formats' numbers
	if !(widthMM > 0 && widthMM <= most && heightMM > 0 && heightMM <= most) {
		return nil, fmt.Errorf("draw: a page of %g by %g mm", widthMM, heightMM)
	}
	f, err := loadFonts()
	if err != nil {
		return nil, err
	}
	return &Page{widthMM: widthMM, heightMM: heightMM, title: plain(title), fonts: f}, nil
}

// Next starts a further page of the same document, of a size in mm as New wants
// it. It shares the fonts, so that WritePDFPages holds them once; the two are not for
// use by several goroutines at once either.
func (p *Page) Next(widthMM, heightMM float64) *Page {
	q := *p
	q.widthMM, q.heightMM = widthMM, heightMM
	q.marks, q.boxes, q.extent = nil, nil, Box{}
	return &q
}

// Turn has every text turned before it is measured or drawn, the title too: into
// other units, say. What is turned twice must stay as it is.
func (p *Page) Turn(turn func(string) string) {
	p.turn = turn
	p.title, p.about = p.turned(p.title), p.turned(p.about)
}

func (p *Page) turned(words string) string {
	if p.turn == nil {
		return words
	}
	return p.turn(words)
}

// About says in a few sentences what the picture shows, for those who cannot
// see it. It stands in the SVG's description and the PDF's subject.
func (p *Page) About(text string) { p.about = p.turned(plain(text)) }

// Size is the page's width and height in mm.
func (p *Page) Size() (widthMM, heightMM float64) { return p.widthMM, p.heightMM }

// SetHeight changes the height of a page that grows with what is on it. What
// has been drawn keeps its distance from the top.
func (p *Page) SetHeight(heightMM float64) { p.heightMM = heightMM }

// TextBoxes are the texts drawn so far, in order.
func (p *Page) TextBoxes() []TextBox { return append([]TextBox(nil), p.boxes...) }

// Extent is the box around all that was drawn so far, lines' widths included.
func (p *Page) Extent() Box { return p.extent }

// Line draws a straight line.
func (p *Page) Line(x1, y1, x2, y2 float64, pen Pen) {
	p.Path([]Point{{x1, y1}, {x2, y2}}, false, Look{Edge: pen})
}

// Rect draws a rectangle from its top left corner.
func (p *Page) Rect(x, y, w, h float64, look Look) {
	p.Path([]Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, true, look)
}

// Path draws straight lines from point to point, closed back to the first if
// wished. Fewer than two points draw nothing.
func (p *Page) Path(points []Point, closed bool, look Look) {
	if len(points) < 2 {
		return
	}
	p.add(mark{lines: appendLine(nil, points, closed), look: look})
}

// Lines draws separate straight lines with one pen, as one mark: hatching, grids.
func (p *Page) Lines(segments [][2]Point, pen Pen) {
	var all []line
	for _, s := range segments {
		all = appendLine(all, s[:], false)
	}
	p.add(mark{lines: all, look: Look{Edge: pen}})
}

// Circle draws a circle round its centre.
func (p *Page) Circle(x, y, r float64, look Look) {
	if r > 0 {
		p.add(mark{circle: &circle{round(x), round(y), math.Max(round(r), 0.01)}, look: look})
	}
}

func (p *Page) add(m mark) {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, q := range m.corners() {
		low = Point{math.Min(low.X, q.X), math.Min(low.Y, q.Y)}
		high = Point{math.Max(high.X, q.X), math.Max(high.Y, q.Y)}
	}
	if low.X > high.X {
		return // nothing to draw
	}
	half := 0.0
	if m.look.Edge.Colour != None {
		half = m.look.Edge.WidthMM / 2
	}
	p.marks = append(p.marks, m)
	p.grow(Box{X: low.X - half, Y: low.Y - half, W: high.X - low.X + 2*half, H: high.Y - low.Y + 2*half})
}

// corners are points whose box is that of the mark without its pen.
func (m mark) corners() (all []Point) {
	if c := m.circle; c != nil {
		return []Point{{c.x - c.r, c.y - c.r}, {c.x + c.r, c.y + c.r}}
	}
	for _, l := range m.lines {
		all = append(all, l.points...)
	}
	return all
}

func (p *Page) grow(b Box) {
	if len(p.marks) == 1 {
		p.extent = b
		return
	}
	e := p.extent
	x, y := math.Min(e.X, b.X), math.Min(e.Y, b.Y)
	p.extent = Box{X: x, Y: y, W: math.Max(e.X+e.W, b.X+b.W) - x, H: math.Max(e.Y+e.H, b.Y+b.H) - y}
}

// round keeps 0.01 mm, far below what an eye or a printer resolves: files stay
// small, and the last bits of a sum do not show in them.
func round(v float64) float64 {
	r := math.Round(v*100) / 100
	if r == 0 {
		return 0 // no −0
	}
	return r
}
