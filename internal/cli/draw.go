package cli

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
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

// neckPicture are the flags of a picture of a neck, as written.
type neckPicture struct{ draw, paper string }

// add adds the flags: draw says what is drawn.
func (p *neckPicture) add(f *pflag.FlagSet, draw string) {
	f.StringVar(&p.draw, "draw", "", draw+" `FILE` (.svg, .pdf or .png)")
	f.StringVar(&p.paper, "paper", "a4", "with --draw: a4, letter or phone")
}

// settle reads the flags; heights are in µm, or in thousandths of an inch.
func (p neckPicture) settle(inches bool) (heightUnit, sheet.Paper, error) {
	unit := heightUnitOf(inches)
	paper, known := sheet.PapersByName()[p.paper]
	if !known {
		return unit, 0, inputErrorf("--paper: no such paper %q; use a4, letter or phone", p.paper)
	}
	var err error
	if p.draw != "" {
		_, err = pictureKind(p.draw)
	}
	return unit, paper, err
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

// drawn says in a listing which file was drawn.
func (s *streams) drawn(path string) {
	if path == "" {
		return
	}
	if !s.short {
		fmt.Fprintln(s.out)
	}
	wrap(s.out, "", text.Drawn(printable(path)))
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
