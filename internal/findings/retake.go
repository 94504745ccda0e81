package findings

import (
	"slices"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// retakes propose what tells whether readings that were set aside were misread: the
// crowns of one lane in one pass, lanes that ask the same in one row.
func (n *Neck) retakes(readings []reading.Reading, g gauges) []Next {
	var rows []Next
	for _, m := range n.Estimate.Misreads {
		x := n.retake(m, readings[m.Reading], g)
		at := slices.IndexFunc(rows, func(o Next) bool {
			return o.Method == x.Method && o.Lane == x.Lane && (reading.Method(x.Method).Spec().Frets == 1 || slices.Equal(o.Frets, x.Frets))
		})
		if at < 0 {
			rows = append(rows, x)
			continue
		}
		rows[at].Frets = slices.Compact(slices.Sorted(slices.Values(slices.Concat(rows[at].Frets, x.Frets))))
		rows[at].Odd = append(rows[at].Odd, m.Fret)
	}
	for i, x := range rows {
		rows[i].Odd = slices.Compact(slices.Sorted(slices.Values(x.Odd)))
	}
	return joined(rows)
}

// withoutSetUp is the plainest gauge in use that has no set-up of its own.
func (g gauges) withoutSetUp() reading.Spec {
	for _, m := range reading.OfCrowns() {
		if s := m.Spec(); s.SetUp == reading.NoSetUp && g.uses(m) {
			return s
		}
	}
	return reading.Spec{}
}

// retake proposes what tells whether a reading that was set aside was misread:
// the surest gauge for a single fret that the maker uses.
func (n *Neck) retake(m heights.Misread, r reading.Reading, g gauges) Next {
	x := Next{Method: string(r.Method), Lane: m.Lane, Lanes: []float64{m.Lane}, Frets: r.Frets, Passes: 1, Reason: Reason{For: Retake, Odd: []int{m.Fret}}}
	switch s := r.Method.Spec(); {
	case s.SetUp == reading.Frame:
		x.Frets = []int{m.Fret}
	case s.Frets > 1:
		x.Frets = slices.Sorted(slices.Values(r.Frets)) // a row may name them from either end
		x.Reach = x.Frets[1] - x.Frets[0]
	default:
		x.Frets = n.beside(m.Fret)
		free := g.withoutSetUp()
		switch {
		case free.WholeLane:
			x.Method = string(free.Method)
		case !s.Gap:
			x.OwnPass = true
		case free.Rank > 0:
			x.Method = string(free.Method)
			if m.ValueMM > m.ExpectedMM { // a wide gap, so a low fret: it shows under the rocker's end
				x.Frets = n.endingAt(m.Fret)
			}
		default: // a long edge lies along the whole lane
			x.Frets = n.all()
			x.OwnPass = true
		}
	}
	return x
}
