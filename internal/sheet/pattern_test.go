package sheet

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// patternSample is a pattern of six lanes with one fret that stands high, a
// low crown and one that nobody knows.
func patternSample(frets int) Pattern {
	rng := rand.New(rand.NewPCG(8, 14))
	s := Pattern{
		Name: "Pattern of 500 necks, seated", Words: "2024-01-08 to 2025-12-30", Lanes: []float64{1, 2, 3, 4, 5, 6},
		Findings: []string{"fret 14 sits 0.021 mm high since neck 0231 (2024-12), with wire lot7; 0.000 mm before"},
		Chance:   "high or low on average by more than chance",
	}
	for f := 1; f <= frets; f++ {
		r := PatternFret{Fret: f, Mean: 0.0002 * rng.NormFloat64(), Scatter: 0.0031}
		for _, lane := range s.Lanes {
			c := PatternCrown{Fret: f, Lane: lane, Mean: 0.0004 * rng.NormFloat64(), Scatter: 0.0062}
			switch {
			case f == 14:
				c.Mean, c.Side = c.Mean+0.0112, 1
			case f == 3 && lane == 6:
				c.Mean, c.Side = -0.0042, -1
			case f == 9 && lane == 2:
				continue
			}
			s.Crowns = append(s.Crowns, c)
		}
		if f == 14 {
			r.Mean, r.Scatter, r.Side = 0.0112, 0.0107, 1
		}
		s.Frets = append(s.Frets, r)
	}
	return s
}

func TestPattern_Golden(t *testing.T) {
	p, err := patternSample(22).Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
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
	p, err := s.Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
}

func TestPattern_Odd(t *testing.T) {
	if _, err := (Pattern{Name: "none"}).Page(); !errors.Is(err, ErrEmpty) {
		t.Errorf("no crown: %v", err)
	}
	s := patternSample(3)
	s.Frets[1].Mean, s.Frets[1].Scatter = math.NaN(), math.NaN()
	s.Crowns[0].Scatter = math.NaN()
	p, err := s.Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
}
