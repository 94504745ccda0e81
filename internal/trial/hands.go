package trial

import (
	"math/rand/v2"
	"slices"

	"ringtrue/internal/filing"
	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Hands are how moves are carried out: by a hand that knows nothing but them.
type Hands struct {
	filing.Scatter
	filing.Hand
}

// UsualHands are a steady hand and a bare eye at a neck's wire, with paper that
// wears to a fifth of what it took off when new. They go to the flat that lacks most.
func (n *Neck) UsualHands() Hands {
	h := Hands{filing.UsualScatter(), filing.Usual(n.Model.Wire.Crown(), 8)}
	h.WornMM, h.WornTo, h.MaxStrokes, h.LookSeldom = paperMM, 0.2, 6000, false
	h.Worst = true
	return h
}

// paperMM is the way after which most of what paper can lose is gone. From memory.
const paperMM = 20e3

// Crowns are a copy of the true heights, [lane][fret].
func (t *Truth) Crowns() [][]float64 {
	z := make([][]float64, len(t.Z))
	for k := range z {
		z[k] = slices.Clone(t.Z[k])
	}
	return z
}

// Press brings frets into line with the others, as a press and glue do: as far off
// the lane's line as their neighbours.
func (t *Truth) Press(z [][]float64, frets []int) error {
	for k := range z {
		var x, off []float64
		for i, f := range t.Frets {
			if !slices.Contains(frets, f) {
				x, off = append(x, t.X[k][i]), append(off, z[k][i]-t.Shape[k][i])
			}
		}
		a, b, err := straight.ReferenceLine(x, off)
		if err != nil {
			return err
		}
		for i := range off {
			off[i] -= a + b*x[i]
		}
		for i, f := range t.Frets {
			if slices.Contains(frets, f) {
				at := t.X[k][i]
				z[k][i] = t.Shape[k][i] + a + b*at + level.InLine(x, off, at)
			}
		}
	}
	return nil
}

// TakeOff takes moves off crowns: in each lane the tool lies on the crowns from
// from_fret to to_fret, half-way to the next on either side; at the neck's ends
// it goes on. What the shape adds, a straight tool meets as it stands there. It gives
// what the hand did.
func (n *Neck) TakeOff(z [][]float64, moves []findings.Move, h Hands, r *rand.Rand) filing.Done {
	job := filing.Job{}
	for k, lane := range n.Truth.Lanes {
		d := make([]float64, len(z[k]))
		for i := range d {
			d[i] = z[k][i] - n.Truth.Shape[k][i]
		}
		job.Lanes = append(job.Lanes, level.Lane{Lane: lane, Frets: n.Truth.Frets, X: n.Truth.X[k], D: d})
		job.StandMM = append(job.StandMM, n.Layout.UnderBeam(lane, n.Truth.Frets))
	}
	m := n.movesOf(moves, h.Hand)
	done := job.Carry(&m, h.Hand, h.Scatter, nil, r)
	for k := range z {
		for i := range z[k] {
			z[k][i] -= done.TakenMM[k][i]
		}
	}
	return done
}

// movesOf reads moves as a hand does.
func (n *Neck) movesOf(moves []findings.Move, h filing.Hand) (out filing.Moves) {
	for _, m := range moves {
		if m.Tool == findings.File {
			out.Spots = append(out.Spots, n.spotOf(m, h))
			continue
		}
		run := filing.Run{FirstFret: m.FromFret, LastFret: m.ToFret, PressFret: m.PressAtFret}
		for _, lane := range m.Lanes {
			run.Lanes = append(run.Lanes, n.laneRunOf(m, lane, h))
		}
		out.Runs = append(out.Runs, run)
	}
	return out
}

// spotOf is a fret filed alone, even from the first flat to the last.
func (n *Neck) spotOf(m findings.Move, h filing.Hand) filing.Spot {
	s := filing.Spot{Fret: m.FromFret}
	first, last := m.Until[0], m.Until[len(m.Until)-1]
	from, to := n.Truth.laneOf(first.Lane), n.Truth.laneOf(last.Lane)
	for a := from; a <= to; a++ {
		width := first.FlatMM
		if to > from {
			width += (last.FlatMM - first.FlatMM) * float64(a-from) / float64(to-from)
		}
		s.Flats = append(s.Flats, filing.Flat{Fret: m.FromFret, Lane: a, WidthMM: width, DepthMM: filing.Depth(h.RadiusMM, width)})
	}
	return s
}

// laneRunOf is a beam's run along one lane. A lane without flats of its own takes
// those between its neighbours'.
func (n *Neck) laneRunOf(m findings.Move, lane float64, h filing.Hand) filing.LaneRun {
	x := n.Truth.X[n.Truth.laneOf(lane)]
	first, last := n.Truth.place(m.FromFret), n.Truth.place(m.ToFret)
	l := filing.LaneRun{Lane: n.Truth.laneOf(lane)}
	l.FromMM, l.ToMM = filing.Between(x, first, last, h.SweepMM)
	for _, u := range m.Until {
		if u.Lane == lane {
			l.Tells = append(l.Tells, filing.Flat{Fret: u.Fret, Lane: l.Lane, WidthMM: u.FlatMM, DepthMM: filing.Depth(h.RadiusMM, u.FlatMM)})
		}
	}
	return l
}

// Beamed are readings of crowns by beam, some passes a lane.
func (n *Neck) Beamed(z [][]float64, passes int, u float64, r *rand.Rand) []reading.Reading {
	var out []reading.Reading
	for p := range passes {
		for k, lane := range n.Truth.Lanes {
			a, b := 0.3+0.1*r.NormFloat64(), 0.0005*r.NormFloat64()
			for i, f := range n.Truth.Frets {
				out = append(out, reading.Reading{Line: len(out) + 2, Method: reading.Beam, Lane: lane, Frets: []int{f}, U: u, UGiven: true,
					Pass: passName(p), Value: z[k][i] + a + b*n.Truth.X[k][i] + u*r.NormFloat64()})
			}
		}
	}
	return out
}

// Level reports whether every lane of crowns keeps the limit.
func (n *Neck) Level(z [][]float64) (bool, error) {
	for k := range z {
		d := make([]float64, len(z[k]))
		for i := range d {
			d[i] = z[k][i] - n.Truth.Shape[k][i]
		}
		v, err := straight.Zone(n.Truth.X[k], d)
		if err != nil || v.WidthMM > n.Model.Level.Zone {
			return false, err
		}
	}
	return true, nil
}
