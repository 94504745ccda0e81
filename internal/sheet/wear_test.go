package sheet

import (
	"strings"
	"testing"

	"ringtrue/internal/geometry"
)

// serviced is a neck that came back: two lanes worn at the first frets, one fret
// come up, one crown raised, one in doubt, one not known.
func serviced(l *geometry.Layout) Wear {
	s := Wear{
		Neck: "0412, Heron 22", Stages: []string{"levelled, 2024-03-12", "serviced, 2026-03-14"}, Verdict: "worn", Confidence: 0.95, Guard: 3.55,
		ByFret:     []FretsNote{{Fret: 1, Finding: "worn under strings 2 and 3", Advice: "level while enough crown is left"}},
		Unknown:    []FretsPlace{{Fret: 22, Lane: 6}},
		Bow:        "relief changed by +0.080 ± 0.002 mm, taken out",
		LeastCrown: "least crown of 0.90 mm reached: 2031 to 2044",
		Warnings:   []string{"the readings of levelled carry no date"},
	}
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		for lane := 1.0; lane <= float64(l.Strings()); lane++ {
			c := WearCrown{Fret: f, Lane: lane, ChangeMM: 0.001 * float64((f*7+int(lane)*3)%9-4), UMM: 0.004, Verdict: "unchanged"}
			switch {
			case f == 22 && lane == 6:
				continue
			case f <= 3 && (lane == 2 || lane == 3):
				c.ChangeMM, c.Verdict = -0.05+0.01*float64(f), "worn"
			case f == 14:
				c.ChangeMM, c.Verdict = 0.03, "moved"
			case f == 9 && lane == 5:
				c.ChangeMM, c.Verdict = 0.02, "raised"
			case f == 17 && lane == 1:
				c.ChangeMM, c.Verdict = -0.012, "in doubt"
			}
			s.Crowns = append(s.Crowns, c)
		}
	}
	return s
}

func TestWear_Golden(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	for name, paper := range map[string]Paper{"wear_a4.svg": A4, "wear_phone.svg": Phone} {
		p, err := serviced(l).Page(l, paper, Micrometres)
		if err != nil {
			t.Fatal(err)
		}
		clean(t, p, 1)
		golden(t, p, name)
		var b strings.Builder
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		for _, words := range []string{"6 worn, 6 moved, 1 raised, 1 in doubt, 117 unchanged", "2031 to 2044", "moved with its fret"} {
			if !strings.Contains(strings.Join(strings.Fields(b.String()), " "), words) {
				t.Errorf("%s does not say %q", name, words)
			}
		}
	}
}

func TestWear_Nothing(t *testing.T) {
	if _, err := (Wear{Neck: "x", Verdict: "unchanged"}).Page(testNeck(t, 6, 22, 0), A4, Micrometres); err == nil {
		t.Error("a sheet of nothing was drawn")
	}
}
