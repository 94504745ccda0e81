package answer

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/gauge"
	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// BookBesideRequest names a neck, a stage ("": the latest record's) and two hands.
type BookBesideRequest struct {
	Serial, Stage string
	By            [2]string
}

// BookBesideAnswer is how two hands read the same crowns at one stage of a neck, in mm.
type BookBesideAnswer struct {
	Serial  string  `json:"serial"`
	Stage   string  `json:"stage"`
	Records []int64 `json:"records"`
	gauge.Beside
	Words []string `json:"words"`
}

// oneSitting is how far apart records of a stage may be read for their crowns to be the
// same: a convention.
const oneSitting = 7 * 24 * time.Hour

// BookBeside compares two hands' readings of the same crowns, from the records of a stage
// that no other corrects and that were read within a week of the latest. A reading's hand
// is its column by, else the record's. Errors: book.ErrNotFound with the near ones;
// book.ErrUnlike where they have too few crowns in common.
func BookBeside(ctx context.Context, s book.Store, r BookBesideRequest) (*BookBesideAnswer, error) {
	records, err := book.RecordsOf(ctx, s, r.Serial)
	if err != nil {
		return nil, err
	}
	last, err := book.StageOf(ctx, s, records, r.Stage)
	if err != nil {
		return nil, err
	}
	a := &BookBesideAnswer{Serial: r.Serial, Stage: last.Record.Stage, Records: []int64{}}
	g := gathered{layout: last.Layout, at: map[stretchKey]int{}, hands: map[string]bool{}}
	for i := range records {
		x := &records[i]
		if x.CorrectedBy != 0 || x.Stage != a.Stage || last.At().Sub(x.At()).Abs() > oneSitting {
			continue
		}
		f, err := book.WholeFiles(ctx, s, x)
		if err != nil {
			return nil, fmt.Errorf("record %d, %s: %w", x.Number, x.Stage, err)
		}
		p, err := f.Parse()
		if err != nil || book.SameNeck(&book.Stage{Record: x, Parsed: p}, last) != nil {
			continue // its crowns are not these
		}
		a.Records = append(a.Records, x.Number)
		g.add(x, p.Readings)
	}
	for _, by := range r.By {
		if !g.hands[by] {
			return nil, book.NotFound("operator", by, slices.Sorted(maps.Keys(g.hands)))
		}
	}
	b, err := gauge.BesideOf(g.stretches, r.By[0], r.By[1], compareConfidence)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", book.ErrUnlike, err)
	}
	a.Beside, a.Words = *b, text.Beside(b)
	return a, nil
}

// stretchKey is a row of crowns that one gauge reads.
type stretchKey struct {
	method reading.Method
	lane   float64
}

// gathered are the passes of all hands over each row.
type gathered struct {
	layout    *geometry.Layout
	at        map[stretchKey]int
	stretches []gauge.Stretch
	hands     map[string]bool
}

// add takes the passes of one record: of gauges that read numbers, each pass lying
// one way.
func (g *gathered) add(r *book.Record, readings []reading.Reading) {
	type passKey struct {
		stretchKey
		by, pass string
	}
	open := map[passKey]int{}
	for _, x := range readings {
		spec := x.Method.Spec()
		if spec.Gap || spec.Rocks || spec.Across || spec.SetUp == reading.Frame || x.Turned || len(x.Frets) == 0 {
			continue
		}
		by := cmp.Or(x.By, r.By)
		if by == "" {
			continue
		}
		g.hands[by] = true
		row := stretchKey{x.Method, x.Lane}
		at, seen := g.at[row]
		if !seen {
			at, g.at[row] = len(g.stretches), len(g.stretches)
			g.stretches = append(g.stretches, gauge.Stretch{Free: spec.SetUp == reading.OffsetTilt})
		}
		s := &g.stretches[at]
		k := passKey{row, by, x.Pass}
		p, seen := open[k]
		if !seen {
			p, open[k] = len(s.Passes), len(s.Passes)
			s.Passes = append(s.Passes, gauge.Pass{Operator: by})
		}
		fret := x.Frets[spec.Told]
		s.Passes[p].Parts = append(s.Passes[p].Parts, gauge.Placed{
			Part: text.CrownName(strconv.Itoa(fret), x.Lane), X: g.layout.LaneX(fret, x.Lane), Value: x.Value})
	}
}
