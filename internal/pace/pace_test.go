package pace

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

func day(n float64) time.Time {
	return time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(n * 24 * float64(time.Hour)))
}

// A shop in mid-week: necks wait 1 to 12 days to be levelled and a day to be strung;
// some come back after years. The bottleneck, who waits and who is late are found.
func TestWaitsOf_Bottleneck(t *testing.T) {
	var visits []Visit
	add := func(serial string, days ...float64) {
		for i, stage := range []string{"seated", "levelled", "strung", "serviced"} {
			if i < len(days) {
				visits = append(visits, Visit{serial, stage, day(days[i])})
			}
		}
	}
	for n := 1; n <= 12; n++ {
		from := float64(10 * n)
		add(fmt.Sprintf("a%02d", n), from, from+float64(n), from+float64(n)+1)
	}
	add("b1", 0, 4, 5, 700)
	visits = append(visits, Visit{"a01", "seated", day(10.5)}) // read again: it waits from then
	add("c1", 195)
	add("c2", 185)
	slices.Reverse(visits)
	w := WaitsOf(visits, day(200))
	if len(w.Between) != 2 || w.Between[0].From != "seated" || w.Between[0].To != "levelled" || w.Between[1].From != "levelled" || w.Between[1].To != "strung" {
		t.Fatalf("between: %+v", w.Between)
	}
	if b := w.Between[0]; b.Necks != 13 || b.MedianDays.Or(0) != 6 || b.NinetyDays.Or(0) != 11 {
		t.Errorf("to be levelled: %+v", b)
	}
	if b := w.Between[1]; b.Necks != 13 || b.MedianDays.Or(0) != 1 {
		t.Errorf("to be strung: %+v", b)
	}
	if len(w.Now) != 1 || w.Now[0] != (Waiting{"seated", 2, 15, "c2", 1}) {
		t.Errorf("now: %+v", w.Now)
	}
	if !slices.Equal(w.Ends, []string{"serviced", "strung"}) {
		t.Errorf("ends: %v", w.Ends)
	}
}

// Of few necks no nine in ten is told, and of none nothing.
func TestWaitsOf_Few(t *testing.T) {
	w := WaitsOf([]Visit{{"1", "seated", day(0)}, {"1", "levelled", day(2)}, {"2", "seated", day(9)}}, day(10))
	if len(w.Between) != 1 || w.Between[0].NinetyDays.Known() || w.Between[0].MedianDays.Or(0) != 2 {
		t.Errorf("%+v", w.Between)
	}
	if len(w.Now) != 1 || w.Now[0].Late != 0 {
		t.Errorf("%+v", w.Now)
	}
	if w := WaitsOf(nil, day(0)); len(w.Between)+len(w.Now)+len(w.Ends) != 0 {
		t.Errorf("of no visit: %+v", w)
	}
	if w := WaitsOf([]Visit{{"1", "seated", day(3)}}, day(0)); len(w.Now) != 0 || len(w.Ends) != 1 {
		t.Errorf("of one visit: %+v", w)
	}
}

func TestPaces(t *testing.T) {
	at := func(minutes int) time.Time { return day(0).Add(time.Duration(minutes) * time.Minute) }
	passes := []Pass{{"Ines", "dial", at(6), 22}, {"Ines", "dial", at(0), 22}, {"Ines", "dial", at(10), 22}, {"Ines", "dial", at(200), 22}, {"Ana", "dial", at(203), 22}, {"Ana", "dial", at(203), 22}}
	all := Readings(passes)
	if len(all) != 2 || all[0].Minutes != 6 || all[1].Minutes != 4 { // 190 minutes were no reading, the next hand's start ends none
		t.Fatalf("%+v", all)
	}
	for n := range 10 {
		all = append(all, Spent{What: "levelled", By: "Ana", Minutes: float64(100 - 5*n)})
	}
	got := Paces(all)
	if len(got) != 2 || got[0].What != "levelled" || got[0].Median.Or(0) != 75 || got[0].Tenth.Or(0) != 55 || got[0].Ninety.Or(0) != 95 || got[0].Seconds.Known() {
		t.Errorf("%+v", got)
	}
	if r := got[1]; r.By != "Ines" || r.Times != 2 || r.Median.Or(0) != 4 || r.Tenth.Known() || r.Seconds.Or(0) != 60*4.0/22 {
		t.Errorf("%+v", r)
	}
}
