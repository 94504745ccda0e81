package ear

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/play"
)

// read is a neck whose crowns were read and are perfect, set high enough that most
// notes are surely clear.
func read(t *testing.T) *play.Neck {
	n := heron(t, func(m *neck.Model) { m.Setup.Action = []float64{1.9, 2, 2.1, 2.2, 2.3, 2.4} })
	n.Read = true
	return n
}

func of(t *testing.T, n *play.Neck, answers []Answer) *Report {
	t.Helper()
	r, err := Of(t.Context(), Request{Neck: n, Answers: answers})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What is planted is found and nothing else is said: on the notes as told, one open
// string, a string, a stop, a hand that is harder.
func TestCompare_FindsWhatIsPlanted(t *testing.T) {
	n := read(t)
	_, plain := everyNote(t, n, 1)
	cases := []struct {
		name     string
		buzzes   func(Answer) bool
		disagree int
		cause    Cause
		look     []Look
	}{
		{"nothing", func(Answer) bool { return false }, 0, "", nil},
		{"one open string", func(a Answer) bool { return a.String == 3 && a.Fret == 0 }, 1, Nut, nil},
		{"one note", func(a Answer) bool { return a.String == 6 && a.Fret == 4 }, 1, Single, nil},
		{"every open string", func(a Answer) bool { return a.Fret == 0 }, 6, Nut, []Look{{Cause: Nut}}},
		{"a string", func(a Answer) bool { return a.String == 5 && a.Fret > 0 && a.Fret%2 == 0 }, 10, String, []Look{{Cause: String, String: 5}}},
		{"a stop", func(a Answer) bool { return a.Fret == 9 }, 6, Fret, []Look{{Cause: Fret, Fret: 9}}},
	}
	for _, c := range cases {
		answers := append([]Answer(nil), plain...)
		for i, a := range answers {
			answers[i].Buzzes = c.buzzes(a)
		}
		r := of(t, n, answers)
		if len(r.Disagree) != c.disagree || r.Hand.Known() || r.HighFret != nil {
			t.Errorf("%s: %d disagree, hand %v: %+v", c.name, len(r.Disagree), r.Hand, r.Disagree)
		}
		for _, d := range r.Disagree {
			if d.Cause != c.cause || d.Heard != play.Buzzes || d.Predicted != play.Clear || !c.buzzes(d.Answer) {
				t.Errorf("%s: %+v", c.name, d)
			}
		}
		var look []Look
		for _, l := range r.Look {
			look = append(look, Look{Cause: l.Cause, String: l.String, Fret: l.Fret})
		}
		if !reflect.DeepEqual(look, c.look) {
			t.Errorf("%s: look at %+v", c.name, r.Look)
		}
	}
}

// A hand 1.6 times as hard, played by the contact run, is told from one as told, with one
// answer in ten wrong.
func TestCompare_Hand(t *testing.T) {
	n := read(t)
	_, plain := everyNote(t, n, 1)
	for _, c := range []struct {
		force    float64
		low, hig float64
	}{{1, 0, 0}, {1.6, 1.4, 1.9}} {
		k := kind{harder: c.force, wrong: wrong, light: hearsIt}
		heard := k.play(t, n.Cases, plain, n.Model.Setup.Touch, rand.New(rand.NewPCG(4, 4)))
		answers := append([]Answer(nil), plain...)
		for i := range answers {
			answers[i].Buzzes = heard[i]
		}
		if hand := of(t, n, answers).Hand.Or(0); hand < c.low || hand > c.hig {
			t.Errorf("force %g: hand %g", c.force, hand)
		}
	}
}

// Of 132 answers of which one in ten is wrong 13 ± 3 are; 20 are beyond chance, 19 are not.
func TestCompare_CountsAgainstWrongAnswers(t *testing.T) {
	n := read(t)
	_, answers := everyNote(t, n, 1)
	answers[0].Buzzes = true
	r := of(t, n, answers)
	if r.Wrongs != 1 || math.Abs(r.Expected-0.1*float64(r.Compared)) > 1e-9 || math.Abs(r.UExpected-math.Sqrt(0.09*float64(r.Compared))) > 1e-9 || r.BeyondChance {
		t.Errorf("%+v", r.Comparison)
	}
	if beyond(20, 132) >= byChance || beyond(19, 132) < byChance || beyond(0, 132) != 1 {
		t.Errorf("chances of 19 and 20 of 132: %g, %g", beyond(19, 132), beyond(20, 132))
	}
	// Alike chances are the binomial's.
	alike := make([]float64, 132)
	for i := range alike {
		alike[i] = wrong
	}
	if got, want := asMany(20, alike), beyond(20, 132); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g, by the binomial %g", got, want)
	}
	if got := asMany(1, []float64{0.5, 0.2}); math.Abs(got-0.6) > 1e-12 {
		t.Errorf("one of two: %g, want 0.6", got)
	}
}

// The same answers give the same report, on however many processors; the work can be
// called off; a note may be answered twice.
func TestOf_Same(t *testing.T) {
	n := heron(t, nil)
	_, answers := everyNote(t, n, 1)
	answers = answers[:40]
	for i := range answers {
		answers[i].Buzzes = answers[i].Fret == 6
	}
	answers = append(answers, answers[6])
	first := of(t, n, answers)
	before := runtime.GOMAXPROCS(1)
	second := of(t, n, answers)
	runtime.GOMAXPROCS(before)
	if !reflect.DeepEqual(first, second) || first.Answers != 41 || first.Buzzing != 3 {
		t.Errorf("%+v, then %+v", first, second)
	}
	ctx, cancel := context.WithCancel(t.Context())
	tell := func(done, of int) { cancel() }
	if _, err := Of(ctx, Request{Neck: n, Answers: answers, Tell: tell}); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
}
