package draw

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// WritePDF writes the page as a PDF with the subset of the fonts it uses. An
// error is the writer's.
func (p *Page) WritePDF(w io.Writer) error { return WritePDFPages(w, []*Page{p}) }

// WritePDFPages writes pages in order as one PDF, each in its own size. Title
// and description are the first page's. An error is the writer's, or there is
// no page.
func WritePDFPages(w io.Writer, pages []*Page) error {
	if len(pages) == 0 {
		return errors.New("draw: a document without a page")
	}
	first := pages[0]
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: first.pdfSize()})
	f.SetTitle(first.title, true)
	f.SetSubject(first.about, true)
	f.SetCreator("ringtrue", true)
	f.SetCatalogSort(true)
	f.SetCreationDate(pdfDay())
	f.SetModificationDate(pdfDay())
	f.SetLineJoinStyle("round")
	// The library writes into the font it is given.
	f.AddUTF8FontFromBytes(pdfFamily, "", bytes.Clone(goregular.TTF))
	f.AddUTF8FontFromBytes(pdfFamily, "B", bytes.Clone(gobold.TTF))
	for _, p := range pages {
		f.AddPageFormat("P", p.pdfSize())
		for _, m := range p.marks {
			pdfMark(f, m)
		}
	}
	var raw bytes.Buffer
	if err := f.Output(&raw); err != nil {
		return err
	}
	_, err := w.Write(undated(raw.Bytes()))
	return err
}

const pdfFamily = "go"

func (p *Page) pdfSize() fpdf.SizeType { return fpdf.SizeType{Wd: p.widthMM, Ht: p.heightMM} }

// pdfDay is a day to be found and blotted out: the library writes one always,
// and the clock's where none is set.
func pdfDay() time.Time { return time.Date(1, 2, 3, 4, 5, 6, 0, time.UTC) }

// undated puts spaces in place of the days, so that all offsets stay.
func undated(pdf []byte) []byte {
	for _, name := range []string{"/CreationDate", "/ModDate"} {
		entry := name + " (D:" + pdfDay().Format("20060102150405") + ")"
		pdf = bytes.Replace(pdf, []byte(entry), bytes.Repeat([]byte(" "), len(entry)), 1)
	}
	return pdf
}

func pdfMark(f *fpdf.Fpdf, m mark) {
	if m.text != nil {
		pdfText(f, m.text)
		return
	}
	how, edge := "", m.look.Edge
	if edge.seen() {
		how = "D"
		f.SetDrawColor(edge.Colour.ints())
		f.SetLineWidth(edge.WidthMM)
		if len(edge.DashMM) > 0 {
			f.SetDashPattern(edge.DashMM, 0)
			defer f.SetDashPattern(nil, 0)
		}
	}
	if m.look.Fill != None {
		how = "F" + how
		f.SetFillColor(m.look.Fill.ints())
	}
	switch {
	case how == "":
	case m.circle != nil:
		f.Circle(m.circle.x, m.circle.y, m.circle.r, how)
	default:
		pdfLines(f, m.lines)
		f.DrawPath(how)
	}
}

func pdfLines(f *fpdf.Fpdf, lines []line) {
	for _, l := range lines {
		f.MoveTo(l.points[0].X, l.points[0].Y)
		for _, q := range l.points[1:] {
			f.LineTo(q.X, q.Y)
		}
		if l.closed {
			f.ClosePath()
		}
	}
}

func pdfText(f *fpdf.Fpdf, t *text) {
	style := ""
	if t.set.Bold {
		style = "B"
	}
	f.SetFont(pdfFamily, style, t.set.SizePt)
	f.SetTextColor(t.set.ink().ints())
	words := strings.Map(func(r rune) rune {
		if r > 0xFFFF { // beyond what the library's tables of letters hold
			return '\uFFFD'
		}
		return r
	}, t.words)
	if t.set.Turn == 0 {
		f.Text(t.x+t.start(), t.y, words)
		return
	}
	f.TransformBegin()
	f.TransformRotate(t.set.Turn, t.x, t.y)
	f.Text(t.x+t.start(), t.y, words)
	f.TransformEnd()
}
