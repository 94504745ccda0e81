package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
)

// film has one part of each kind.
func film(t *testing.T) *Film {
	t.Helper()
	f := NewFilm(newPage(t), 2.5, 3)
	word := func(text string) *Page {
		l := f.Layer()
		l.Text(5, 5, text, Type{SizePt: 9})
		return l
	}
	f.Line([][]Point{{{0, 1}, {10, 2}}, {{0, 3}, {10, 4}}}, Pen{Colour: Ink, WidthMM: 0.5})
	f.Show(0, 0.25, word("first"))
	f.Show(0.25, 1, word("later"))
	f.Show(0, 1, word("always"))
	f.Slide(40, word("hand"))
	f.Again(word("again"))
	f.Hold(word("stop"))
	f.Still(word("without motion"))
	return f
}

// An SVG that plays by itself: no script, every part by the same clock, and
// something to see where motion is not wanted.
func TestFilm_Parts(t *testing.T) {
	var b bytes.Buffer
	if err := film(t).WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for d := xml.NewDecoder(&b); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("no XML: %v", err)
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "script" {
			t.Error("holds a script")
		}
	}
	clock := `begin="0s;again.click" end="hold.click" dur="2.5s" repeatCount="3" fill="freeze"`
	if n := strings.Count(text, clock); n != 4 {
		t.Errorf("%d parts run by the film's clock, want 4", n)
	}
	for _, want := range []string{
		"values=\"0,1 10,2;\n0,3 10,4\"",
		`<g visibility="visible">`, `values="visible;hidden" keyTimes="0;0.25"`,
		`<g visibility="hidden">`, `values="hidden;visible" keyTimes="0;0.25"`,
		`from="0 0" to="40 0"`, `<g id="again" class="button">`, `<g id="hold" class="button">`, `<g class="still">`,
		"prefers-reduced-motion",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %s", want)
		}
	}
	still := text[strings.Index(text, `<g class="still">`):]
	if !strings.Contains(still, "without motion") || strings.Contains(still, "later") {
		t.Error("what stands still is not apart from what moves")
	}
}

func TestFilm_FullDisk(t *testing.T) {
	if err := film(t).WriteSVG(fullDisk{}); err == nil {
		t.Error("no error from a full disk")
	}
}
