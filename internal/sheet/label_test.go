package sheet

import (
	"bytes"
	"image/png"
	"strings"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"ringtrue/internal/book"
	"ringtrue/internal/draw"
)

// read reads a label's code with a reader that is not of our making.
func read(t *testing.T, p *draw.Page, dotsPerMM float64) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.WritePNG(&b, dotsPerMM); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	got, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		return "nothing: " + err.Error()
	}
	return got.GetText()
}

// TestLabel_ReadBack: an independent reader reads the serial off the label, at
// the resolutions of label printers and of our PNG.
func TestLabel_ReadBack(t *testing.T) {
	for _, c := range []struct {
		serial        string
		width, height float64
	}{
		{"0412", 50, 25},
		{"HERON-2026-0412", 50, 25},
		{"0412", 62, 29},
		{"0412", 30, 14},
		{"0412", 25, 40},
		{"Heron Nº 7 – Frühling", 62, 29},
		{"鷺0412", 50, 25},
		{strings.Repeat("Serial-78 ", 6) + "last", 62, 29},
	} {
		p, err := Label(&book.Label{Serial: c.serial, Model: "Heron 22", First: first()}, c.width, c.height)
		if err != nil {
			t.Errorf("%q: %v", c.serial, err)
			continue
		}
		for _, dpi := range []float64{203, 300, 600} {
			if dpi == 600 && c.width != 50 { // large pictures take long
				continue
			}
			if got := read(t, p, dpi/25.4); got != c.serial {
				t.Errorf("%q on %g by %g mm at %g dpi reads %q", c.serial, c.width, c.height, dpi, got)
			}
		}
		page := draw.Box{W: c.width, H: c.height}
		for _, b := range p.TextBoxes() {
			if !b.Within(page) {
				t.Errorf("%q: %q stands outside the label: %+v", c.serial, b.Text, b.Box)
			}
		}
	}
}

func TestLabel_TooSmall(t *testing.T) {
	_, err := Label(&book.Label{Serial: "0412"}, 20, 25)
	if err != nil {
		t.Errorf("20 by 25 mm: %v", err)
	}
	_, err = Label(&book.Label{Serial: "0412"}, 20, 6)
	if err == nil || !strings.Contains(err.Error(), "needs a label of at least 22 by 8 mm") {
		t.Errorf("20 by 6 mm: %v", err)
	}
}

func TestLabel_Golden(t *testing.T) {
	p, err := Label(&book.Label{Serial: "0412", Model: "Heron 22", First: first()}, 50, 25)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, p, "label.svg")
}

func first() time.Time { return time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC) }
