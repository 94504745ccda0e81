package sheet

import (
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/setup"
	"ringtrue/internal/text"
)

// setupSample is a neck of so many strings with saddle and slots to take down.
func setupSample(strings int) *answer.SetupAnswer {
	s := &setup.Sheet{ReliefMM: 0.12, Rod: true, Over: 12}
	a := &answer.SetupAnswer{Neck: "Heron 22", JudgeBy: "firm", Notes: map[play.Verdict]int{play.Clear: 126, play.Grazes: 12}, Sheet: s}
	for i := range strings {
		v := float64(i)
		c := setup.Cut{Measured: setup.Measured{String: i + 1, FirstMM: num.Some(0.6), ActionMM: num.Some(2 + v/10)}, ActionWantedMM: 1.4 + v/10,
			Slot:     &setup.End{IsMM: 0.44, WantedMM: 0.35, TakeMM: 0.09, UMM: 0.01, ShortMM: 0.04, NowMM: 0.05, Deed: setup.Take},
			Saddle:   setup.End{IsMM: 3.35 + v/10, WantedMM: 2.23, TakeMM: 1.11, UMM: 0.11, ShortMM: 0.2, NowMM: 0.91, Deed: setup.Take},
			FeelerMM: num.Some(0.2), FeelerNowMM: num.Some(0.23), FirstWantedMM: num.Some(0.46)}
		s.Cuts, s.Kinks = append(s.Cuts, c), append(s.Kinks, num.Some(0.07))
		s.Cannot = append(s.Cannot, setup.Cannot{String: i + 1, ActionMM: 1.4, LeastActionMM: num.Some(1.58), Fret: 3, OnFret: 4, Verdict: play.Grazes})
		s.Cannot[i].Why = text.CannotBeHad(s.Cannot[i])
		a.Strings = append(a.Strings, answer.SetupString{Pitch: "E4", Measured: c.Measured, SetbackMM: num.Some(1.2), LowestMM: num.Some(1.578)})
	}
	a.Steps = text.SetupSteps(s)
	return a
}

func TestSetup_Golden(t *testing.T) {
	p, err := Setup(setupSample(6), A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "setup.svg")
}

// On both papers, with few strings and many, warned of or not, with the neck to turn
// first, in inches too: one page, no text on another, over the edge or too small.
func TestSetup_OnePage(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		for _, n := range []int{1, 4, 6, 12, 18} {
			for _, units := range []Units{Micrometres, Thousandths} {
				a := setupSample(n)
				a.Warnings = []string{"one reading disagrees with the rest and was set aside; frets names it"}
				if n == 4 {
					a.Lowest, a.Sheet.Lowest = true, true
					a.Sheet.Angle = &setup.Angle{Verdict: setup.ResetNeck, LeastMM: 2, ShortMM: 1, RaiseMM: 2, String: 1, AngleDeg: num.Some(0.5), HeelMM: num.Some(0.8)}
					a.Steps = text.SetupSteps(a.Sheet)
				}
				p, err := Setup(a, paper, units)
				if err != nil {
					t.Fatal(err)
				}
				clean(t, p, 1.13)
				words := map[string]int{}
				for _, box := range p.TextBoxes() {
					words[box.Text]++
					if units == Thousandths && strings.Contains(box.Text, " mm") {
						t.Errorf("in an inch shop: %q", box.Text)
					}
				}
				if words[fmt.Sprintf("%d E4", n)] < 2 || words["lowest clear"] != 1 {
					t.Errorf("%d strings on %v: %v", n, paper, words)
				}
			}
		}
	}
}

// The bass stands left of the treble in every table.
func TestSetup_BassLeft(t *testing.T) {
	p, err := Setup(setupSample(6), A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	at := map[string][]float64{}
	for _, box := range p.TextBoxes() {
		at[box.Text] = append(at[box.Text], box.X)
	}
	if len(at["6 E4"]) != 3 {
		t.Fatalf("found %v: want three tables", at["6 E4"])
	}
	for i, x := range at["6 E4"] {
		if !(x < at["1 E4"][i]) {
			t.Errorf("table %d has the treble left", i+1)
		}
	}
}
