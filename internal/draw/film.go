package draw

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// Film is a page with parts that move: an SVG that plays by itself, without any
// script. It plays so many times and then stands still at its last moment; the
// parts set for Again and Hold start it anew and stop it. Where the reader's
// system asks for no motion, the moving parts are left out and those of Still
// stand in their place.
//
// Times are shares of the film, 0 to 1.
type Film struct {
	*Page   // what stands still, behind all that moves
	Seconds float64
	Plays   int
	moving  []func(b *bytes.Buffer)
	still   []*Page
	buttons []button
}

type button struct {
	id    string
	layer *Page
}

// NewFilm starts a film of so many seconds on a page.
func NewFilm(p *Page, seconds float64, plays int) *Film {
	return &Film{Page: p, Seconds: seconds, Plays: plays}
}

// Layer is an empty page of the film's size, to draw a part of it on.
func (f *Film) Layer() *Page { return f.Next(f.widthMM, f.heightMM) }

// timing are the attributes that make every part run together.
func (f *Film) timing() string {
	return fmt.Sprintf(`begin="0s;again.click" end="hold.click" dur="%ss" repeatCount="%d" fill="freeze"`, short(f.Seconds), f.Plays)
}

// Line moves a line of straight pieces evenly through its frames, at least two,
// all of as many points.
func (f *Film) Line(frames [][]Point, pen Pen) {
	f.moving = append(f.moving, func(b *bytes.Buffer) {
		red, green, blue := pen.Colour.Parts()
		fmt.Fprintf(b, "\n"+`<polyline fill="none" stroke="#%02x%02x%02x" stroke-width="%s" stroke-linejoin="round" points="%s">`,
			red, green, blue, short(pen.WidthMM), pointList(frames[0]))
		fmt.Fprintf(b, "\n"+`<animate attributeName="points" %s values="`, f.timing())
		for i, points := range frames {
			if i > 0 {
				b.WriteString(";\n")
			}
			b.WriteString(pointList(points))
		}
		b.WriteString(`"/></polyline>`)
	})
}

func pointList(points []Point) string {
	var b strings.Builder
	for i, p := range points {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(short(p.X) + "," + short(p.Y))
	}
	return b.String()
}

// Show draws a layer from one time to another only.
func (f *Film) Show(from, to float64, layer *Page) {
	f.moving = append(f.moving, func(b *bytes.Buffer) {
		values, times := []string{"hidden"}, []string{"0"}
		if from <= 0 {
			values = []string{"visible"}
		} else {
			values, times = append(values, "visible"), append(times, share(from))
		}
		if to < 1 {
			values, times = append(values, "hidden"), append(times, share(to))
		}
		fmt.Fprintf(b, "\n"+`<g visibility="%s">`, values[0])
		layer.svgMarks(b)
		if len(values) > 1 {
			fmt.Fprintf(b, "\n"+`<animate attributeName="visibility" calcMode="discrete" %s values="%s" keyTimes="%s"/>`,
				f.timing(), strings.Join(values, ";"), strings.Join(times, ";"))
		}
		b.WriteString("</g>")
	})
}

// share prints a share of the film.
func share(t float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.4f", t), "0"), ".")
}

// Slide moves a layer evenly to the right, by so many mm over the film.
func (f *Film) Slide(byMM float64, layer *Page) {
	f.moving = append(f.moving, func(b *bytes.Buffer) {
		b.WriteString("\n<g>")
		layer.svgMarks(b)
		fmt.Fprintf(b, "\n"+`<animateTransform attributeName="transform" type="translate" %s from="0 0" to="%s 0"/></g>`, f.timing(), short(byMM))
	})
}

// Again draws the layer that starts the film anew when it is pressed.
func (f *Film) Again(layer *Page) { f.buttons = append(f.buttons, button{"again", layer}) }

// Hold draws the layer that stops the film when it is pressed.
func (f *Film) Hold(layer *Page) { f.buttons = append(f.buttons, button{"hold", layer}) }

// Still draws a layer where no motion is wanted.
func (f *Film) Still(layer *Page) { f.still = append(f.still, layer) }

// WriteSVG writes the film. An error is the writer's.
func (f *Film) WriteSVG(w io.Writer) error {
	var b bytes.Buffer
	f.head(&b, ".still{display:none}.button{cursor:pointer}"+
		"@media (prefers-reduced-motion:reduce){.moving{display:none}.still{display:inline}}")
	f.svgMarks(&b)
	b.WriteString("\n" + `<g class="moving">`)
	for _, part := range f.moving {
		part(&b)
	}
	for _, k := range f.buttons {
		fmt.Fprintf(&b, "\n"+`<g id="%s" class="button">`, k.id)
		k.layer.svgMarks(&b)
		b.WriteString("</g>")
	}
	b.WriteString("\n</g>\n" + `<g class="still">`)
	for _, layer := range f.still {
		layer.svgMarks(&b)
	}
	b.WriteString("\n</g>\n</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}
