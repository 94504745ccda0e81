package draw

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func newPage(t testing.TB) *Page {
	t.Helper()
	p, err := New(100, 60, "A test of marks")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestNew_Sizes(t *testing.T) {
	for _, size := range [][2]float64{{0, 10}, {10, -1}, {math.NaN(), 10}, {10, math.Inf(1)}, {6000, 10}} {
		if _, err := New(size[0], size[1], ""); err == nil {
			t.Errorf("New(%g, %g) gave a page", size[0], size[1])
		}
	}
}

func TestText_Box(t *testing.T) {
	p := newPage(t)
	set := Type{SizePt: 10}
	em := 10 * MMPerPt
	p.Text(50, 30, "+52", set)
	p.Text(50, 30, "+52", set.At(Middle, Centred))
	p.Text(50, 30, "+52", set.At(End, Below))
	turned := set
	turned.Turn = 90
	p.Text(50, 30, "+52", turned)
	p.Text(50, 30, " \n ", set) // nothing
	b := p.TextBoxes()
	if len(b) != 4 {
		t.Fatalf("%d boxes, want 4", len(b))
	}
	// + is 0.584 em wide in Go Regular, a digit 0.556 em (hmtx table of the font).
	w, h := 1.696*em, (capEm+descentEm)*em
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.02 {
			t.Errorf("%s is %.3f mm, want %.3f", what, got, want)
		}
	}
	near("width", b[0].W, w)
	near("height", b[0].H, h)
	near("left of a start", b[0].X, 50)
	near("top of a baseline", b[0].Y, 30-capEm*em)
	near("left of a middle", b[1].X, 50-w/2)
	near("top of a centred line", b[1].Y, 30-capEm/2*em)
	near("left of an end", b[2].X, 50-w)
	near("top of a line below", b[2].Y, 30)
	near("width when turned", b[3].W, h)
	near("height when turned", b[3].H, w)
	near("foot when turned", b[3].Y+b[3].H, 30)
	near("right when turned", b[3].X+b[3].W, 50+descentEm*em)
}

func TestPage_Extent(t *testing.T) {
	p := newPage(t)
	p.Circle(50, 30, 5, Look{Edge: Pen{Ink, 1, nil}})
	p.Lines([][2]Point{{{10, 20}, {20, 20}}, {{50, 20}, {60, 20}}}, Pen{Ink, 0.5, nil})
	p.Lines(nil, Pen{Ink, 0.5, nil}) // nothing
	got, want := p.Extent(), Box{X: 9.75, Y: 19.75, W: 50.5, H: 15.75}
	for i, d := range []float64{got.X - want.X, got.Y - want.Y, got.W - want.W, got.H - want.H} {
		if math.Abs(d) > 0.01 {
			t.Errorf("extent %+v, want %+v (part %d)", got, want, i)
		}
	}
}

func TestBox(t *testing.T) {
	a := Box{0, 0, 10, 10}
	for _, c := range []struct {
		b                Box
		overlaps, within bool
	}{
		{Box{2, 2, 3, 3}, true, true},
		{Box{5, 5, 10, 10}, true, false},
		{Box{10, 0, 5, 5}, false, false},
		{Box{0, 0, 10, 10}, true, true},
	} {
		if a.Overlaps(c.b) != c.overlaps || c.b.Overlaps(a) != c.overlaps {
			t.Errorf("%v overlaps %v: not %v", a, c.b, c.overlaps)
		}
		if c.b.Within(a) != c.within {
			t.Errorf("%v within %v: not %v", c.b, a, c.within)
		}
	}
}

// Every wrapped line fits, and the lines hold all letters in order.
func TestWrap_Fits(t *testing.T) {
	p := newPage(t)
	rapid.Check(t, func(r *rapid.T) {
		words := rapid.StringMatching(`([a-zµ−≥0-9]{1,40} ?){0,12}`).Draw(r, "words")
		width := rapid.Float64Range(8, 80).Draw(r, "width")
		set := Type{SizePt: rapid.Float64Range(4, 14).Draw(r, "size")}
		lines := p.Wrap(words, set, width)
		for _, line := range lines {
			if w := p.Width(line, set); w > width {
				r.Fatalf("%q is %.2f mm wide, more than %.2f", line, w, width)
			}
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if got, want := squeeze(strings.Join(lines, "")), squeeze(words); got != want {
			r.Fatalf("wrapped %q into %q", want, got)
		}
	})
}

func TestClip(t *testing.T) {
	p := newPage(t)
	set := Type{SizePt: 8}
	if got := p.Clip("short", set, 50); got != "short" {
		t.Errorf("clipped to %q", got)
	}
	got := p.Clip("a text that is much too long for its place", set, 20)
	if !strings.HasSuffix(got, "…") || p.Width(got, set) > 20 {
		t.Errorf("clipped to %q, %.1f mm", got, p.Width(got, set))
	}
}

func TestDiverging(t *testing.T) {
	// Stops of the published table: the ends, the middle and two between.
	for _, c := range []struct {
		t       float64
		r, g, b uint8
	}{
		{-1, 0, 18, 97}, {-0.5, 48, 125, 166}, {0, 236, 229, 224}, {0.5, 195, 114, 67}, {1, 89, 0, 8},
		{-7, 0, 18, 97}, {7, 89, 0, 8}, {math.NaN(), 236, 229, 224},
	} {
		if got := Diverging(c.t); got != RGB(c.r, c.g, c.b) {
			t.Errorf("Diverging(%g) = %06x", c.t, uint32(got))
		}
	}
	for i := -100; i <= 100; i++ {
		c := Diverging(float64(i) / 100)
		if ratio := Contrast(InkOn(c), c); ratio < 4.5 {
			t.Errorf("text on Diverging(%g) has a contrast of %.2f, want 4.5", float64(i)/100, ratio)
		}
	}
}

func TestSequential(t *testing.T) {
	// The ends and the middle of the published table.
	for _, c := range []struct {
		t       float64
		r, g, b uint8
	}{{0, 1, 25, 89}, {0.5, 130, 130, 49}, {1, 250, 204, 250}, {-1, 1, 25, 89}, {9, 250, 204, 250}, {math.NaN(), 1, 25, 89}} {
		if got := Sequential(c.t); got != RGB(c.r, c.g, c.b) {
			t.Errorf("Sequential(%g) = %06x", c.t, uint32(got))
		}
	}
	for i := 1; i <= 100; i++ {
		if Sequential(float64(i)/100).Luminance() < Sequential(float64(i-1)/100).Luminance() {
			t.Errorf("Sequential darkens at %d", i)
		}
	}
}

func TestSeries_ReadsOnPaper(t *testing.T) {
	for i := range 4 {
		if ratio := Contrast(Series(i), Paper); ratio < 3.9 {
			t.Errorf("curve %d has a contrast of %.2f on paper", i, ratio)
		}
	}
	if Series(4) != Series(0) || Series(-1) != Series(3) {
		t.Error("the colours do not come round")
	}
}

func TestContrast_WCAG(t *testing.T) {
	// W3C, Understanding WCAG 2.2, 1.4.3: #777777 on white is 4.48 to 1, black 21 to 1.
	if got := Contrast(RGB(0x77, 0x77, 0x77), Paper); math.Abs(got-4.48) > 0.005 {
		t.Errorf("grey on white %.3f", got)
	}
	if got := Contrast(RGB(0, 0, 0), Paper); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white %.3f", got)
	}
}
