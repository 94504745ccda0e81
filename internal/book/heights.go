package book

import (
	"context"
	"fmt"
	"slices"

	"ringtrue/internal/drift"
)

// Heights reads where every crown stands from the book, of each neck's latest
// record that a filter picks (Stage "": SeatedStage), in order of time, and
// gives the stage read. ErrNotFound: no record of that kind.
func Heights(ctx context.Context, s Scanner, f Filter) (necks []drift.Neck, stage string, notes []Note, err error) {
	var h heights
	var sheet CrownTable
	records, f, notes, err := latest(ctx, s, f, NameColumns|TagColumns|CrownColumns, func(r *Row, n *neckValue) error {
		if err := r.Crowns.Open(&sheet); err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		if cells := sheet.Frets * len(sheet.Lanes); cells > 0 {
			n.told, n.row = true, len(h.all)
			h.all = append(h.all, drift.Neck{Shape: h.shapeOf(&sheet), Steps: h.copy(&sheet, cells)})
		}
		return nil
	})
	if err != nil {
		return nil, "", nil, err
	}
	necks = make([]drift.Neck, 0, len(records))
	for _, r := range records {
		if r.told {
			n := h.all[r.row]
			n.Label, n.Date, n.Tags = r.serial, r.date(), r.tags
			necks = append(necks, n)
		}
	}
	if left := len(records) - len(necks); left > 0 {
		notes = append(notes, Note{Undetermined, left, len(records)})
	}
	return necks, f.Stage, notes, nil
}

// heights gathers crowns while a book is scanned.
type heights struct {
	shapes []*drift.Shape
	slab   []int16 // heights, of many necks at once
	all    []drift.Neck
}

// slabSteps is for how many heights room is made at once.
const slabSteps = 1 << 16

// shapeOf gives like necks one shape. A book has few of them.
func (h *heights) shapeOf(s *CrownTable) *drift.Shape {
	for _, like := range h.shapes {
		if like.FirstFret == s.FirstFret && like.Frets == s.Frets && like.StepMM == s.StepMM && slices.Equal(like.Lanes, s.Lanes) {
			return like
		}
	}
	h.shapes = append(h.shapes, &drift.Shape{FirstFret: s.FirstFret, Frets: s.Frets, StepMM: s.StepMM, Lanes: slices.Clone(s.Lanes)})
	return h.shapes[len(h.shapes)-1]
}

// copy keeps the heights of a neck.
func (h *heights) copy(s *CrownTable, cells int) []int16 {
	from := len(h.slab)
	if from+cells > cap(h.slab) {
		h.slab, from = make([]int16, 0, max(slabSteps, cells)), 0
	}
	for i := range cells {
		v, ok := s.Steps(i)
		if !ok {
			v = drift.NoHeight
		}
		h.slab = append(h.slab, int16(v))
	}
	return h.slab[from:]
}
