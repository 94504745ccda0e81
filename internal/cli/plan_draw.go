package cli

import (
	"io"
	"path/filepath"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
)

// slotsDrawing draws a plan's slots as a file's ending asks; nil without a file.
// A wrong ending or paper is an error before anything is worked out.
func slotsDrawing(file, paper string, units sheet.Units) (func(*answer.WorkPlan, io.Writer) error, error) {
	whole := func(write func(*draw.Page, io.Writer) error) func(*answer.WorkPlan, io.Writer) error {
		return func(a *answer.WorkPlan, w io.Writer) error {
			page, err := sheet.Slots(a, units)
			if err != nil {
				return err
			}
			return write(page, w)
		}
	}
	size, known := sheet.PapersByName()[strings.ToLower(paper)]
	switch ending := strings.ToLower(filepath.Ext(file)); {
	case file == "":
		return nil, nil
	case ending == ".svg":
		return whole((*draw.Page).WriteSVG), nil
	case ending == ".dxf":
		return sheet.SlotsDXF, nil
	case ending != ".pdf":
		return nil, inputErrorf("--draw: %s: end the file's name in .svg, .pdf or .dxf", file)
	case paper == "whole":
		return whole((*draw.Page).WritePDF), nil
	case !known || size == sheet.Phone:
		return nil, inputErrorf("--paper: no such paper %q; use a4, letter or whole", paper)
	}
	return func(a *answer.WorkPlan, w io.Writer) error {
		pages, err := sheet.SlotTiles(a, size, units)
		if err != nil {
			return err
		}
		return draw.WritePDFPages(w, pages)
	}, nil
}
