package draw

import (
	"fmt"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// fonts measures and outlines letters; one text after the other.
type fonts struct {
	regular, bold *sfnt.Font
	work          sfnt.Buffer
	widths        map[widthKey]float64 // of texts measured before, in em
}

type widthKey struct {
	words string
	bold  bool
}

func loadFonts() (*fonts, error) {
	regular, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("draw: font: %w", err)
	}
	bold, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("draw: font: %w", err)
	}
	return &fonts{regular: regular, bold: bold, widths: map[widthKey]float64{}}, nil
}

func (f *fonts) face(bold bool) *sfnt.Font {
	if bold {
		return f.bold
	}
	return f.regular
}

// ownUnits is the size at which the font's own units are whole: no rounding.
func ownUnits(face *sfnt.Font) fixed.Int26_6 { return fixed.I(int(face.UnitsPerEm())) }

// widthEm is a text's width in em: the Go fonts have no kerning.
func (f *fonts) widthEm(words string, bold bool) float64 {
	key := widthKey{words, bold}
	w, ok := f.widths[key]
	if !ok {
		face := f.face(bold)
		for _, r := range words {
			w += f.advance(face, f.letter(face, r))
		}
		f.widths[key] = w
	}
	return w
}

// letter is the number of a letter's outline; 0, an empty box, where the font has none.
func (f *fonts) letter(face *sfnt.Font, r rune) sfnt.GlyphIndex {
	i, err := face.GlyphIndex(&f.work, r)
	if err != nil {
		return 0
	}
	return i
}

// advance is how far the next letter stands, in em.
func (f *fonts) advance(face *sfnt.Font, i sfnt.GlyphIndex) float64 {
	em := ownUnits(face)
	a, err := face.GlyphAdvance(&f.work, i, em, font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / float64(em)
}

// outlines are the closed outlines of a text's letters where it stands on the
// page, in dots.
func (f *fonts) outlines(t *text, dotsPerMM float64) (out [][]Point, err error) {
	face, size := f.face(t.set.Bold), t.set.SizePt*MMPerPt*dotsPerMM
	em := ownUnits(face)
	foot := Point{t.x, t.y}.times(dotsPerMM)
	along := t.start() * dotsPerMM
	for _, r := range t.words {
		i := f.letter(face, r)
		segments, err := face.LoadGlyph(&f.work, i, em, nil)
		if err != nil {
			return nil, fmt.Errorf("draw: letter %q: %w", r, err)
		}
		at := func(p fixed.Point26_6) Point { // y down, in both
			k := size / float64(em)
			return foot.plus(Point{along + float64(p.X)*k, float64(p.Y) * k}.turned(-t.set.Turn * math.Pi / 180))
		}
		for _, s := range segments {
			last := len(out) - 1
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				out = append(out, []Point{at(s.Args[0])})
			case sfnt.SegmentOpLineTo:
				out[last] = append(out[last], at(s.Args[0]))
			case sfnt.SegmentOpQuadTo: // TrueType has no other curve
				out[last] = appendCurve(out[last], at(s.Args[0]), at(s.Args[1]))
			}
		}
		along += f.advance(face, i) * size
	}
	return out, nil
}

// appendCurve leads on to c by the quadratic Bézier curve with the control point
// b, in straight pieces true to dotTolerance: from its chord the curve is a
// quarter of a − 2b + c away at most, and n pieces bring that down n²-fold.
func appendCurve(points []Point, b, c Point) []Point {
	a := points[len(points)-1]
	bend := a.less(b.times(2)).plus(c)
	n := max(1, int(math.Ceil(math.Sqrt(bend.length()/4/dotTolerance))))
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n)
		points = append(points, a.plus(b.less(a).times(2*t)).plus(bend.times(t*t)))
	}
	return points
}
