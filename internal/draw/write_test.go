package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write golden files anew")

func samplePage(t testing.TB) *Page {
	p := newPage(t)
	p.title = plain("Heron <22> & Söhne\nnext line")
	p.About("Two marks, µm − ≥ é.")
	p.Rect(5, 5, 40, 20, Look{Fill: Diverging(0.5), Edge: Pen{Ink, 0.3, []float64{2, 1}}})
	p.Circle(70, 20, 8, Look{Fill: Diverging(-0.5), Edge: Pen{Ink, 0.5, nil}})
	p.Path([]Point{{5, 40}, {30, 50}, {60, 45}}, false, Look{Edge: Pen{Slate, 0.25, nil}})
	p.Text(25, 15, "+52 µm − ≥ é", Type{SizePt: 9, Bold: true, Anchor: Middle, Level: Centred})
	p.Text(70, 20, "−12", Type{SizePt: 9, Anchor: Middle, Level: Centred, Turn: 30, Colour: Paper})
	p.Text(5, 55, "a < b & c", Type{SizePt: 6})
	return p
}

func written(t testing.TB, write func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWriteSVG_Golden(t *testing.T) {
	const golden = "testdata/sample.svg"
	got := written(t, samplePage(t).WriteSVG)
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("SVG differs from %s; run with -update and look at it", golden)
	}
}

// The SVG parses, holds each text as text, and no font.
func TestWriteSVG_Text(t *testing.T) {
	got := written(t, samplePage(t).WriteSVG)
	var texts []string
	d, inText := xml.NewDecoder(bytes.NewReader(got)), false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch v := token.(type) {
		case xml.StartElement:
			inText = v.Name.Local == "text" || v.Name.Local == "title"
		case xml.CharData:
			if inText {
				texts = append(texts, string(v))
			}
		case xml.EndElement:
			inText = false
		}
	}
	want := "Heron <22> & Söhne next line|+52 µm − ≥ é|−12|a < b & c"
	if strings.Join(texts, "|") != want {
		t.Errorf("texts %q, want %q", texts, want)
	}
	if bytes.Contains(got, []byte("font-face")) || len(got) > 2500 {
		t.Errorf("an SVG of %d bytes", len(got))
	}
}

// TestWritePDF_Holds: another program finds the text and both fonts, embedded;
// the same page gives the same bytes twice, and does not say when it was made.
func TestWritePDF_Holds(t *testing.T) {
	got := written(t, samplePage(t).WritePDF)
	if !bytes.Equal(got, written(t, samplePage(t).WritePDF)) {
		t.Error("the same page gives other bytes")
	}
	for _, day := range []string{"CreationDate", "ModDate", "D:"} {
		if bytes.Contains(got, []byte(day)) {
			t.Errorf("the PDF says when it was made: %s", day)
		}
	}
	words := strings.Join(strings.Fields(poppler(t, "pdftotext", got, "-")), "")
	for _, want := range []string{"+52µm−≥é", "−1", "a<b&c"} { // spaces are the reader's; a turned text falls apart
		if !strings.Contains(words, want) {
			t.Errorf("pdftotext finds %q, not %q", words, want)
		}
	}
	if info := poppler(t, "pdfinfo", got); !strings.Contains(info, "Heron <22> & Söhne next line") || !strings.Contains(info, "Two marks, µm − ≥ é.") ||
		!strings.Contains(info, "283.46 x 170.08 pts") { // 100 by 60 mm
		t.Errorf("pdfinfo says %s", info)
	}
	if n := regexp.MustCompile(`(?m)TrueType +Identity-H +yes`).FindAllString(poppler(t, "pdffonts", got), -1); len(n) != 2 {
		t.Errorf("%d fonts embedded, want regular and bold", len(n))
	}
}

// A letter that no font here has, or that lies beyond the first 65536, draws a box.
func TestWrite_StrangeLetters(t *testing.T) {
	p := newPage(t)
	p.Text(10, 10, "a\U0001F3B8\u4E2Db", Type{SizePt: 9})
	for name, write := range map[string]func(io.Writer) error{
		"svg": p.WriteSVG, "pdf": p.WritePDF, "png": func(w io.Writer) error { return p.WritePNG(w, 4) },
	} {
		if len(written(t, write)) == 0 {
			t.Errorf("%s: nothing", name)
		}
	}
	if words := poppler(t, "pdftotext", written(t, p.WritePDF), "-"); !strings.HasPrefix(words, "a") || !strings.Contains(words, "b") {
		t.Errorf("pdftotext finds %q", words)
	}
}

// poppler runs a program of that name over a PDF.
func poppler(t *testing.T, program string, pdf []byte, more ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Skipf("%s is not installed here; .ci/run installs it", program)
	}
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(path, append([]string{file}, more...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v: %s", program, err, out)
	}
	return string(out)
}

func TestWritePNG_Size(t *testing.T) {
	p := samplePage(t)
	img, err := png.Decode(bytes.NewReader(written(t, func(w io.Writer) error { return p.WritePNG(w, 4) })))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 400 || b.Dy() != 240 {
		t.Errorf("%v, want 400 x 240", b)
	}
	at := func(x, y int) Colour {
		r, g, b, _ := img.At(x, y).RGBA()
		return RGB(uint8(r>>8), uint8(g>>8), uint8(b>>8))
	}
	if got := at(1, 1); got != Paper {
		t.Errorf("paper is %06x", uint32(got))
	}
	if got := at(40, 40); got != Diverging(0.5) {
		t.Errorf("the area is %06x, want %06x", uint32(got), uint32(Diverging(0.5)))
	}
	if err := p.WritePNG(io.Discard, 1000); err == nil {
		t.Error("a picture of 100000 dots was drawn")
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestWrite_Error(t *testing.T) {
	p := samplePage(t)
	for name, err := range map[string]error{"svg": p.WriteSVG(fullDisk{}), "pdf": p.WritePDF(fullDisk{}), "png": p.WritePNG(fullDisk{}, 2)} {
		if err == nil || !strings.Contains(err.Error(), "no room") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}
