package cli

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// dotsPerMM is how fine a PNG is: 200 dots an inch.
const dotsPerMM = 200 / unit.MMPerInch

// pictureKind is the kind of picture a file's ending asks for.
func pictureKind(path string) (string, error) {
	switch kind := strings.ToLower(filepath.Ext(path)); kind {
	case ".svg", ".pdf", ".png":
		return kind, nil
	}
	return "", inputErrorf("--draw: %s: end the file's name in .svg, .pdf or .png", path)
}

// writePicture writes a page as the kind that the file's ending asks for.
func writePicture(path string, p *draw.Page) error { return writeFine(path, p, dotsPerMM) }

// drawInto draws a page into a file, where one is asked for.
func drawInto(path string, page func() (*draw.Page, error)) error {
	if path == "" {
		return nil
	}
	p, err := page()
	if err != nil {
		return err
	}
	return writePicture(path, p)
}

// writeFine is writePicture with a PNG of so many dots in a mm.
func writeFine(path string, p *draw.Page, dotsPerMM float64) error {
	kind, err := pictureKind(path)
	if err != nil {
		return err
	}
	write := map[string]func(io.Writer) error{
		".svg": p.WriteSVG,
		".pdf": p.WritePDF,
		".png": func(w io.Writer) error { return p.WritePNG(w, dotsPerMM) },
	}[kind]
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return failuref("%s: %w", path, err)
	}
	return writeFile(path, b.Bytes())
}

// pictured are the flags of a neck's picture, as written.
type pictured struct{ draw, paper, units string }

// add gives a command the flags; draws says what is drawn, sizes what the units are of.
func (o *pictured) add(f *pflag.FlagSet, draws, sizes string) {
	f.StringVar(&o.draw, "draw", "", "draw "+draws+" into `FILE` (.svg, .pdf or .png)")
	f.StringVar(&o.paper, "paper", "a4", "what the picture is for: a4, letter or phone")
	f.StringVar(&o.units, "units", "um", sizes+" in the text and the picture: um, or in for thousandths of an inch")
}

// read reads the flags.
func (o *pictured) read() (sheet.Paper, heightUnit, error) {
	unit, err := heightUnitOf(o.units)
	if err != nil {
		return 0, unit, err
	}
	paper, known := sheet.PapersByName()[o.paper]
	if !known {
		return paper, unit, inputErrorf("--paper: %q is none; write a4, letter or phone", o.paper)
	}
	if o.draw != "" {
		_, err = pictureKind(o.draw)
	}
	return paper, unit, err
}
