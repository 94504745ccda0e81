package sheet

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/draw"
)

var update = flag.Bool("update", false, "write golden files anew")

// golden compares a picture with its file under testdata.
func golden(t *testing.T, p *draw.Page, name string) {
	t.Helper()
	var b bytes.Buffer
	if err := p.WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	goldenBytes(t, b, name)
}

func goldenBytes(t *testing.T, b bytes.Buffer, name string) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes(), want) {
		t.Errorf("the picture differs from %s; run with -update and look at it", path)
	}
}

// clean fails where two texts of a page share an area or anything leaves it.
// Texts count as slack times as wide, for readers with other fonts.
func clean(t interface{ Fatalf(string, ...any) }, p *draw.Page, slack float64) {
	boxes := p.TextBoxes()
	for i := range boxes {
		widen(&boxes[i], slack)
	}
	w, h := p.Size()
	page := draw.Box{W: w, H: h}
	for i, a := range boxes {
		if !a.Within(page) {
			t.Fatalf("%q leaves the page: %+v", a.Text, a.Box)
		}
		for _, b := range boxes[:i] {
			if a.Overlaps(b.Box) {
				t.Fatalf("%q %+v lies on %q %+v", a.Text, a.Box, b.Text, b.Box)
			}
		}
	}
	if e := p.Extent(); !e.Within(page) {
		t.Fatalf("a mark leaves the page of %.1f by %.1f mm: %+v", w, h, e)
	}
}

func widen(b *draw.TextBox, slack float64) {
	more := b.W * (slack - 1)
	switch b.Type.Anchor {
	case draw.Middle:
		b.X -= more / 2
	case draw.End:
		b.X -= more
	}
	b.W += more
}

func chartPage(t *testing.T, w, h float64) *draw.Page {
	t.Helper()
	p, err := draw.New(w, h, "A chart")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// series is a made-up process that jumps at its end.
func series() chart {
	var x, y, z []float64
	for i := range 25 {
		x = append(x, float64(i+1))
		y = append(y, 0.021+0.004*math.Sin(float64(i)*1.7))
		z = append(z, 0.018+0.0005*float64(i))
	}
	y[11], y[20] = 0.038, math.NaN()
	return chart{
		Title: "Zone of seated necks",
		X:     axis{Label: "neck, in order of making"},
		Y:     axis{Label: "zone, mm"},
		Bands: []band{{From: 0.017, To: 0.025, Label: "within one sigma"}},
		Rules: []rule{{At: 0.021, Label: "centre 0.021"}, {At: 0.033, Label: "upper 0.033", Dashed: true}, {At: 0.009, Label: "lower 0.009", Dashed: true},
			{At: 15, Upright: true, Label: "new wire lot"}},
		Curves: []curve{
			{X: x, Y: y, Joined: true, Mark: disc, Flag: []int{11}, Label: "each neck"},
			{X: x, Y: z, Joined: true, Label: "average"},
		},
		Notes: []note{{X: 12, Y: 0.038, Text: "beyond 3 sigma"}},
	}
}

func TestChart_Golden(t *testing.T) {
	p := chartPage(t, 150, 160)
	if err := series().Draw(p, draw.Box{X: 5, Y: 5, W: 140, H: 70}); err != nil {
		t.Fatal(err)
	}
	var cells []mapCell
	for s := range 6 {
		for f := range 22 {
			v := math.Sin(float64(f)*0.4+float64(s)) * 0.9
			cells = append(cells, mapCell{X0: float64(f) - 0.5, X1: float64(f) + 0.5, Y0: float64(s) + 0.5, Y1: float64(s) + 1.5,
				Colour: draw.Diverging(v), Text: number(v, 1)})
		}
	}
	var ticks []tick
	for s := range 6 {
		ticks = append(ticks, tick{At: float64(s + 1), Label: fmt.Sprint(s + 1)})
	}
	m := chart{Title: "Margins", X: axis{Label: "stop, fret", Min: -0.5, Max: 21.5}, Y: axis{Label: "string", Min: 0.5, Max: 6.5, Ticks: ticks}, Cells: cells}
	if err := m.Draw(p, draw.Box{X: 5, Y: 85, W: 140, H: 70}); err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "chart.svg")
}

func TestChart_Errors(t *testing.T) {
	p := chartPage(t, 100, 100)
	place := draw.Box{X: 5, Y: 5, W: 90, H: 90}
	if err := (chart{}).Draw(p, place); !errors.Is(err, ErrEmpty) {
		t.Errorf("an empty chart: %v", err)
	}
	nan := chart{Curves: []curve{{X: []float64{1}, Y: []float64{math.NaN()}}}}
	if err := nan.Draw(p, place); !errors.Is(err, ErrEmpty) {
		t.Errorf("a chart of NaN: %v", err)
	}
	odd := chart{Curves: []curve{{X: []float64{1, 2}, Y: []float64{1}}}}
	if err := odd.Draw(p, place); err == nil {
		t.Error("two x and one y were drawn")
	}
	one := chart{Curves: []curve{{X: []float64{1}, Y: []float64{1}}}}
	if err := one.Draw(p, draw.Box{W: 10, H: 10}); err == nil {
		t.Error("a chart of 10 by 10 mm was drawn")
	}
	if err := one.Draw(p, place); err != nil {
		t.Errorf("one point: %v", err)
	}
	huge := chart{Curves: []curve{{X: []float64{1, 2}, Y: []float64{-1e308, 1.7e308}}}}
	if err := huge.Draw(p, place); !errors.Is(err, errRange) {
		t.Errorf("a range that overflows: %v", err)
	}
}

