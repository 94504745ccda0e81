package draw

import (
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/vector"
)

// WritePNG writes the page as a picture of so many dots per mm (8 is 203 dots an
// inch, enough for print). An error is the writer's, or says that a side would
// not be 1 to 20000 dots long.
func (p *Page) WritePNG(w io.Writer, dotsPerMM float64) error {
	const most = 20000 // dots a side: 1.6 GB of picture
	if short, long := min(p.widthMM, p.heightMM)*dotsPerMM, max(p.widthMM, p.heightMM)*dotsPerMM; !(short >= 1 && long <= most) {
		return fmt.Errorf("draw: a picture of %.0f by %.0f dots", p.widthMM*dotsPerMM, p.heightMM*dotsPerMM)
	}
	img := image.NewRGBA(image.Rect(0, 0, int(p.widthMM*dotsPerMM+0.5), int(p.heightMM*dotsPerMM+0.5)))
	draw.Draw(img, img.Bounds(), image.NewUniform(Paper.rgba()), image.Point{}, draw.Src)
	r := raster{img: img, scale: dotsPerMM}
	for _, m := range p.marks {
		if m.text == nil {
			r.mark(m)
			continue
		}
		outlines, err := p.fonts.outlines(m.text, dotsPerMM)
		if err != nil {
			return err
		}
		r.fill(outlines, m.text.set.ink())
	}
	return png.Encode(w, img)
}

// raster fills areas of a picture.
type raster struct {
	img   *image.RGBA
	scale float64 // dots per mm
	area  vector.Rasterizer
}

// dotTolerance is how far, in dots, a straight piece may lie from its curve: no
// eye sees a tenth.
const dotTolerance = 0.1

func (r *raster) mark(m mark) {
	lines := make([]line, 0, len(m.lines)+1)
	for _, l := range m.lines {
		lines = append(lines, l.scaled(r.scale))
	}
	if c := m.circle; c != nil {
		lines = append(lines, circle{c.x * r.scale, c.y * r.scale, c.r * r.scale}.line(dotTolerance))
	}
	if m.look.Fill != None {
		var areas [][]Point
		for _, l := range lines {
			areas = append(areas, l.points)
		}
		r.fill(areas, m.look.Fill)
	}
	if m.look.Edge.seen() {
		var areas [][]Point
		for _, l := range lines {
			areas = append(areas, r.edge(l, m.look.Edge)...)
		}
		r.fill(areas, m.look.Edge.Colour)
	}
}

func (r *raster) edge(l line, pen Pen) (areas [][]Point) {
	pieces := []line{l}
	if len(pen.DashMM) > 0 {
		pattern := make([]float64, len(pen.DashMM))
		for i, d := range pen.DashMM {
			pattern[i] = d * r.scale
		}
		pieces = l.dashed(pattern)
	}
	for _, piece := range pieces {
		areas = append(areas, piece.stroked(pen.WidthMM/2*r.scale, dotTolerance)...)
	}
	return areas
}

func (l line) scaled(k float64) line {
	points := make([]Point, len(l.points))
	for i, q := range l.points {
		points[i] = q.times(k)
	}
	return line{points, l.closed}
}

// fill fills what closed outlines, in dots, go round at least once on balance.
func (r *raster) fill(outlines [][]Point, c Colour) {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, o := range outlines {
		for _, q := range o {
			low = Point{math.Min(low.X, q.X), math.Min(low.Y, q.Y)}
			high = Point{math.Max(high.X, q.X), math.Max(high.Y, q.Y)}
		}
	}
	size := r.img.Bounds()
	within := func(v float64, most int) int { return int(math.Max(0, math.Min(float64(most), v))) }
	box := image.Rect(within(math.Floor(low.X), size.Dx()), within(math.Floor(low.Y), size.Dy()),
		within(math.Ceil(high.X), size.Dx()), within(math.Ceil(high.Y), size.Dy()))
	if box.Empty() || low.X > high.X {
		return
	}
	r.area.Reset(box.Dx(), box.Dy())
	for _, o := range outlines {
		for i, q := range o {
			x, y := float32(q.X-float64(box.Min.X)), float32(q.Y-float64(box.Min.Y))
			if i == 0 {
				r.area.MoveTo(x, y)
			} else {
				r.area.LineTo(x, y)
			}
		}
		r.area.ClosePath()
	}
	r.area.Draw(r.img, box, image.NewUniform(c.rgba()), image.Point{})
}
