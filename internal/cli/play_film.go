package cli

import (
	"bytes"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
)

// filmOptions are the flags of `play --strip` and `--film`, as written.
type filmOptions struct{ strip, film string }

func addFilmFlags(c *cobra.Command, o *filmOptions) {
	f := c.Flags()
	f.StringVar(&o.strip, "strip", "", "draw moments of one pluck into `FILE` (.svg, .pdf or .png)")
	f.StringVar(&o.film, "film", "", "draw one pluck as a film for a browser into `FILE` (.svg)")
}

// by is the flag that asks for one note, "" where none does.
func (o filmOptions) by() string {
	switch {
	case o.strip != "":
		return "strip"
	case o.film != "":
		return "film"
	}
	return ""
}

// check refuses flags that do not go together.
func (o filmOptions) check(c *cobra.Command) error {
	by := o.by()
	if by == "" {
		return nil
	}
	for _, name := range []string{"draw", "check", "bend", "tune", "wav", "study"} {
		if c.Flags().Changed(name) {
			return inputErrorf("--%s does not go with --%s", name, by)
		}
	}
	if o.strip != "" {
		switch strings.ToLower(filepath.Ext(o.strip)) {
		case ".svg", ".pdf", ".png":
		default:
			return inputErrorf("--strip: %s: end the file's name in .svg, .pdf or .png", o.strip)
		}
	}
	if o.film != "" && strings.ToLower(filepath.Ext(o.film)) != ".svg" {
		return inputErrorf("--film: %s: end the file's name in .svg, the only kind that moves", o.film)
	}
	if o.film != "" && o.film == o.strip {
		return inputErrorf("--film and --strip would both write %s; name two files", o.film)
	}
	return nil
}

// runFilm answers `play --strip` and `--film`.
func runFilm(c *cobra.Command, s *streams, neckFile string, o playOptions, play answer.PlayRequest) error {
	a, err := answer.PlayFilm(c.Context(), answer.PlayFilmRequest{Play: play, Note: o.note.NoteChoice})
	if err != nil {
		return placed(neckFile, o.set, err)
	}
	if err := drawInto(o.see.strip, func() (*draw.Page, error) { return sheet.Strip(a, s.sheetUnits()) }); err != nil {
		return err
	}
	if o.see.film != "" {
		film, err := sheet.Film(a, s.sheetUnits())
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := film.WriteSVG(&b); err != nil {
			return failuref("%s: %w", o.see.film, err)
		}
		if err := writeFile(o.see.film, b.Bytes()); err != nil {
			return err
		}
	}
	return s.say(o.json, a, filmText{out: s.out, answer: a, strip: o.see.strip, film: o.see.film, colour: s.colour}.print)
}
