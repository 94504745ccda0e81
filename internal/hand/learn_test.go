package hand

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
)

// drawn is a hand's necks: four frets filed alone on each, aimed at 20 µm by the
// strokes that the usual file takes, read to so much.
func drawn(theta, uMM float64, necks int, r *rand.Rand) [][]Spot {
	var out [][]Spot
	for range necks {
		b := neckSD * r.NormFloat64()
		var spots []Spot
		for range 4 {
			s := Spot{Strokes: 5 + r.IntN(20), Crowns: 6, RadiusMM: 1.2, StripMM: 8, Even: 1, UMM: uMM}
			s.DepthMM = s.depth(math.Exp(theta+b+entrySD*r.NormFloat64())) + uMM*r.NormFloat64()
			spots = append(spots, s)
		}
		out = append(out, spots)
	}
	return out
}

// The 90 % interval of the next depth holds the truth as often as it says, of hands
// drawn from the model with any θ of the prior; so does θ's.
func TestLearn_RangeHoldsTheTruth(t *testing.T) {
	prior := UsualRemoval(File)
	const hands = 200
	for _, c := range []struct {
		necks      int
		sd, factor float64 // by an earlier program in another language, its depths drawn otherwise
	}{{1, 0.32, 1.71}, {3, 0.24, 1.63}, {10, 0.10, 1.55}} {
		r := rand.New(rand.NewPCG(15, uint64(c.necks)))
		next, held, sum := 0, 0, 0.0
		for range hands {
			theta := prior.LogQ + prior.SD*r.NormFloat64()
			got := Learn(prior, drawn(theta, 0.003, c.necks, r))
			if math.Abs(got.LogQ-theta) < z90*got.SD {
				held++
			}
			sum += got.SD
			s := Spot{Strokes: 12, Crowns: 6, RadiusMM: 1.2, StripMM: 8, Even: 1, UMM: 0.003}
			d := s.depth(math.Exp(theta + neckSD*r.NormFloat64() + entrySD*r.NormFloat64()))
			if _, low, high := got.Next(s); low < d && d < high {
				next++
			}
		}
		t.Logf("%d necks: next depth held %.1f %%, θ %.1f %%, mean sd %.3f", c.necks, 100*float64(next)/hands, 100*float64(held)/hands, sum/hands)
		if next < hands*85/100 || next > hands*95/100 {
			t.Errorf("%d necks: the 90 %% range of the next depth held the truth in %d of %d", c.necks, next, hands)
		}
		if held < hands*83/100 || held > hands*96/100 {
			t.Errorf("%d necks: the 90 %% range of θ held the truth in %d of %d", c.necks, held, hands)
		}
		casetest.Near(t, "sd of θ", sum/hands, c.sd, 0.07)
		casetest.Near(t, "next depth, × or ÷", math.Exp(z90*Removal{SD: sum / hands}.nextSD()/1.5), c.factor, 0.08)
	}
}

// Depths below nothing count: without them a stroke seems to take more.
func TestLearn_SmallDepthsAreKept(t *testing.T) {
	prior := UsualRemoval(File)
	all, cut := 0.0, 0.0
	const hands = 60
	for h := range hands {
		r := rand.New(rand.NewPCG(7, uint64(h)))
		theta := prior.LogQ
		necks := drawn(theta, 0.008, 10, r)
		all += Learn(prior, necks).LogQ - theta
		for j := range necks {
			var large []Spot
			for _, s := range necks[j] {
				if s.DepthMM > 2*s.UMM {
					large = append(large, s)
				}
			}
			necks[j] = large
		}
		cut += Learn(prior, necks).LogQ - theta
	}
	t.Logf("mean error of log q: all %.3f, large ones only %.3f", all/hands, cut/hands)
	casetest.Near(t, "mean error of log q", all/hands, 0, 0.06)
	if cut/hands < all/hands+0.05 {
		t.Errorf("leaving small depths out moves log q by %.3f only: the case shows nothing", (cut-all)/hands)
	}
}

// Without readings the prior stays; one neck is worth more than the prior.
func TestLearn_Prior(t *testing.T) {
	prior := UsualRemoval(Beam)
	if got := Learn(prior, nil); got.LogQ != prior.LogQ || math.Abs(got.SD-priorSD) > 1e-12 || got.Necks != 0 {
		t.Errorf("of nothing: %+v", got)
	}
	if got := Learn(prior, [][]Spot{{{Strokes: 0, Crowns: 6, UMM: 0.003}}}); got.Spots != 0 {
		t.Errorf("an entry without strokes counts: %+v", got)
	}
	d := prior
	_, low, high := d.Next(Spot{Strokes: 12, Crowns: 6, RadiusMM: 1.2, StripMM: 8, Even: 1})
	casetest.Near(t, "a next depth of no necks, × or ÷", math.Sqrt(high/low), 3.6, 0.1)
}

// All depths nothing: log q goes down and stays finite.
func TestLearn_NothingCameOff(t *testing.T) {
	prior := UsualRemoval(File)
	spots := []Spot{{Strokes: 40, Crowns: 6, RadiusMM: 1.2, StripMM: 8, Even: 1, DepthMM: -0.004, UMM: 0.003}, {Strokes: 40, Crowns: 6, RadiusMM: 1.2, StripMM: 8, Even: 1, UMM: 0.003}}
	got := Learn(prior, [][]Spot{spots})
	if !(got.LogQ < prior.LogQ-1) || math.IsInf(got.LogQ, 0) || math.IsNaN(got.LogQ) || !(got.SD > 0) {
		t.Errorf("nothing came off: %+v", got)
	}
}

// Paper that takes half as much after 10 m is called worn, steady paper is not.
func TestLearn_WornPaper(t *testing.T) {
	for _, c := range []struct {
		perM float64
		sure bool
	}{{-0.069, true}, {0, false}} {
		r := rand.New(rand.NewPCG(3, 3))
		prior := UsualRemoval(Beam)
		var necks [][]Spot
		for range 8 {
			var spots []Spot
			for k := range 5 {
				s := Spot{Strokes: 60, Crowns: 40, RadiusMM: 1.2, StripMM: 8, Even: 1, UMM: 0.001, SlidMM: 7200 * (float64(k) + 0.5)}
				s.DepthMM = s.depth(math.Exp(prior.LogQ + c.perM*s.SlidMM/1e3 + entrySD*r.NormFloat64()))
				spots = append(spots, s)
			}
			necks = append(necks, spots)
		}
		if got := Learn(prior, necks).Worn; got.Sure() != c.sure {
			t.Errorf("%g a metre: %+v, sure %v", c.perM, got, got.Sure())
		}
	}
}
