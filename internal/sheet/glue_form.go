package sheet

import (
	"ringtrue/internal/draw"
	"ringtrue/internal/glue"
	"ringtrue/internal/text"
)

// measures of a push-out test's form, in mm
const (
	formEdge = 16.0
	formRow  = 13.0 // a row, at most
	formHead = 8.0
	formFoot = 34.0
)

// GlueForm draws a push-out test to fill in by hand, a row a scrap, on upright
// paper. An error says that the paper is none.
func GlueForm(f glue.Form, paper Paper, units Units) (*draw.Page, error) {
	h, w := paper.lying()
	p, err := newPage(w, h, text.GlueFormTitle(f), units)
	if err != nil {
		return nil, err
	}
	p.About(text.GlueFormAbout(f))
	p.Rect(0, 0, w, h, draw.Filled(draw.Paper))
	width := w - 2*formEdge
	title := draw.Type{SizePt: 17, Bold: true, Level: draw.Below}
	p.Text(formEdge, formEdge, p.Clip(text.GlueFormTitle(f), title, width), title)
	y := formEdge + title.LineMM() + 2
	say := draw.Type{SizePt: 10, Level: draw.Below}
	for _, words := range text.GlueFormRules(f) {
		y = formLines(p, words, say, y, width) + 1
	}
	y = formFields(p, y+9, width)
	room := h - formFoot - y - formHead
	formTable(p, f, y, width, min(formRow, room/float64(len(f.Minutes))))
	small := draw.Type{SizePt: 8, Colour: draw.Slate, Level: draw.Below}
	y = formLines(p, text.GlueFormTypeIn(), small, h-formFoot+5, width) + 1
	formLines(p, text.GlueFormCare, small, y, width)
	return p, nil
}

// formLines writes words from y down and gives where they end.
func formLines(p *draw.Page, words string, t draw.Type, y, width float64) float64 {
	for _, line := range p.Wrap(words, t, width) {
		p.Text(formEdge, y, line, t)
		y += t.LineMM()
	}
	return y
}

// formFields draws the lines to write who, when and with what on, and gives where
// the table begins.
func formFields(p *draw.Page, y, width float64) float64 {
	writingLines(p, text.GlueFormFields(), formEdge, y, width)
	return y + 5
}

// formTable draws a row a scrap, its time written in.
func formTable(p *draw.Page, f glue.Form, top, width, row float64) {
	columns := text.GlueFormColumns()
	step := width / float64(len(columns))
	head := draw.Type{SizePt: 9, Bold: true, Anchor: draw.Middle, Level: draw.Centred}
	for k, c := range columns {
		p.Text(formEdge+step*(float64(k)+0.5), top+formHead/2, c, head)
	}
	y0 := top + formHead
	bottom := y0 + row*float64(len(f.Minutes))
	thin, thick := draw.Pen{Colour: draw.Slate, WidthMM: 0.2}, draw.Pen{Colour: draw.Ink, WidthMM: 0.5}
	for i, m := range f.Minutes {
		y, pen := y0+row*float64(i), thin
		if i == 0 {
			pen = thick
		}
		p.Line(formEdge, y, formEdge+width, y, pen)
		p.Text(formEdge+step/2, y+row/2, text.GlueFormTime(m), draw.Type{SizePt: 11, Bold: true, Anchor: draw.Middle, Level: draw.Centred})
	}
	p.Line(formEdge, bottom, formEdge+width, bottom, thick)
	for k := range len(columns) + 1 {
		x := formEdge + step*float64(k)
		p.Line(x, y0, x, bottom, thin)
	}
}
