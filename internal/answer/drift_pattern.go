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
)

// PatternRequest asks what the necks of a span have in common.
type PatternRequest struct {
	Filter     book.Filter // as in BookQuery
	By         string      // a tag to split the necks by
	Confidence float64     // 0: 0.95
}

// worthMM is the height under which a fret's level is not worth a sentence:
// below what a dial shows. The tables have all.
const worthMM = 0.002

// Pattern reads every fret and lane from the book at once. Errors: those of
// SeriesOf; drift.ErrTooFew; ErrNoTag.
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
	a.PatternPart = patternPart(p, necks)
	a.Confidence, a.Crown1P, a.Fret1P = r.Confidence, p.Crown1P, p.Fret1P
	if r.By != "" {
		if err := a.split(ctx, necks, r); err != nil {
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

// split makes a pattern of each part, and compares the frets between them.
func (a *PatternAnswer) split(ctx context.Context, necks []drift.Neck, r PatternRequest) error {
	parts := map[string][]drift.Neck{}
	var order []string
	for _, n := range necks {
		v := n.Tags[r.By]
		if _, seen := parts[v]; !seen {
			order = append(order, v)
		}
		parts[v] = append(parts[v], n)
	}
	if len(order) == 1 && order[0] == "" {
		return fmt.Errorf("%w: %s", ErrNoTag, r.By)
	}
	levels := make([][]drift.Level, len(a.Frets)) // by fret
	for _, v := range order {
		p, err := drift.PatternOf(ctx, parts[v], r.Confidence)
		if err != nil {
			a.Parts = append(a.Parts, PatternPart{Tag: v, Necks: len(parts[v]), Why: err.Error()})
			continue
		}
		part := patternPart(p, parts[v])
		part.Tag = v
		a.Parts = append(a.Parts, part)
		for _, f := range p.Frets {
			if at := f.Fret - a.Frets[0].Fret; at >= 0 && at < len(levels) {
				levels[at] = append(levels[at], f.Level)
			}
		}
	}
	a.compare(levels, r.Confidence)
	return nil
}

// compare says of each fret whether the parts differ by more than chance.
func (a *PatternAnswer) compare(levels [][]drift.Level, confidence float64) {
	tested := 0
	for i, l := range levels {
		f, p := drift.LevelsDiffer(l)
		if known(p) == nil {
			continue
		}
		tested++
		a.Differ = append(a.Differ, FretDiffers{Fret: a.Frets[i].Fret, F: f, P: p})
	}
	below := drift.EachBelow(confidence, tested)
	for i := range a.Differ {
		a.Differ[i].Differs = a.Differ[i].P < below
	}
}

func patternPart(p drift.Pattern, necks []drift.Neck) PatternPart {
	part := PatternPart{Necks: p.Necks, Lanes: p.Lanes, Crowns: []CrownLevel{}, Frets: []FretPattern{}}
	for l, lane := range p.Lanes {
		for f := range p.Frets {
			c := p.Crowns[l*len(p.Frets)+f]
			if c.N > 0 {
				part.Crowns = append(part.Crowns, CrownLevel{Fret: p.FirstFret + f, Lane: lane, StandsAnswer: standsAnswer(c)})
			}
		}
	}
	tags := make([]map[string]string, len(necks))
	for i := range necks {
		tags[i] = necks[i].Tags
	}
	for _, f := range p.Frets {
		part.Frets = append(part.Frets, FretPattern{Fret: f.Fret, StandsAnswer: standsAnswer(f.Level), Steps: stepsOf(f.Changes, necks, tags)})
	}
	return part
}

func stepsOf(changes []drift.Change, necks []drift.Neck, tags []map[string]string) []PatternStep {
	steps := []PatternStep{}
	for _, c := range changes {
		first := necks[c.First-1]
		s := PatternStep{ChangeAnswer: ChangeAnswer{
			Index: c.First, Earliest: c.Earliest, Latest: c.Latest, Before: c.Before, After: c.After, UBefore: c.UBefore, UAfter: c.UAfter,
			P: c.P, Label: first.Label, Date: day(first.Date), FromDate: day(necks[c.Earliest-1].Date), ToDate: day(necks[c.Latest-1].Date),
		}, With: []TagAnswer{}}
		for _, w := range drift.CompanyOf(c, tags) {
			s.With = append(s.With, TagAnswer{Tag: w.Tag, Value: w.Value, BeforePct: 100 * w.Before, AfterPct: 100 * w.After})
		}
		steps = append(steps, s)
	}
	return steps
}

func standsAnswer(l drift.Level) StandsAnswer {
	a := StandsAnswer{Necks: l.N, MeanMM: known(l.Mean), ScatterMM: known(l.SD), UMM: known(l.U), P: known(l.P), Verdict: "within chance"}
	switch {
	case l.Side > 0:
		a.Verdict = "high"
	case l.Side < 0:
		a.Verdict = "low"
	case a.P == nil:
		a.Verdict = "not tested"
	}
	return a
}
