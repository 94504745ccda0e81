package job

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/plausible"
	"ringtrue/internal/reading"
)

// withGross adds to the rechecks of an estimate what looks wrong beside the
// readings taken before it, so that a pass of a few readings has its misreads
// named too. In order of taking; none twice.
func withGross(list []Recheck, m neck.Model, l *geometry.Layout, readings []reading.Reading) []Recheck {
	named := func(r reading.Reading) bool {
		return slices.ContainsFunc(list, func(x Recheck) bool {
			return x.Line == r.Line && x.Method == string(r.Method) && x.Pass == r.Pass && x.Lane == r.Lane && x.ReadingMM == r.Value
		})
	}
	w := plausible.Of(l, m, readings)
	for _, o := range slices.Concat(w.Gross(), w.Open()) {
		if r := readings[o.Reading]; !named(r) {
			list = append(list, Recheck{
				Fret: o.Fret, Lane: o.Lane, ReadingMM: o.ValueMM, ExpectedMM: o.ExpectedMM, Why: whyOdd(o, readings),
				Method: string(r.Method), Pass: r.Pass, Line: r.Line,
			})
		}
	}
	return list
}

func whyOdd(o plausible.Odd, readings []reading.Reading) string {
	if len(o.Either) > 0 {
		var others []string
		for _, i := range o.Either {
			others = append(others, "fret "+fretsText(readings[i].Frets))
		}
		return fmt.Sprintf("it and %s contradict each other, and too few readings follow to say which is wrong. Read them again", strings.Join(others, ", "))
	}
	off := o.ValueMM - o.ExpectedMM
	return fmt.Sprintf("is %+.3f mm off what its pass says there. Read it again: if it repeats, it is real", off)
}

// fretsText is "7", or "6-7-8".
func fretsText(frets []int) string {
	var b strings.Builder
	for i, f := range frets {
		if i > 0 {
			b.WriteByte('-')
		}
		fmt.Fprint(&b, f)
	}
	return b.String()
}
