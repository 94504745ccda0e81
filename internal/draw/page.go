package draw

import (
	"fmt"
	"math"

	"github.com/tdewolff/canvas"
)

// Page is a drawing under way. Marks cover what was drawn before them.
// Neither a Page nor two that share fonts (Next) are for several goroutines at
// once.
type Page struct {
	widthMM, heightMM float64
	title, about      string
	marks             []mark
	boxes             []TextBox
	extent            Box
	fonts             fonts
}

// mark is one thing on the page: an outline with a look, or a text.
type mark struct {
	path *canvas.Path // in mm, y up as canvas has it; nil for a text
	look Look
	text *text
}

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

// About says in a few sentences what the picture shows, for those who cannot
// see it. It stands in the SVG's description and the PDF's subject.
func (p *Page) About(text string) { p.about = plain(text) }

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
	path := &canvas.Path{}
	for i, q := range points {
		x, y := round(q.X), -round(q.Y)
		if i == 0 {
			path.MoveTo(x, y)
		} else {
			path.LineTo(x, y)
		}
	}
	if closed {
		path.Close()
	}
	p.add(path, look)
}

// Lines draws separate straight lines with one pen, as one mark: hatching, grids.
func (p *Page) Lines(segments [][2]Point, pen Pen) {
	path := &canvas.Path{}
	for _, s := range segments {
		path.MoveTo(round(s[0].X), -round(s[0].Y))
		path.LineTo(round(s[1].X), -round(s[1].Y))
	}
	if !path.Empty() {
		p.add(path, Look{Edge: pen})
	}
}

// Circle draws a circle round its centre.
func (p *Page) Circle(x, y, r float64, look Look) {
	if !(r > 0) {
		return
	}
	c := canvas.Circle(math.Max(round(r), 0.01))
	p.add(c.Translate(round(x), -round(y)), look)
}

func (p *Page) add(path *canvas.Path, look Look) {
	p.marks = append(p.marks, mark{path: path, look: look})
	b, half := path.FastBounds(), 0.0
	if look.Edge.Colour != None {
		half = look.Edge.WidthMM / 2
	}
	p.grow(Box{X: b.X0 - half, Y: -b.Y1 - half, W: b.X1 - b.X0 + 2*half, H: b.Y1 - b.Y0 + 2*half})
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
