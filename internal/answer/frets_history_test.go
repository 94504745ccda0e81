package answer_test

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/wear"
)

// told judges a neck's latest record with its history.
func (s *shop) told(serial string) *answer.FretsAnswer {
	s.t.Helper()
	_, judged, err := answer.BookOpen(s.t.Context(), s.book, serial, 0)
	if err != nil {
		s.t.Fatal(err)
	}
	if err := answer.TellHistory(s.t.Context(), s.book, serial, "", judged.Frets); err != nil {
		s.t.Fatal(err)
	}
	return judged.Frets
}

// historyAt is the history of a fret's first finding.
func historyAt(t *testing.T, a *answer.FretsAnswer, fret int) *answer.FindingHistory {
	t.Helper()
	for _, f := range a.Frets {
		if f.Fret == fret {
			if f.History == nil {
				t.Fatalf("fret %d, %s: no history", fret, f.Finding)
			}
			return f.History
		}
	}
	t.Fatalf("nothing found at fret %d: %+v", fret, a.Frets)
	return nil
}

func lowFret(fret int, mm float64) func(int, int) float64 {
	return func(f, _ int) float64 {
		if f == fret {
			return -mm
		}
		return 0
	}
}

// flat makes the crowns follow the neck's shape: without the lanes' slope, which is no
// straight line along a neck, and with the fall-away from fret 15.
func flat(f, l int) float64 {
	x := func(f int) float64 { return 1 - math.Exp2(-float64(f)/12) }
	t := max(0, (x(f)-x(15))/(x(22)-x(15)))
	return 0.0005*float64(f*l) - 0.10*t*t
}

func both(a, b func(int, int) float64) func(int, int) float64 {
	return func(f, l int) float64 { return a(f, l) + b(f, l) }
}

// Of one neck: a fret that was never right, grooves, an end that sprang up.
func TestHistory_WornOrNeverRight(t *testing.T) {
	s := newShop(t)
	never := both(flat, lowFret(12, 0.06))
	sprang := func(f, l int) float64 {
		if f == 18 {
			return 0.05 * float64(6-l) / 5
		}
		return 0
	}
	s.read("1", visit{stage: "seated", date: "2024-03-01", passes: 2, state: "slack", change: never})
	if a := s.told("1"); a.History != nil {
		t.Errorf("the first record has a history: %+v", a.History)
	}
	s.read("1", visit{stage: "levelled", date: "2024-03-08", passes: 2, state: "slack", change: never})
	s.read("1", visit{stage: "serviced", date: "2026-03-09", passes: 2, state: "slack", change: both(never, both(grooved(0.06), sprang))})
	a := s.told("1")
	if n := len(a.History.Compared); n != 2 || a.History.Compared[0].Stage != "levelled" || a.History.WithinMM != 0.015 || len(a.History.Warnings) > 0 {
		t.Errorf("compared with %+v", a.History)
	}
	if h := historyAt(t, a, 12); h.SinceStage != "seated" || h.Changed != wear.Unchanged || !h.NeverRight || h.Words != "the same at seated, 2024-03-01: never right" {
		t.Errorf("the fret that was never right: %+v", h)
	}
	if h := historyAt(t, a, 2); h.SinceStage != "" || h.Changed != wear.Worn || h.FromStage != "levelled" || h.ChangeMM > -0.04 || h.Words != "worn since levelled, 2024-03-08" {
		t.Errorf("the groove: %+v", h)
	}
	if h := historyAt(t, a, 18); h.Changed != wear.Moved || h.Words != "rose since levelled, 2024-03-08" {
		t.Errorf("the end that sprang up: %+v", h)
	}
	whole := 0
	for _, f := range a.Findings {
		if f.Kind == "worn" {
			whole++
			if f.History == nil || f.History.Changed != wear.Worn {
				t.Errorf("%s: %+v", f.Finding, f.History)
			}
		}
	}
	if whole == 0 {
		t.Errorf("no groove over several frets: %+v", a.Findings)
	}
}

