package listen

import (
	"math"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
)

// Played is what the book keeps of a report: each figure to a tenth of what can be
// heard of it, so that a neck takes a few kilobytes.
func (out *Report) Played() book.Played {
	p := book.Played{Neck: out.Neck, A4Hz: out.A4Hz, Wanted: out.Expected, Notes: []book.HeardNote{}, Strings: []book.HeardString{}}
	for _, f := range out.Flaws {
		p.Flaws = append(p.Flaws, string(f))
	}
	for _, n := range out.Notes {
		kept := book.HeardNote{String: n.String, Fret: n.Fret, Cents: to(n.Cents, 2), UCents: to(n.UCents, 3), CentsAtS: [2]float64{to(n.HzAtS[0], 3), to(n.HzAtS[1], 3)},
			GlideCents: optTo(n.GlideCents, 2), Inharmonicity: digits(n.Inharmonicity), UInharmonicity: digits(n.UB), RingS: optTo(n.RingS, 3), RingLeastS: to(n.RingLeastS, 3), TenDBS: optTo(n.TenDBS, 3)}
		if len(n.Decays) > 0 {
			kept.DecayPerS = digits(num.Some(n.Decays[0].RatePerS))
		}
		p.Notes = append(p.Notes, kept)
	}
	for _, s := range out.Strings {
		kept := book.HeardString{String: s.String}
		if m := s.Saddle; m != nil {
			kept.Frets, kept.LeftCents = m.Frets, num.Some(to(m.LeftCents, 3))
			kept.SaddleMM, kept.USaddleMM = num.Some(to(m.SaddleMM, 4)), num.Some(to(m.USaddleMM, 4))
		}
		if law := s.Damping; law != nil {
			kept.Base, kept.Square = digits(num.Some(law.Base)), digits(num.Some(law.Square))
		}
		p.Strings = append(p.Strings, kept)
	}
	return p
}

// to rounds to so many places.
func to(v float64, places int) float64 {
	scale := math.Pow(10, float64(places))
	return math.Round(v*scale)/scale + 0
}

func optTo(v num.Opt, places int) num.Opt {
	if x, ok := v.Get(); ok {
		return num.Some(to(x, places))
	}
	return v
}

// digits rounds to four figures.
func digits(v num.Opt) num.Opt {
	x, ok := v.Get()
	if !ok || x == 0 {
		return v
	}
	return num.Some(to(x, 3-int(math.Floor(math.Log10(math.Abs(x))))))
}
