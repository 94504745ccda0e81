package sheet

import (
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/wear"
)

// serviced is a neck that came back: two lanes worn at the first frets, one fret
// come up, one crown raised, one in doubt, one not known.
func serviced(l *geometry.Layout) *answer.BookCompareAnswer {
	day := func(year, day int) time.Time { return time.Date(year, 3, day, 0, 0, 0, 0, time.UTC) }
	s := &answer.BookCompareAnswer{
		Serial: "0412", Model: "Heron 22", From: answer.ComparedStage{Stage: "levelled", Date: day(2024, 12)}, To: answer.ComparedStage{Stage: "serviced", Date: day(2026, 14)},
		Verdict: "worn", Confidence: 0.95, CriticalValue: 3.55,
		Frets:      []answer.FretChange{{Fret: 1, Finding: "worn under strings 2 and 3", Advice: "level while enough crown is left"}},
		Open:       []answer.Undetermined{{Fret: 22, Lane: 6}},
		Bow:        &answer.BowChange{MM: 0.080, UMM: 0.002},
		LeastCrown: &answer.LeastCrownYear{LeastMM: 0.90, SoonestYear: num.Some(2031), LatestYear: num.Some(2044)},
		Warnings:   []string{"the readings of levelled carry no date"},
	}
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		for lane := 1.0; lane <= float64(l.Strings()); lane++ {
			c := answer.CrownChange{Change: wear.Change{Fret: f, Lane: lane, MM: 0.001 * float64((f*7+int(lane)*3)%9-4), UMM: 0.004, Verdict: wear.Unchanged}}
			switch {
			case f == 22 && lane == 6:
				continue
			case f <= 3 && (lane == 2 || lane == 3):
				c.MM, c.Verdict = -0.05+0.01*float64(f), "worn"
			case f == 14:
				c.MM, c.Verdict = 0.03, "moved"
			case f == 9 && lane == 5:
				c.MM, c.Verdict = 0.02, "raised"
			case f == 17 && lane == 1:
				c.MM, c.Verdict = -0.012, "in doubt"
			}
			s.Crowns = append(s.Crowns, c)
		}
	}
	return s
}

func TestWear_Golden(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	for name, paper := range map[string]Paper{"wear_a4.svg": A4, "wear_phone.svg": Phone} {
		p, err := Compare(serviced(l), l, paper, Micrometres)
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
	if _, err := Compare(&answer.BookCompareAnswer{Serial: "x", Verdict: "unchanged"}, testNeck(t, 6, 22, 0), A4, Micrometres); err == nil {
		t.Error("a sheet of nothing was drawn")
	}
}
