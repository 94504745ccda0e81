package draw

import (
	"io"
	"testing"
)

// A sheet's worth of marks: 300 numbers, 150 discs.
func fullPage(b *testing.B) *Page {
	p, err := New(297, 210, "bench")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 300 {
		x, y := 10+float64(i%25)*11, 20+float64(i/25)*14
		if i%2 == 0 {
			p.Circle(x, y, 2, Look{Fill: Diverging(float64(i)/150 - 1), Edge: Pen{Colour: Ink, WidthMM: 0.2}})
		}
		p.Text(x, y+4, "+52", Type{SizePt: 7, Anchor: Middle})
	}
	return p
}

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		if _, err := New(297, 210, "bench"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	p := fullPage(b)
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"svg", p.WriteSVG}, {"pdf", p.WritePDF},
		{"png", func(w io.Writer) error { return p.WritePNG(w, 8) }},
	} {
		b.Run(f.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := f.write(io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
