package sheet

import (
	"errors"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// patternSample is a pattern of six lanes with one fret that stands high, a
// low crown and one that nobody knows.
func patternSample(frets int) *answer.PatternAnswer {
	rng := rand.New(rand.NewPCG(8, 14))
	s := &answer.PatternAnswer{
		Stage: "seated", From: "2024-01-08", To: "2025-12-30",
		Findings: []string{"fret 14 sits 0.021 mm high since neck 0231 (2024-12), with wire lot7; 0.000 mm before"},
	}
	s.Necks, s.Lanes = 500, []float64{1, 2, 3, 4, 5, 6}
	for f := 1; f <= frets; f++ {
		r := drift.FretLevel{Fret: f, Level: drift.Level{Mean: num.Some(0.0002 * rng.NormFloat64()), SD: num.Some(0.0031)}}
		for _, lane := range s.Lanes {
			c := drift.CrownLevel{Fret: f, Lane: lane, Level: drift.Level{Mean: num.Some(0.0004 * rng.NormFloat64()), SD: num.Some(0.0062)}}
			switch {
			case f == 14:
				c.Mean, c.Standing = num.Some(c.Mean.Or(0)+0.0112), drift.High
			case f == 3 && lane == 6:
				c.Mean, c.Standing = num.Some(-0.0042), drift.Low
			case f == 9 && lane == 2:
				continue
			}
			s.Crowns = append(s.Crowns, c)
		}
		if f == 14 {
			r.Mean, r.SD, r.Standing = num.Some(0.0112), num.Some(0.0107), drift.High
		}
		s.Frets = append(s.Frets, r)
	}
	return s
}

func TestPattern_Golden(t *testing.T) {
	p, err := patternMarked(patternSample(22), "high or low on average by more than chance", Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "pattern.svg")
}

// Many frets, lanes and findings still fit the page.
func TestPattern_Large(t *testing.T) {
	s := patternSample(60)
	for range 30 {
		s.Findings = append(s.Findings, s.Findings[0])
	}
	for lane := 7; lane <= 18; lane++ {
		s.Lanes = append(s.Lanes, float64(lane))
	}
	p, err := Pattern(s, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
}

func TestPattern_Odd(t *testing.T) {
	if _, err := Pattern(&answer.PatternAnswer{}, Micrometres); !errors.Is(err, ErrEmpty) {
		t.Errorf("no crown: %v", err)
	}
	s := patternSample(3)
	s.Frets[1].Mean, s.Frets[1].SD = num.Opt{}, num.Opt{}
	s.Crowns[0].SD = num.Opt{}
	p, err := Pattern(s, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
}
