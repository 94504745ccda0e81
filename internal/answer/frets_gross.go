package answer

import (
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/plausible"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// withoutGross estimates crowns from readings. Where a gross one is not set
// aside by the estimate itself, as in a pass of a few readings, the rest is
// estimated again without it, and it is one of the estimate's misreads.
func withoutGross(m neck.Model, l *geometry.Layout, readings []reading.Reading, from func(heights.Input) (*heights.Estimate, error)) (*heights.Estimate, error) {
	in := heights.Input{Layout: l, Readings: readings, CrownRadiusMM: m.Wire.CrownRadius}
	e, err := from(in)
	if err != nil {
		return nil, err
	}
	gross := plausible.Gross(l, m, readings)
	missed := func(o plausible.Odd) bool {
		return !slices.ContainsFunc(e.Misreads, func(x heights.Misread) bool { return x.Reading == o.Reading })
	}
	if !slices.ContainsFunc(gross, missed) {
		return e, nil
	}
	in.Readings = slices.Clone(readings)
	for _, o := range gross {
		in.Readings[o.Reading] = reading.Reading{Method: reading.Arch} // keeps the others' places, and tells of no crown
	}
	if e, err = from(in); err != nil {
		return nil, err
	}
	for _, o := range gross {
		e.Misreads = append(e.Misreads, misreadOf(o, readings))
		for i, u := range e.Undetermined {
			if o.Fret == u.Fret && o.Lane == u.Lane {
				e.Undetermined[i].Why = text.ReadingLooksWrong
			}
		}
	}
	return e, nil
}

// withGross adds to the rechecks of an estimate what looks wrong beside the
// readings taken before it, so that a pass of a few readings has its misreads
// named too. In order of taking; none twice.
func withGross(list []Recheck, m neck.Model, l *geometry.Layout, readings []reading.Reading) []Recheck {
	named := func(r reading.Reading) bool {
		return slices.ContainsFunc(list, func(x Recheck) bool {
			return x.Line == r.Line && x.Method == string(r.Method) && x.Pass == r.Pass && x.Lane == r.Lane && x.ReadingMM == r.Value
		})
	}
	gross, open := plausible.Sort(l, m, readings)
	for _, o := range slices.Concat(gross, open) {
		if r := readings[o.Reading]; !named(r) {
			list = append(list, recheck(misreadOf(o, readings), r))
		}
	}
	return list
}

// misreadOf is what looks wrong as the estimate names it.
func misreadOf(o plausible.Odd, readings []reading.Reading) heights.Misread {
	m := heights.Misread{Reading: o.Reading, Fret: o.Fret, Lane: o.Lane, ValueMM: o.ValueMM, ExpectedMM: o.ExpectedMM,
		Why: text.OffItsPass(o.ValueMM - o.ExpectedMM)}
	var others [][]int
	for _, i := range o.Either {
		others = append(others, readings[i].Frets)
	}
	if len(others) > 0 {
		m.Why = text.Contradicts(others)
	}
	return m
}

func recheck(m heights.Misread, r reading.Reading) Recheck {
	return Recheck{Fret: m.Fret, Lane: m.Lane, ReadingMM: m.ValueMM, ExpectedMM: m.ExpectedMM, Why: m.Why,
		Method: string(r.Method), Pass: r.Pass, Line: r.Line}
}
