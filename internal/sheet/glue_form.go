package sheet

import (
	"ringtrue/internal/draw"
	"ringtrue/internal/glue"
	"ringtrue/internal/text"
)

// measures of a push-out test's form, in mm
const (
	formRow  = 13.0 // a row, at most
	formHead = 8.0
)

// GlueForm draws a push-out test to fill in by hand, a row a scrap, on upright
// paper. An error says that the paper is none.
func GlueForm(f glue.Form, paper Paper, units Units) (*draw.Page, error) {
	h, w := paper.lying()
	p, y, err := heading{title: text.GlueFormTitle(f)}.page(w, h, units, text.GlueFormAbout(f))
	if err != nil {
		return nil, err
	}
	width := w - 2*edgeMM
	for _, words := range text.GlueFormRules(f) {
		y = lines(p, edgeMM, y, width, words, sayText()) + 1
	}
	last := foot{notes: []string{text.GlueFormTypeIn(), text.GlueFormCare}}
	writingLines(p, text.GlueFormFields(), edgeMM, y+9, width)
	y += 14
	room := last.top(p) - y - formHead
	formTable(p, f, y, width, min(formRow, room/float64(len(f.Minutes))))
	last.atEnd(p)
	return p, nil
}

// formTable draws a row a scrap, its time written in.
func formTable(p *draw.Page, f glue.Form, top, width, row float64) {
	columns := text.GlueFormColumns()
	step := width / float64(len(columns))
	head := draw.Type{SizePt: 9, Bold: true, Anchor: draw.Middle, Level: draw.Centred}
	for k, c := range columns {
		p.Text(edgeMM+step*(float64(k)+0.5), top+formHead/2, c, head)
	}
	y0 := top + formHead
	bottom := y0 + row*float64(len(f.Minutes))
	thin, thick := draw.Pen{Colour: draw.Slate, WidthMM: 0.2}, draw.Pen{Colour: draw.Ink, WidthMM: 0.5}
	for i, m := range f.Minutes {
		y, pen := y0+row*float64(i), thin
		if i == 0 {
			pen = thick
		}
		p.Line(edgeMM, y, edgeMM+width, y, pen)
		p.Text(edgeMM+step/2, y+row/2, text.GlueFormTime(m), draw.Type{SizePt: 11, Bold: true, Anchor: draw.Middle, Level: draw.Centred})
	}
	p.Line(edgeMM, bottom, edgeMM+width, bottom, thick)
	for k := range len(columns) + 1 {
		x := edgeMM + step*float64(k)
		p.Line(x, y0, x, bottom, thin)
	}
}
