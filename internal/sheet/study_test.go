package sheet

import (
	"strings"
	"testing"
)

func studySample(strings int) Study {
	s := Study{Neck: "Heron 22", Touch: "firm", ActionFret: 12, Necks: 1000, Seed: 1, LimitMM: 0.03, ZonesMM: []float64{0.01, 0.03, 0.06},
		Sentence: "For 90 of 100 necks to ring clear, the string that needs most must stand 0.4 mm higher at a zone of 0.06 mm than at one of 0.01 mm."}
	at := func(base, zone float64, none bool) []StudyMark {
		var out []StudyMark
		for k, share := range []float64{50, 90, 95} {
			mm := base + zone*(4+float64(k))
			m := StudyMark{SharePct: share, MM: &mm}
			if none && k == 2 {
				m.MM = nil // nineteen of twenty clear at no action
			}
			out = append(out, m)
		}
		return out
	}
	for n := range strings {
		p := StudyPanel{String: n + 1, Pitch: "E4", PerfectMM: 1.2 + 0.05*float64(n), SetMM: 1.1 + 0.15*float64(n)}
		for _, z := range s.ZonesMM {
			p.Add(at(p.PerfectMM, z, n == 1 && z > 0.05))
		}
		s.Strings = append(s.Strings, p)
	}
	for _, z := range s.ZonesMM {
		s.Raise.Add(at(0, z, false))
	}
	return s
}

func TestStudy_Golden(t *testing.T) {
	p, err := studySample(6).Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "study.svg")
}

// From one string to twelve the panels keep clear of each other, one zone or
// many, and every string has its panel.
func TestStudy_AnyNeck(t *testing.T) {
	for _, n := range []int{1, 4, 7, 8, 12} {
		for _, zones := range []int{1, 3} {
			s := studySample(n)
			s.ZonesMM = s.ZonesMM[:zones]
			for i := range s.Strings {
				s.Strings[i].marks = s.Strings[i].marks[:zones]
			}
			s.Raise.marks = s.Raise.marks[:zones]
			p, err := s.Page()
			if err != nil {
				t.Fatalf("%d strings: %v", n, err)
			}
			clean(t, p, 1)
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