// Low under some strings since it was seated: by this reading wear, by the book not.
func TestHistory_LowSinceSeated(t *testing.T) {
	s := newShop(t)
	s.read("1", visit{stage: "seated", date: "2024-03-01", passes: 2, change: both(flat, grooved(0.06))})
	s.read("1", visit{stage: "serviced", date: "2026-03-09", passes: 2, change: both(flat, grooved(0.06))})
	a := s.told("1")
	h := historyAt(t, a, 2)
	if !h.NeverRight || !strings.HasPrefix(h.Finding, "low under") || !strings.HasSuffix(h.Words, "never right, not worn") {
		t.Errorf("%+v", h)
	}
	for _, f := range a.Frets {
		if f.Fret == 2 && f.Kind != "worn" {
			t.Errorf("the kind has changed: %+v", f)
		}
	}
	// After any other stage nobody knows who was first: only that it is no wear since.
	s.read("2", visit{stage: "arrived", date: "2024-03-01", passes: 2, change: both(flat, grooved(0.06))})
	s.read("2", visit{stage: "serviced", date: "2026-03-09", passes: 2, change: both(flat, grooved(0.06))})
	if h := historyAt(t, s.told("2"), 2); h.NeverRight || h.Finding != "" || h.Words != "as low at arrived, 2024-03-01: not worn since" {
		t.Errorf("%+v", h)
	}
}

// A bow that came makes level frets stand off: they are not said to have been so.
func TestHistory_TheBowDoesIt(t *testing.T) {
	s := newShop(t)
	hump := func(f, _ int) float64 { // a parabola along the neck
		x := 2*(1-math.Exp2(-float64(f)/12))/(1-math.Exp2(-22.0/12)) - 1
		return 0.06 * (1 - x*x)
	}
	s.read("1", visit{stage: "levelled", date: "2024-03-08", passes: 2, change: flat})
	s.read("1", visit{stage: "serviced", date: "2026-03-09", passes: 2, change: both(flat, hump)})
	a, told := s.told("1"), 0
	for _, f := range a.Frets {
		if f.History == nil {
			continue
		}
		told++
		if f.History.SinceStage != "" || f.History.Changed == wear.Worn {
			t.Errorf("fret %d %s: %+v", f.Fret, f.Finding, f.History)
			for _, c := range a.Crowns {
				if c.Fret == f.Fret {
					t.Logf("%+v", c)
				}
			}
		}
	}
	if told == 0 {
		t.Errorf("no fret stands off: %+v", a.Findings)
	}
}

// What cannot be compared is a warning, and a corrected record is no history.
func TestHistory_LeftOut(t *testing.T) {
	s := newShop(t)
	s.read("1", visit{stage: "seated", date: "2024-03-01", passes: 2, change: lowFret(12, 0.06)})
	other := strings.Replace(string(s.neck), "frets  = 22", "frets  = 21", 1)
	if other == string(s.neck) {
		other = strings.Replace(string(s.neck), "frets = 22", "frets = 21", 1)
	}
	if other == string(s.neck) {
		t.Fatal("the neck file has no such line")
	}
	s.add("1", "other", []byte(other), "method,lane,fret,reading,unit\nbeam,1,1,0.1,mm\nbeam,1,2,0.1,mm\nbeam,1,3,0.1,mm\nbeam,1,4,0.1,mm\n")
	s.read("1", visit{stage: "serviced", passes: 2, change: lowFret(12, 0.06)})
	a := s.told("1")
	if len(a.History.Warnings) != 1 || !strings.Contains(a.History.Warnings[0], "other (record 2) was not compared: ") {
		t.Errorf("warnings %q", a.History.Warnings)
	}
	if h := historyAt(t, a, 12); h.SinceStage != "seated" {
		t.Errorf("%+v", h)
	}
}
