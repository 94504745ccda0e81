package draw

import (
	"fmt"
	"image/png"
	"io"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/rasterizer"
)

// WritePDF writes the page as a PDF with the subset of the fonts it uses. An
// error is the writer's.
func (p *Page) WritePDF(w io.Writer) error { return WritePDFPages(w, []*Page{p}) }

// WritePNG writes the page as a picture of so many dots per mm (8 is 203 dots an
// inch, enough for print). An error is the writer's, or says that a side would
// not be 1 to 20000 dots long.
func (p *Page) WritePNG(w io.Writer, dotsPerMM float64) error {
	const most = 20000 // dots a side: 1.6 GB of picture
	if short, long := min(p.widthMM, p.heightMM)*dotsPerMM, max(p.widthMM, p.heightMM)*dotsPerMM; !(short >= 1 && long <= most) {
		return fmt.Errorf("draw: a picture of %.0f by %.0f dots", p.widthMM*dotsPerMM, p.heightMM*dotsPerMM)
	}
	r := rasterizer.New(p.widthMM, p.heightMM, canvas.DPMM(dotsPerMM), canvas.DefaultColorSpace)
	r.RenderPath(canvas.Rectangle(p.widthMM, p.heightMM), lookOf(Filled(Paper)), canvas.Identity)
	p.render(r, func(t *text) { r.RenderText(p.setLine(t), p.place(t)) })
	r.Close()
	return png.Encode(w, r.Image)
}

// render draws the marks in order; what to do with a text is the format's.
func (p *Page) render(r canvas.Renderer, setText func(*text)) {
	up := canvas.Identity.Translate(0, p.heightMM)
	for _, m := range p.marks {
		if m.text != nil {
			setText(m.text)
			continue
		}
		if style := lookOf(m.look); style.HasFill() || style.HasStroke() {
			r.RenderPath(m.path, style, up)
		}
	}
}

func lookOf(l Look) canvas.Style {
	s := canvas.DefaultStyle
	s.Fill, s.Stroke = canvas.Paint{Color: canvas.Transparent}, canvas.Paint{Color: canvas.Transparent}
	if l.Fill != None {
		s.Fill.Color = l.Fill.rgba()
	}
	if l.Edge.Colour != None && l.Edge.WidthMM > 0 {
		s.Stroke.Color = l.Edge.Colour.rgba()
		s.StrokeWidth = l.Edge.WidthMM
		s.StrokeJoiner = canvas.RoundJoin
		for _, d := range l.Edge.DashMM {
			s.Dashes = append(s.Dashes, d/l.Edge.WidthMM) // canvas counts in widths
		}
	}
	return s
}

func (p *Page) setLine(t *text) *canvas.Text {
	return canvas.NewTextLine(p.fonts.face(t.set), t.words, canvas.Left)
}

func (p *Page) place(t *text) canvas.Matrix {
	m := canvas.Identity.Translate(t.x, p.heightMM-t.y)
	if t.set.Turn != 0 {
		m = m.Rotate(t.set.Turn)
	}
	return m.Translate(t.start(), 0)
}
