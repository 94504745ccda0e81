package draw

import (
	"bytes"
	"errors"
	"io"

	"github.com/tdewolff/canvas/renderers/pdf"
)

// Next starts a further page of the same document, of a size in mm as New wants
// it. It shares the fonts, so that WritePDFPages holds them once; the two are not for
// use by several goroutines at once either.
func (p *Page) Next(widthMM, heightMM float64) *Page {
	q := *p
	q.widthMM, q.heightMM = widthMM, heightMM
	q.marks, q.boxes, q.extent = nil, nil, Box{}
	return &q
}

// WritePDFPages writes pages in order as one PDF, each in its own size. Title
// and description are the first page's. An error is the writer's, or there is
// no page.
func WritePDFPages(w io.Writer, pages []*Page) error {
	if len(pages) == 0 {
		return errors.New("draw: a document without a page")
	}
	var raw bytes.Buffer
	first := pages[0]
	r := pdf.New(&raw, first.widthMM, first.heightMM, &pdf.Options{Compress: true, SubsetFonts: true})
	r.SetInfo(first.title, first.about, "", "", "ringtrue")
	for i, p := range pages {
		if i > 0 {
			r.NewPage(p.widthMM, p.heightMM)
		}
		p.render(r, func(t *text) { r.RenderText(p.setLine(t), p.place(t)) })
	}
	if err := r.Close(); err != nil {
		return err
	}
	frozen, err := freezePDF(raw.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(frozen)
	return err
}