// An axis that counts has no tick between two whole numbers, however short it
// is; a plain one keeps its halves.
func TestAxis_Whole(t *testing.T) {
	for _, n := range []int{1, 2, 5, 12, 45, 1000} {
		c := newControl("", "", 1, n, 0, 3)
		s, err := c.xSpan(chartPage(t, 120, 80), 100)
		if err != nil || len(s.ticks) == 0 {
			t.Fatalf("%d points: %d ticks, %v", n, len(s.ticks), err)
		}
		for _, tick := range s.ticks {
			if tick.At != math.Trunc(tick.At) || tick.Label != fmt.Sprint(int(tick.At)) || tick.At < 1 || tick.At > float64(n) {
				t.Errorf("%d points: a tick %q at %g", n, tick.Label, tick.At)
			}
		}
	}
	if s := (axis{}).rounded(0.5, 3.5, 6); s.ticks[1].At != 1 || s.ticks[1].Label != "1.0" {
		t.Errorf("a plain axis lost its halves: %+v", s.ticks)
	}
}

func TestRoundStep(t *testing.T) {
	for _, c := range [][2]float64{{0.9, 1}, {1, 1}, {1.1, 2}, {2.4, 5}, {7, 10}, {0.0023, 0.005}, {300, 500}} {
		if got := roundStep(c[0]); math.Abs(got-c[1]) > 1e-12*c[1] {
			t.Errorf("roundStep(%g) = %g, want %g", c[0], got, c[1])
		}
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v      float64
		digits int
		want   string
	}{{-0.5, 1, "−0.5"}, {-0.001, 2, "0.00"}, {12, 0, "12"}, {-3, 0, "−3"}} {
		if got := number(c.v, c.digits); got != c.want {
			t.Errorf("number(%g, %d) = %q, want %q", c.v, c.digits, got, c.want)
		}
	}
}

// A piece that is kept lies in the ranges, and every point of the whole piece
// that lies in them lies on it.
func TestCut_Inside(t *testing.T) {
	f := &frame{x: span{min: 0, max: 10}, y: span{min: -1, max: 1}}
	rapid.Check(t, func(r *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(r, name) }
		x0, y0, x1, y1 := draw("x0", -5, 15), draw("y0", -3, 3), draw("x1", -5, 15), draw("y1", -3, 3)
		ax, ay, bx, by, ok := f.cut(x0, y0, x1, y1)
		const tiny = 1e-9
		near := func(x, y float64) bool { return x >= -tiny && x <= 10+tiny && y >= -1-tiny && y <= 1+tiny }
		if ok && !(near(ax, ay) && near(bx, by)) {
			r.Fatalf("kept (%g, %g) to (%g, %g)", ax, ay, bx, by)
		}
		for k := 0; k <= 20; k++ {
			s := float64(k) / 20
			x, y := x0+s*(x1-x0), y0+s*(y1-y0)
			if !f.holds(x, y) {
				continue
			}
			if !ok {
				r.Fatalf("(%g, %g) lies inside, yet nothing was kept", x, y)
			}
			if x < math.Min(ax, bx)-tiny || x > math.Max(ax, bx)+tiny || y < math.Min(ay, by)-tiny || y > math.Max(ay, by)+tiny {
				r.Fatalf("(%g, %g) lies inside, yet was cut off", x, y)
			}
		}
	})
}

// Labels keep their gap, their order and the chart's height.
func TestSpread_Apart(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 20).Draw(r, "n")
		labels := make([]endLabel, n)
		for i := range labels {
			labels[i].y = rapid.Float64Range(10, 60).Draw(r, "y")
		}
		spread(labels, 10, 60, 2.5)
		for i, l := range labels {
			if l.at < 10-1e-9 || l.at > 60+1e-9 {
				r.Fatalf("label %d stands at %g", i, l.at)
			}
			if i > 0 && l.at-labels[i-1].at < 2.5-1e-9 {
				r.Fatalf("labels %g and %g touch", labels[i-1].at, l.at)
			}
		}
	})
}

// Values that differ by rounding alone are one value: ticks between two
// neighbouring numbers would never end.
func TestAxis_ApartByRounding(t *testing.T) {
	for _, v := range []float64{1.9366e-4, 1, -3e5} {
		lo, hi, err := axis{}.span(v, math.Nextafter(v, math.Inf(1)))
		if err != nil || !(hi-lo >= 0.5) || lo > v || hi < v {
			t.Errorf("%g: %g to %g, %v", v, lo, hi, err)
		}
		if s := (axis{}).rounded(lo, hi, 5); len(s.ticks) < 2 || len(s.ticks) > 12 {
			t.Errorf("%g: %d ticks", v, len(s.ticks))
		}
	}
	if lo, hi, err := (axis{}).span(1, 1+1e-6); err != nil || lo != 1 || hi != 1+1e-6 {
		t.Errorf("a small range is widened: %g to %g, %v", lo, hi, err)
	}
}
