package sheet

import (
	"ringtrue/internal/answer"
	"ringtrue/internal/num"
	"ringtrue/internal/study"
	"strings"
	"testing"
)

func studySample(strings int, zonesMM ...float64) *answer.PlayStudyAnswer {
	s := &answer.PlayStudyAnswer{Neck: "Heron 22", JudgeBy: "firm", ActionFret: 12, Necks: 1000, Seed: 1, ZoneLimitMM: 0.03}
	at := func(base, zone float64, none bool) []study.Level {
		var out []study.Level
		for k, share := range []float64{50, 90, 95} {
			l := study.Level{SharePct: share, ActionMM: num.Some(base + zone*(4+float64(k)))}
			if none && k == 2 {
				l.ActionMM = num.Opt{} // nineteen of twenty clear at no action
			}
			out = append(out, l)
		}
		return out
	}
	for n := range strings {
		s.Strings = append(s.Strings, study.StringReport{String: n + 1, Pitch: "E4", PerfectActionMM: 1.2 + 0.05*float64(n), ActionMM: 1.1 + 0.15*float64(n)})
	}
	for _, z := range zonesMM {
		zone := study.Zone{ZoneMM: z, Raise: at(0, z, false)}
		for n, x := range s.Strings {
			zone.Strings = append(zone.Strings, study.Levels{String: n + 1, Levels: at(x.PerfectActionMM, z, n == 1 && z > 0.05)})
		}
		s.Zones = append(s.Zones, zone)
	}
	return s
}

func TestStudy_Golden(t *testing.T) {
	p, err := Study(studySample(6, 0.01, 0.03, 0.06), Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "study.svg")
}

// From one string to twelve the panels keep clear of each other, one zone or
// many, and every string has its panel.
func TestStudy_AnyNeck(t *testing.T) {
	for _, n := range []int{1, 4, 7, 8, 12} {
		for _, zones := range [][]float64{{0.01}, {0.01, 0.03, 0.06}} {
			s := studySample(n, zones...)
			s.Buys = &study.Buys{SharePct: 90, FromZoneMM: 0.01, ToZoneMM: 0.06, RaiseMM: 0.4, URaiseMM: 0.01, PaperMM: 0.033, PaperBuysMM: 0.266, UPaperBuysMM: 0.007}
			p, err := Study(s, Micrometres)
			if err != nil {
				t.Fatalf("%d strings: %v", n, err)
			}
			clean(t, p, 1.13)
			panels := 0
			for _, b := range p.TextBoxes() {
				if strings.HasPrefix(b.Text, "String ") {
					panels++
				}
			}
			if panels != n {
				t.Errorf("%d strings have %d panels", n, panels)
			}
		}
	}
}
