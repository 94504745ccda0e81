package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/svg"
)

// svgFamily lists families of the width of the Go fonts, then any other.
const svgFamily = "Arial,Helvetica,'Liberation Sans',sans-serif"

// WriteSVG writes the page as an SVG of its size in mm. An error is the writer's.
func (p *Page) WriteSVG(w io.Writer) error {
	var b bytes.Buffer
	r := svg.New(&b, p.widthMM, p.heightMM, &svg.Options{SizeUnits: "mm"})
	p.head(&b, "")
	// A dark page behind the picture must not swallow its ink.
	r.RenderPath(canvas.Rectangle(p.widthMM, p.heightMM), lookOf(Filled(Paper)), canvas.Identity)
	p.render(lines{r, &b}, func(t *text) { svgText(&b, t) })
	b.WriteByte('\n')
	if err := r.Close(); err != nil {
		return err
	}
	b.WriteByte('\n')
	_, err := w.Write(b.Bytes())
	return err
}

// head writes title, description and style, with more rules of style where given.
func (p *Page) head(b *bytes.Buffer, more string) {
	fmt.Fprintf(b, "\n<title>%s</title>\n", escape(p.title))
	if p.about != "" {
		fmt.Fprintf(b, "<desc>%s</desc>\n", escape(p.about))
	}
	fmt.Fprintf(b, "<style>text{font-family:%s;white-space:pre}.b{font-weight:bold}%s</style>", svgFamily, more)
}

// lines puts each mark on a line of its own, so that two files can be compared.
type lines struct {
	*svg.SVG
	b *bytes.Buffer
}

func (l lines) RenderPath(path *canvas.Path, style canvas.Style, m canvas.Matrix) {
	l.b.WriteByte('\n')
	l.SVG.RenderPath(path, style, m)
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
