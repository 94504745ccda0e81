package cli

import (
	"bytes"
	"path/filepath"
	"strings"

	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/plan"
	"ringtrue/internal/sheet"
)

// drawBoard draws a planned board into a file.
type drawBoard func(name string, p plan.Plan, l *geometry.Layout, slotMM float64) error

// boardDrawing is the drawing that a file's ending asks for, nil without a file.
// A wrong ending or paper is an error before anything is worked out.
func boardDrawing(file, paper string) (drawBoard, error) {
	if file == "" {
		return nil, nil
	}
	render, err := boardRenderer(file, paper)
	if err != nil {
		return nil, err
	}
	return func(name string, p plan.Plan, l *geometry.Layout, slotMM float64) error {
		var b bytes.Buffer
		if err := render(sheet.SawBoardOf(name, p, l, slotMM), &b); err != nil {
			return err
		}
		return writeFile(file, b.Bytes())
	}, nil
}

func boardRenderer(file, paper string) (func(sheet.SawBoard, *bytes.Buffer) error, error) {
	whole := func(write func(*draw.Page, *bytes.Buffer) error) func(sheet.SawBoard, *bytes.Buffer) error {
		return func(s sheet.SawBoard, b *bytes.Buffer) error {
			page, err := s.Whole()
			if err != nil {
				return err
			}
			return write(page, b)
		}
	}
	switch ending := strings.ToLower(filepath.Ext(file)); ending {
	case ".svg":
		return whole(func(p *draw.Page, b *bytes.Buffer) error { return p.WriteSVG(b) }), nil
	case ".dxf":
		return func(s sheet.SawBoard, b *bytes.Buffer) error { return s.DXF(b) }, nil
	case ".pdf":
		if paper == "whole" {
			return whole(func(p *draw.Page, b *bytes.Buffer) error { return p.WritePDF(b) }), nil
		}
		for _, t := range sheet.TilePapers() {
			if t.Name == strings.ToLower(paper) {
				return func(s sheet.SawBoard, b *bytes.Buffer) error {
					pages, err := s.Tiles(t)
					if err != nil {
						return err
					}
					return draw.WritePDFPages(b, pages)
				}, nil
			}
		}
		return nil, inputErrorf("--paper: %q is no paper; write a4, letter or whole", paper)
	default:
		return nil, inputErrorf("--draw: %s: %q is no drawing; end the name in .svg, .pdf or .dxf", file, ending)
	}
}
