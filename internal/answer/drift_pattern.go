package answer

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

// PatternRequest asks what the necks of a span have in common.
type PatternRequest struct {
	Filter     book.Filter // as in BookQuery
	By         string      // a tag to split the necks by
	Confidence float64     // 0: 0.95
}

// Pattern reads every fret and lane from the book at once. Errors: those of
// SeriesOf; drift.ErrTooFew; drift.ErrNoTag.
func Pattern(ctx context.Context, s Scanner, r PatternRequest) (*PatternAnswer, error) {
	if r.Confidence == 0 {
		r.Confidence = defaultConfidence
	}
	if r.Filter.Stage == "" {
		r.Filter.Stage = SeatedStage
	}
	r.Filter.InForce = true
	h := heightsIn{shapes: map[string]*drift.Shape{}}
	records, err := h.read(ctx, s, r.Filter)
	if err != nil {
		return nil, err
	}
	a := &PatternAnswer{Of: "pattern", Unit: "mm", Stage: r.Filter.Stage, By: r.By, Findings: []string{}, Warnings: []string{}}
	if records, err = latest(ctx, s, r.Filter, records, &a.Warnings); err != nil {
		return nil, err
	}
	necks := h.order(records, a)
	p, err := drift.PatternOf(ctx, necks, r.Confidence)
	if err != nil {
		return nil, err
	}
	a.Pattern, a.Confidence, a.Crown1P, a.Fret1P, a.Steady = p, r.Confidence, p.Crown1P, p.Fret1P, p.Steady()
	if r.By != "" {
		if a.Parts, a.Differ, err = p.Parts(ctx, necks, r.By, r.Confidence); err != nil {
			return nil, err
		}
	}
	a.tell()
	return a, nil
}

// heightsIn gathers heights while a book is scanned.
type heightsIn struct {
	shapes map[string]*drift.Shape
	shape  *drift.Shape // the one met last
	slab   []int16      // room for the heights to come
	all    []drift.Neck
}

// slabSteps is how many heights are given room at once.
const slabSteps = 1 << 16

func (h *heightsIn) read(ctx context.Context, s Scanner, f book.Filter) ([]bookNeck, error) {
	var records []bookNeck
	var sheet book.Sheet
	err := s.Scan(ctx, f, book.WantName|book.WantTags|book.WantCrowns, func(r *book.Row) error {
		if err := r.Crowns.Open(&sheet); err != nil {
			return fmt.Errorf("record %d: %w", r.Number, err)
		}
		n := keep(r)
		if cells := sheet.Frets * len(sheet.Lanes); cells > 0 {
			n.told, n.row = true, len(h.all)
			h.all = append(h.all, drift.Neck{Shape: h.shapeOf(&sheet), Steps: h.copy(&sheet, cells)})
		}
		records = append(records, n)
		return nil
	})
	return records, err
}

// shapeOf gives like necks one shape.
func (h *heightsIn) shapeOf(s *book.Sheet) *drift.Shape {
	if h.shape != nil && h.shape.FirstFret == s.FirstFret && h.shape.Frets == s.Frets && h.shape.StepMM == s.StepMM && slices.Equal(h.shape.Lanes, s.Lanes) {
		return h.shape
	}
	key := binary.LittleEndian.AppendUint64([]byte{byte(s.FirstFret), byte(s.Frets)}, math.Float64bits(s.StepMM))
	for _, l := range s.Lanes {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(l))
	}
	if _, ok := h.shapes[string(key)]; !ok {
		h.shapes[string(key)] = &drift.Shape{FirstFret: s.FirstFret, Frets: s.Frets, StepMM: s.StepMM, Lanes: slices.Clone(s.Lanes)}
	}
	h.shape = h.shapes[string(key)]
	return h.shape
}

func (h *heightsIn) copy(s *book.Sheet, cells int) []int16 {
	if len(h.slab) < cells {
		h.slab = make([]int16, max(slabSteps, cells))
	}
	steps := h.slab[:cells:cells]
	h.slab = h.slab[cells:]
	for i := range steps {
		steps[i] = drift.NoHeight
		if v, ok := s.Steps(i); ok {
			steps[i] = int16(v)
		}
	}
	return steps
}

// order gives the necks in order of time, and notes the span.
func (h *heightsIn) order(records []bookNeck, a *PatternAnswer) []drift.Neck {
	necks := make([]drift.Neck, 0, len(records))
	for _, r := range records {
		if !r.told {
			continue
		}
		n := h.all[r.row]
		n.Label, n.Date, n.Tags = r.serial, time.UnixMicro(r.at).UTC(), r.tags
		necks = append(necks, n)
	}
	if left := len(records) - len(necks); left > 0 {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%d of %d necks are left out: no crown of theirs is determined", left, len(records)))
	}
	if len(necks) > 0 {
		a.From, a.To = day(necks[0].Date), day(necks[len(necks)-1].Date)
	}
	return necks
}

// tell puts the pattern into sentences, the farthest first.
func (a *PatternAnswer) tell() {
	found, small := a.Pattern.Findings()
	for _, f := range found {
		a.Findings = append(a.Findings, text.FretFinding(f))
	}
	if small > 0 {
		a.Findings = append(a.Findings, text.SmallFindings(small))
	}
	for _, p := range a.Parts {
		if p.Tag == "" {
			a.Warnings = append(a.Warnings, text.NecksWithoutTag(p.Necks, a.By))
		}
	}
}
