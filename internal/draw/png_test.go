package draw

import (
	"bytes"
	"image/png"
	"io"
	"math"
	"testing"
)

// inked is how many mm² of black ink a mark puts on a page of 40 by 30 mm, at 10
// dots a mm.
func inked(t *testing.T, put func(p *Page)) float64 {
	t.Helper()
	p, err := New(40, 30, "ink")
	if err != nil {
		t.Fatal(err)
	}
	put(p)
	img, err := png.Decode(bytes.NewReader(written(t, func(w io.Writer) error { return p.WritePNG(w, 10) })))
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			r, _, _, _ := img.At(x, y).RGBA()
			sum += 1 - float64(r)/0xffff
		}
	}
	return sum / 100
}

// The ink of each mark is its area by plane geometry.
func TestWritePNG_Areas(t *testing.T) {
	black := RGB(0, 0, 0)
	pen := func(width float64, dash ...float64) Look { return Look{Edge: Pen{black, width, dash}} }
	corner := []Point{{5.03, 5.07}, {25.03, 5.07}, {25.03, 20.07}}
	// A round corner of 90° adds a quarter disc outside to the two pieces, which
	// share a quarter square inside.
	rounded := func(w float64) float64 { return math.Pi*w*w/16 - w*w/4 }
	for name, c := range map[string]struct {
		put  func(p *Page)
		want float64
	}{
		"area":          {func(p *Page) { p.Rect(5.03, 5.04, 20, 11, Filled(black)) }, 220},
		"disc":          {func(p *Page) { p.Circle(15, 15, 7, Filled(black)) }, math.Pi * 49},
		"ring":          {func(p *Page) { p.Circle(15, 15, 7, pen(0.5)) }, 2 * math.Pi * 7 * 0.5},
		"line":          {func(p *Page) { p.Line(5, 5, 35, 25, pen(0.3).Edge) }, math.Hypot(30, 20) * 0.3},
		"hairline":      {func(p *Page) { p.Line(5, 25, 35, 5.2, pen(0.04).Edge) }, math.Hypot(30, 19.8) * 0.04},
		"corner":        {func(p *Page) { p.Path(corner, false, pen(2)) }, 35*2 + rounded(2)},
		"other hand":    {func(p *Page) { p.Path([]Point{corner[2], corner[1], corner[0]}, false, pen(2)) }, 35*2 + rounded(2)},
		"frame":         {func(p *Page) { p.Rect(5, 5, 20, 15, pen(2)) }, 70*2 + 4*rounded(2)},
		"dashes":        {func(p *Page) { p.Line(5, 5, 35, 5, pen(0.5, 3, 2).Edge) }, 18 * 0.5},
		"odd dashes":    {func(p *Page) { p.Line(5, 5, 35, 5, pen(0.5, 4, 1, 5).Edge) }, (4 + 5 + 1 + 4 + 5) * 0.5},
		"round a bend":  {func(p *Page) { p.Path(corner, false, pen(1, 22, 100)) }, 22 + rounded(1)},
		"dashed square": {func(p *Page) { p.Rect(5, 5, 10, 10, pen(0.5, 5, 5)) }, 20 * 0.5},
		"cross": {func(p *Page) {
			p.Lines([][2]Point{{{5, 15}, {35, 15}}, {{20, 25}, {20, 5}}}, pen(1).Edge)
		}, 49},
		"off the page": {func(p *Page) { p.Rect(-10, -10, 15, 60, Filled(black)) }, 150},
		"beyond":       {func(p *Page) { p.Rect(50, 50, 5, 5, Filled(black)) }, 0},
		"unseen":       {func(p *Page) { p.Rect(5, 5, 5, 5, Look{}) }, 0},
	} {
		if got := inked(t, c.put); math.Abs(got-c.want) > 0.02+0.004*c.want {
			t.Errorf("%s: %.3f mm² of ink, want %.3f", name, got, c.want)
		}
	}
}

// A fine curve of many pieces is as dark as a line: joints add nothing.
func TestWritePNG_Joints(t *testing.T) {
	pen := Pen{RGB(0, 0, 0), 0.3, nil}
	var bow []Point
	for k := range 121 {
		x := float64(k) * 0.25
		bow = append(bow, Point{5 + x, 20 - x*(30-x)/30})
	}
	long := 0.0
	for k := range 120 {
		long += bow[k+1].less(bow[k]).length()
	}
	got, want := inked(t, func(p *Page) { p.Path(bow, false, Look{Edge: pen}) }), long*pen.WidthMM
	if math.Abs(got/want-1) > 0.02 {
		t.Errorf("%.3f mm² of ink along %.1f mm, want %.3f", got, long, want)
	}
}

// Letters are as high and as wide as their box says, at every turn.
func TestWritePNG_Text(t *testing.T) {
	for _, turn := range []float64{0, 90, -90, 180} {
		p, err := New(60, 60, "letters")
		if err != nil {
			t.Fatal(err)
		}
		p.Text(30, 30, "HIH", Type{SizePt: 20, Anchor: Middle, Level: Centred, Turn: turn})
		img, err := png.Decode(bytes.NewReader(written(t, func(w io.Writer) error { return p.WritePNG(w, 10) })))
		if err != nil {
			t.Fatal(err)
		}
		ink := Box{X: 100, Y: 100, W: -100, H: -100}
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
					right, foot := math.Max(ink.X+ink.W, float64(x+1)/10), math.Max(ink.Y+ink.H, float64(y+1)/10)
					ink.X, ink.Y = math.Min(ink.X, float64(x)/10), math.Min(ink.Y, float64(y)/10)
					ink.W, ink.H = right-ink.X, foot-ink.Y
				}
			}
		}
		long, high := ink.W, ink.H
		if turn == 90 || turn == -90 {
			long, high = high, long
		}
		set := Type{SizePt: 20}
		if width := p.Width("HIH", set); long > width || long < 0.9*width || math.Abs(high-set.CapMM()) > 0.15 {
			t.Errorf("turned %g: letters of %.2f by %.2f mm, the text is %.2f by %.2f", turn, long, high, width, set.CapMM())
		}
		if x, y := ink.X+ink.W/2, ink.Y+ink.H/2; math.Abs(x-30) > 0.15 || math.Abs(y-30) > 0.15 {
			t.Errorf("turned %g: centred on %.2f, %.2f, not 30, 30", turn, x, y)
		}
	}
}
