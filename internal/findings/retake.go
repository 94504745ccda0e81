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
			return o.Method == x.Method && o.Lane == x.Lane && (reading.FretsOf(reading.Method(x.Method)) == 1 || slices.Equal(o.Frets, x.Frets))
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

// retake proposes what tells whether a reading that was set aside was misread:
// the surest gauge for a single fret that the maker uses.
func (n *Neck) retake(m heights.Misread, r reading.Reading, g gauges) Next {
	x := Next{Method: string(r.Method), Lane: m.Lane, Lanes: []float64{m.Lane}, Frets: r.Frets, Passes: 1, Reason: Reason{For: Retake, Odd: []int{m.Fret}}}
	switch r.Method {
	case reading.Probe:
		x.Frets = []int{m.Fret}
	case reading.Bridge, reading.Rocker:
		x.Frets = slices.Sorted(slices.Values(r.Frets)) // a row may name them from either end
		x.Reach = x.Frets[1] - x.Frets[0]
	case reading.Beam, reading.Edge:
		x.Frets = n.beside(m.Fret)
		switch {
		case g.uses(reading.Bridge):
			x.Method = string(reading.Bridge)
		case r.Method == reading.Beam:
			x.OwnPass = true
		case g.uses(reading.Rocker):
			x.Method = string(reading.Rocker)
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
