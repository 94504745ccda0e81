package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image/png"
	"io"
	"os"
	"regexp"
	"strconv"
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

// Fonts and information of the PDF hold no clock, so that the same page gives
// the same bytes at any time; and its table leads to every object.
func TestWritePDF_Frozen(t *testing.T) {
	got := written(t, samplePage(t).WritePDF)
	if bytes.Contains(got, []byte("CreationDate")) {
		t.Error("the PDF says when it was made")
	}
	fonts := 0
	eachFont(t, got, func(font []byte) {
		fonts++
		head := fontTable(t, font, "head")
		if !bytes.Equal(head[20:28], head[28:36]) {
			t.Error("a font says when it was written")
		}
		if s := sum(font); s != 0xB1B0AFBA {
			t.Errorf("a font's sum is %08x", s)
		}
	})
	if fonts != 2 {
		t.Errorf("%d fonts, want regular and bold", fonts)
	}
	xref := bytes.LastIndex(got, []byte("\nxref\n")) + 1
	if tail := fmt.Sprintf("startxref\n%d\n%%%%EOF\n", xref); !bytes.HasSuffix(got, []byte(tail)) {
		t.Errorf("the PDF does not end in %q", tail)
	}
	entries := regexp.MustCompile(`(\d{10}) 00000 n \n`).FindAllSubmatch(got[xref:], -1)
	if len(entries) < 8 {
		t.Fatalf("%d objects", len(entries))
	}
	for i, e := range entries {
		at, _ := strconv.Atoi(string(e[1]))
		if start := fmt.Sprintf("%d 0 obj\n", i+1); !bytes.HasPrefix(got[at:], []byte(start)) {
			t.Errorf("object %d is not at %d", i+1, at)
		}
	}
}

// A font with another date of change comes out the same.
func TestFreezeFont_AnyClock(t *testing.T) {
	got := written(t, samplePage(t).WritePDF)
	eachFont(t, got, func(font []byte) {
		later := bytes.Clone(font)
		copy(fontTable(t, later, "head")[28:36], "later!!!")
		if err := freezeFont(later); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(later, font) {
			t.Error("the clock shows in the font")
		}
	})
}

func TestFreezePDF_Strange(t *testing.T) {
	good := written(t, samplePage(t).WritePDF)
	for name, raw := range map[string][]byte{
		"empty":   nil,
		"no PDF":  []byte("not a PDF at all\n%\n"),
		"cut":     good[:len(good)/2],
		"no end":  good[:len(good)-20],
		"no objs": bytes.ReplaceAll(good, []byte(" 0 obj"), []byte(" 0 OBJ")),
	} {
		var e errPDF
		if _, err := freezePDF(raw); !errors.As(err, &e) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func eachFont(t *testing.T, pdf []byte, visit func(font []byte)) {
	t.Helper()
	streams := regexp.MustCompile(`/FlateDecode/Length (\d+)>>stream\n`).FindAllSubmatchIndex(pdf, -1)
	for _, s := range streams {
		length, _ := strconv.Atoi(string(pdf[s[2]:s[3]]))
		data := unpacked(t, pdf[s[1]:s[1]+length])
		if bytes.HasPrefix(data, []byte{0, 1, 0, 0}) {
			visit(data)
		}
	}
}

func fontTable(t *testing.T, font []byte, tag string) []byte {
	t.Helper()
	i := bytes.Index(font, []byte(tag))
	if i < 0 {
		t.Fatalf("no table %s", tag)
	}
	at, n := binary.BigEndian.Uint32(font[i+8:]), binary.BigEndian.Uint32(font[i+12:])
	return font[at : at+n]
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

func unpacked(t *testing.T, packed []byte) []byte {
	t.Helper()
	z, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
