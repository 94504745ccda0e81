package draw

import (
	"strings"
	"testing"
)

// What stretches stands in one inner picture, what keeps its size outside of it, and
// words come through as words.
func TestScreen_SVG(t *testing.T) {
	s := &Screen{Title: `A "chart" <b>`, About: "3 < 4", Left: 3, Right: 5}
	s.Path("line", [][]Point{{{0, 0.5}, {1, 0.5}, {1, 1}, {0.25, 0.123456}}, {{0, 0}, {0.5, 0}}}, false)
	s.Path("area", [][]Point{{{0, 0}, {1, 0}, {1, 1}}}, true)
	s.Dots("s1", []Point{{0.1, 0.2}, {0.3, 0.4}})
	s.Mark("solid", Square, Point{0.5, 0.25})
	s.Mark("hollow", Circle, Point{0.5, 0.75})
	s.Ring("flag", Point{1, 0})
	s.Text("note", Point{0.2, 0.1}, 0.5, -0.35, End, "fret <7>\x01")
	s.Text("note", Point{}, 0, 0, Middle, "")
	s.Path("none", nil, false)
	s.Dots("none", nil)
	const want = `<svg class="plot left3 right6" role="img" aria-label="A &#34;chart&#34; &lt;b&gt;. 3 &lt; 4">` +
		`<svg viewBox="0 0 1000 1000" preserveAspectRatio="none"><path class="line" d="M0 500H1000V1000L250 123.5M0 0H500"/><path class="area" d="M0 0H1000V1000z"/>` +
		`<path class="dots s1" d="M100 200h0M300 400h0"/></svg>` +
		`<svg x="50%" y="25%"><path class="solid" d="M-4-4H4V4H-4z"/></svg><circle class="hollow" cx="50%" cy="75%" r=".33em"/><circle class="flag" cx="100%" cy="0%" r=".6em"/>` +
		`<text class="note" x="20%" y="10%" dx=".5em" dy="-.35em" text-anchor="end">fret &lt;7&gt;</text></svg>`
	if got := s.SVG(); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	sign := &Screen{}
	sign.Mark("stroke", Cross, Point{0.5, 0.5})
	if got := sign.SVG(); !strings.HasPrefix(got, `<svg class="sign" aria-hidden="true"><svg x="50%"`) {
		t.Error(got)
	}
}

// Em is a text's width beside its size.
func TestPage_Em(t *testing.T) {
	p, err := New(10, 10, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{"0.123", "Heron", ""} {
		if em, mm := p.Em(words), p.Width(words, Type{SizePt: 10}); em*10*MMPerPt != mm {
			t.Errorf("%q: %g em, %g mm at 10 pt", words, em, mm)
		}
	}
}
