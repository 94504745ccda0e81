package draw

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// Screen is a picture in a page of a browser, which draws it as wide as there is
// room: lines and areas stretch with it, letters and marks keep their size. Places
// are shares of its width and height, 0 to 1, from the top left corner; what stands
// around it, such as an axis' numbers, hangs out over its edges. Colours, widths and
// the size of letters come from the page's style sheet, by class: so they follow a
// dark scheme, and a large screen.
type Screen struct {
	Title, About string
	Key          []KeyItem
	// Room beside it for what hangs out over its left edge, and where there is room
	// for it over its right one, in em.
	Left, Right int

	stretched, upright bytes.Buffer
}

// KeyItem says what a sign of the picture means.
type KeyItem struct {
	Words string
	Sign  *Screen
}

// Sign is the form of a mark on a screen.
type Sign int

// Signs.
const (
	Disc Sign = iota
	Circle
	Square
	Cross
	Wedge
)

// Path draws runs of straight lines as one mark, each closed if wished.
func (s *Screen) Path(class string, runs [][]Point, closed bool) {
	if len(runs) == 0 {
		return
	}
	fmt.Fprintf(&s.stretched, `<path class="%s" d="`, class)
	for _, run := range runs {
		for i, q := range run {
			x, y := thousandth(q.X), thousandth(q.Y)
			switch {
			case i == 0:
				s.stretched.WriteString("M" + x + " " + y)
			case x == thousandth(run[i-1].X):
				s.stretched.WriteString("V" + y)
			case y == thousandth(run[i-1].Y):
				s.stretched.WriteString("H" + x)
			default:
				s.stretched.WriteString("L" + x + " " + y)
			}
		}
		if closed {
			s.stretched.WriteByte('z')
		}
	}
	s.stretched.WriteString(`"/>`)
}

// Dots draws many points as one mark: lines of no length with round ends, which no
// stretching makes longer.
func (s *Screen) Dots(class string, points []Point) {
	if len(points) == 0 {
		return
	}
	fmt.Fprintf(&s.stretched, `<path class="dots %s" d="`, class)
	for _, q := range points {
		s.stretched.WriteString("M" + thousandth(q.X) + " " + thousandth(q.Y) + "h0")
	}
	s.stretched.WriteString(`"/>`)
}

// Mark draws one mark.
func (s *Screen) Mark(class string, sign Sign, q Point) {
	at := fmt.Sprintf(`x="%s" y="%s"`, percent(q.X), percent(q.Y))
	switch sign {
	case Disc, Circle:
		fmt.Fprintf(&s.upright, `<circle class="%s" cx="%s" cy="%s" r=".33em"/>`, class, percent(q.X), percent(q.Y))
		return
	}
	d := map[Sign]string{Square: "M-4-4H4V4H-4z", Cross: "M-4-4L4 4M-4 4L4-4", Wedge: "M-5 4H5L0-5z"}[sign]
	fmt.Fprintf(&s.upright, `<svg %s><path class="%s" d="%s"/></svg>`, at, class, d)
}

// Ring rings a point.
func (s *Screen) Ring(class string, q Point) {
	fmt.Fprintf(&s.upright, `<circle class="%s" cx="%s" cy="%s" r=".6em"/>`, class, percent(q.X), percent(q.Y))
}

// Text writes words beside a point, so many em right of it and below it.
func (s *Screen) Text(class string, q Point, rightEM, belowEM float64, anchor Anchor, words string) {
	if words == "" {
		return
	}
	fmt.Fprintf(&s.upright, `<text class="%s" x="%s" y="%s" dx="%sem" dy="%sem"`, class, percent(q.X), percent(q.Y), decimal(round(rightEM)), decimal(round(belowEM)))
	switch anchor {
	case Middle:
		s.upright.WriteString(` text-anchor="middle"`)
	case End:
		s.upright.WriteString(` text-anchor="end"`)
	}
	s.upright.WriteString(">" + escape(plain(words)) + "</text>")
}

// SVG is the picture as an element of an HTML page: of the class plot, with the room
// beside it, named by its title and what it is about; or without a title of the class
// sign, passed over by whatever reads aloud.
func (s *Screen) SVG() string {
	const most = 14 // em that the style sheet knows
	var b bytes.Buffer
	if s.Title == "" {
		b.WriteString(`<svg class="sign" aria-hidden="true">`)
	} else {
		fmt.Fprintf(&b, `<svg class="plot left%d right%d" role="img" aria-label="%s">`, min(s.Left, most), min(s.Right+s.Right%2, most), escape(s.Title+". "+s.About))
	}
	if s.stretched.Len() > 0 {
		fmt.Fprintf(&b, `<svg viewBox="0 0 1000 1000" preserveAspectRatio="none">%s</svg>`, s.stretched.String())
	}
	b.Write(s.upright.Bytes())
	b.WriteString("</svg>")
	return b.String()
}

// thousandth is a share in the units of the stretched part.
func thousandth(share float64) string {
	return decimal(math.Round(share*1e4)/10 + 0)
}

func percent(share float64) string {
	return strconv.FormatFloat(math.Round(share*1e4)/100+0, 'f', -1, 64) + "%"
}

// Em is the width of a line of text, in em.
func (p *Page) Em(words string) float64 { return p.fonts.widthEm(p.turned(words), false) }
