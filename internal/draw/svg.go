package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// svgFamily lists families of the width of the Go fonts, then any other.
const svgFamily = "Arial,Helvetica,'Liberation Sans',sans-serif"

// WriteSVG writes the page as an SVG of its size in mm. An error is the writer's.
func (p *Page) WriteSVG(w io.Writer) error {
	var b bytes.Buffer
	p.head(&b, "")
	p.svgMarks(&b)
	b.WriteString("\n</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

// head opens the SVG: title, description and style, with more rules of style
// where given, and the paper: a dark page behind the picture must not swallow its ink.
func (p *Page) head(b *bytes.Buffer, more string) {
	wide, high := decimal(p.widthMM), decimal(p.heightMM)
	fmt.Fprintf(b, `<svg version="1.1" width="%[1]smm" height="%[2]smm" viewBox="0 0 %[1]s %[2]s" `+
		`xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">`, wide, high)
	fmt.Fprintf(b, "\n<title>%s</title>\n", escape(p.title))
	if p.about != "" {
		fmt.Fprintf(b, "<desc>%s</desc>\n", escape(p.about))
	}
	fmt.Fprintf(b, "<style>text{font-family:%s;white-space:pre}.b{font-weight:bold}%s</style>", svgFamily, more)
	fmt.Fprintf(b, `<path d="M0 %[2]sH%[1]sV0H0z" fill="%[3]s"/>`, wide, high, Paper.css())
}

// svgMarks writes each mark on a line of its own, so that two files can be compared.
func (p *Page) svgMarks(b *bytes.Buffer) {
	for _, m := range p.marks {
		switch {
		case m.text != nil:
			svgText(b, m.text)
		case m.look.Fill != None || m.look.Edge.seen():
			fmt.Fprintf(b, "\n<path d=\"%s\"%s/>", m.svgPath(), m.look.svg())
		}
	}
}

func (m mark) svgPath() string {
	if c := m.circle; c != nil {
		r, right, y := decimal(c.r), decimal(c.x+c.r), decimal(c.y)
		half := "A" + r + " " + r + " 0 00" // the flags need no space behind them
		return "M" + right + " " + y + half + decimal(c.x-c.r) + " " + y + half + right + " " + y + "z"
	}
	var b strings.Builder
	for _, l := range m.lines {
		for i, q := range l.points {
			x, y := decimal(q.X), decimal(q.Y)
			switch {
			case i == 0:
				b.WriteString("M" + x + " " + y)
			case q.X == l.points[i-1].X:
				b.WriteString("V" + y)
			case q.Y == l.points[i-1].Y:
				b.WriteString("H" + x)
			default:
				b.WriteString("L" + x + " " + y)
			}
		}
		if l.closed {
			b.WriteByte('z')
		}
	}
	return b.String()
}

// svg is the look as attributes. What SVG takes by itself is left unsaid: a black
// area, a line 1 mm wide.
func (l Look) svg() string {
	fill := l.Fill.css()
	if l.Fill == None {
		fill = "none"
	}
	if !l.Edge.seen() {
		if l.Fill == RGB(0, 0, 0) {
			return ""
		}
		return ` fill="` + fill + `"`
	}
	style := "fill:" + fill + ";"
	if l.Fill == RGB(0, 0, 0) {
		style = ""
	}
	style += "stroke:" + l.Edge.Colour.css()
	if l.Edge.WidthMM != 1 {
		style += ";stroke-width:" + decimal(l.Edge.WidthMM)
	}
	style += ";stroke-linejoin:round"
	for i, d := range l.Edge.DashMM {
		if i == 0 {
			style += ";stroke-dasharray:" + decimal(d)
		} else {
			style += " " + decimal(d)
		}
	}
	return ` style="` + style + `"`
}

// css is the colour as SVG has it, in three digits where they do.
func (c Colour) css() string {
	s := fmt.Sprintf("#%06x", uint32(c&^opaque))
	if s[1] == s[2] && s[3] == s[4] && s[5] == s[6] {
		return "#" + s[1:2] + s[3:4] + s[5:6]
	}
	return s
}

// decimal is a number to 8 digits, without zeros that say nothing.
func decimal(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 8, 64), 64) // it has just been written
	s := strconv.FormatFloat(v, 'f', -1, 64)
	switch {
	case strings.HasPrefix(s, "0."):
		return s[1:]
	case strings.HasPrefix(s, "-0."):
		return "-" + s[2:]
	}
	return s
}

// svgText writes a text as text: anchored, so that another font's width moves
// it as little as can be.
func svgText(b *bytes.Buffer, t *text) {
	b.WriteString("\n<text ")
	if t.set.Bold {
		b.WriteString(`class="b" `)
	}
	if t.set.Turn == 0 {
		fmt.Fprintf(b, `x="%s" y="%s"`, short(t.x), short(t.y))
	} else {
		fmt.Fprintf(b, `transform="translate(%s %s)rotate(%s)"`, short(t.x), short(t.y), short(-t.set.Turn))
	}
	fmt.Fprintf(b, ` font-size="%s"`, short(t.set.SizePt*MMPerPt))
	switch t.set.Anchor {
	case Middle:
		b.WriteString(` text-anchor="middle"`)
	case End:
		b.WriteString(` text-anchor="end"`)
	}
	red, green, blue := t.set.ink().Parts()
	fmt.Fprintf(b, ` fill="#%02x%02x%02x">%s</text>`, red, green, blue, escape(t.words))
}

func escape(s string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(s)) // a bytes.Buffer takes every write
	return b.String()
}

func short(v float64) string { return strconv.FormatFloat(round(v), 'f', -1, 64) }
