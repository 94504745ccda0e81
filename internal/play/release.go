package play

// Released is a note let go: the string's start over the crowns beyond its stop.
type Released struct {
	Barrier  *Barrier
	StartMM  []float64 // each mode's share of the shape it is released in
	Frets    []int     // of the crowns, in order
	XMM      []float64 // the crowns' places from the stop
	FloorMM  []float64 // their heights above the rest line: negative
	HeightMM float64   // of the triangle, whichever way it goes
}

// Span is what sounds of the string when it is stopped there.
func (c *Case) Span(stop Stop) Span {
	decay := c.Decay
	if c.Stopped != nil && stop.Fret > 0 {
		decay = c.Stopped
	}
	return Span{LengthMM: stop.LengthMM, TensionN: c.String.TensionN, MassGPerM: c.String.MassGPerM,
		StiffnessNMM2: c.String.StiffnessNMM2, Decay: decay}
}

// Release lets the note of stop i go from a pluck's triangle: away from the board,
// or towards it, no deeper than the first crown it meets allows. Errors as NewModes.
func (c *Case) Release(j Judged, i int, p Pluck, way Way) (Released, error) {
	stop := j.Stops[i]
	modes, err := NewModes(c.Span(stop))
	if err != nil {
		return Released{}, err
	}
	r := Released{StartMM: modes.Triangle(p.AtMM), HeightMM: p.HeightMM}
	var gaps []float64
	for _, crown := range c.Lane.Crowns[stop.Beyond:] {
		gap := stop.Gap(crown, j.Rest)
		gaps = append(gaps, gap)
		r.Frets, r.XMM, r.FloorMM = append(r.Frets, crown.Fret), append(r.XMM, crown.XMM-stop.XMM), append(r.FloorMM, -gap)
	}
	r.Barrier = NewBarrier(modes, r.XMM)
	if way == Towards {
		r.HeightMM = r.Barrier.Toward(r.StartMM, p.HeightMM, gaps)
	}
	for n := range r.StartMM {
		r.StartMM[n] *= way.sign() * r.HeightMM
	}
	return r, nil
}
