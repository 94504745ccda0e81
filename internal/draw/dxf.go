package draw

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// DXF is a drawing for a CNC program: straight lines, outlines and short texts
// on named layers, in mm, x to the right and y up. It is written as ASCII DXF of
// release 12 (AC1009), which every program since 1992 reads.
//
// Release 12 has no field for the unit: the comment at the head says mm, and
// the program that reads it must be set to mm.
type DXF struct {
	comment  string
	layers   []dxfLayer
	entities []dxfEntity
}

type dxfLayer struct {
	name   string
	colour int
	dashed bool
}

type dxfEntity struct {
	layer  string
	points []Point
	closed bool
	words  string  // of a text; points hold its place
	size   float64 // height of its capitals
}

// NewDXF starts a drawing; the comment stands at its head.
func NewDXF(comment string) *DXF { return &DXF{comment: comment} }

// Layer adds a layer: its name (A to Z, digits, _ and -), its colour by AutoCAD
// colour index (1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black or
// white), and whether its lines are dash-dotted. Layers are written in order.
func (d *DXF) Layer(name string, colour int, dashed bool) {
	d.layers = append(d.layers, dxfLayer{name, colour, dashed})
}

// Line adds a straight line to a layer.
func (d *DXF) Line(layer string, a, b Point) {
	d.entities = append(d.entities, dxfEntity{layer: layer, points: []Point{a, b}})
}

// Outline adds a closed outline of straight lines to a layer.
func (d *DXF) Outline(layer string, points []Point) {
	d.entities = append(d.entities, dxfEntity{layer: layer, points: slices.Clone(points), closed: true})
}

// Text adds a line of text whose left end on the baseline stands at a place,
// its capitals sizeMM high. Letters beyond ASCII become "?"; an empty text draws
// nothing.
func (d *DXF) Text(layer string, at Point, sizeMM float64, words string) {
	if words == "" {
		return
	}
	d.entities = append(d.entities, dxfEntity{layer: layer, points: []Point{at}, words: words, size: sizeMM})
}

// Write writes the drawing. Errors: a layer that was not added, a place that is
// no number, or the writer's.
func (d *DXF) Write(w io.Writer) error {
	for _, e := range d.entities {
		if !slices.ContainsFunc(d.layers, func(l dxfLayer) bool { return l.name == e.layer }) {
			return fmt.Errorf("draw: DXF: no layer %q", e.layer)
		}
		for _, p := range e.points {
			if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
				return fmt.Errorf("draw: DXF: a place of %g, %g", p.X, p.Y)
			}
		}
	}
	t := tags{w: bufio.NewWriter(w)}
	t.word(999, plainASCII(d.comment))
	d.header(&t)
	d.tables(&t)
	t.word(0, "SECTION")
	t.word(2, "ENTITIES")
	for _, e := range d.entities {
		e.write(&t)
	}
	t.word(0, "ENDSEC")
	t.word(0, "EOF")
	return t.w.Flush()
}

func (d *DXF) header(t *tags) {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, e := range d.entities {
		for _, p := range e.points {
			low = Point{math.Min(low.X, p.X), math.Min(low.Y, p.Y)}
			high = Point{math.Max(high.X, p.X), math.Max(high.Y, p.Y)}
		}
	}
	if len(d.entities) == 0 {
		low, high = Point{}, Point{}
	}
	t.word(0, "SECTION")
	t.word(2, "HEADER")
	t.word(9, "$ACADVER")
	t.word(1, "AC1009")
	t.word(9, "$EXTMIN")
	t.point(0, low)
	t.word(9, "$EXTMAX")
	t.point(0, high)
	t.word(9, "$LUNITS") // decimal
	t.whole(70, 2)
	t.word(0, "ENDSEC")
}

func (d *DXF) tables(t *tags) {
	t.word(0, "SECTION")
	t.word(2, "TABLES")
	t.table("LTYPE", 2)
	t.lineType("CONTINUOUS", "Solid line")
	t.lineType("DASHDOT", "Dash dot", 6, -1.5, 0, -1.5) // a dash of 6 mm, a gap, a dot, a gap
	t.word(0, "ENDTAB")
	t.table("LAYER", len(d.layers))
	for _, l := range d.layers {
		t.word(0, "LAYER")
		t.word(2, l.name)
		t.whole(70, 0)
		t.whole(62, l.colour)
		if l.dashed {
			t.word(6, "DASHDOT")
		} else {
			t.word(6, "CONTINUOUS")
		}
	}
	t.word(0, "ENDTAB")
	t.word(0, "ENDSEC")
}

func (e dxfEntity) write(t *tags) {
	switch {
	case e.words != "":
		t.word(0, "TEXT")
		t.word(8, e.layer)
		t.point(0, e.points[0])
		t.real(40, e.size)
		t.word(1, plainASCII(e.words))
	case e.closed:
		t.word(0, "POLYLINE")
		t.word(8, e.layer)
		t.whole(66, 1)
		t.point(0, Point{})
		t.whole(70, 1)
		for _, p := range e.points {
			t.word(0, "VERTEX")
			t.word(8, e.layer)
			t.point(0, p)
		}
		t.word(0, "SEQEND")
		t.word(8, e.layer)
	default:
		t.word(0, "LINE")
		t.word(8, e.layer)
		t.point(0, e.points[0])
		t.point(1, e.points[1])
	}
}

// tags writes a DXF's pairs of lines: a group code and its value. Errors of the
// writer show at Flush.
type tags struct{ w *bufio.Writer }

func (t *tags) word(code int, s string) { fmt.Fprintf(t.w, "%3d\r\n%s\r\n", code, s) }

func (t *tags) whole(code, v int) { fmt.Fprintf(t.w, "%3d\r\n%6d\r\n", code, v) }

// real keeps 1e-6 mm: rounding of the last bits does not show.
func (t *tags) real(code int, v float64) {
	v = math.Round(v*1e6) / 1e6
	s := strconv.FormatFloat(v+0, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	t.word(code, s)
}

// point writes a place under codes 10, 20, 30 (n = 0) or 11, 21, 31 (n = 1).
func (t *tags) point(n int, p Point) {
	t.real(10+n, p.X)
	t.real(20+n, p.Y)
	t.real(30+n, 0)
}

func (t *tags) table(name string, entries int) {
	t.word(0, "TABLE")
	t.word(2, name)
	t.whole(70, entries)
}

func (t *tags) lineType(name, about string, pattern ...float64) {
	t.word(0, "LTYPE")
	t.word(2, name)
	t.whole(70, 0)
	t.word(3, about)
	t.whole(72, 65) // ends aligned, the only kind there is
	t.whole(73, len(pattern))
	total := 0.0
	for _, p := range pattern {
		total += math.Abs(p)
	}
	t.real(40, total)
	for _, p := range pattern {
		t.real(49, p)
	}
}

// plainASCII keeps what release 12 can hold on one line.
func plainASCII(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case r < 32 || r > 126:
			return '?'
		}
		return r
	}, s)
}
