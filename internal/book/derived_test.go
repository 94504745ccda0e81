package book

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

func mm(v float64) num.Opt { return num.Some(v) }

// judgement is what is derived, its crowns not yet packed.
type judgement struct {
	Derived
	Crowns []Crown
}

// heron is a judgement with something in every field.
func heron() judgement {
	return judgement{
		Derived{
			Program: "1.0", Model: "Heron", States: "rod set + slack", Taken: time.Date(2026, 3, 1, 8, 30, 0, 1234000, time.UTC),
			Figures: Figures{Verdict: "not level", ZoneMM: mm(0.051), WorstMM: mm(0.032), MetalMM: mm(0.41), MostMM: mm(0.05), Refits: 1, FretsOff: 2},
		},
		[]Crown{{Fret: 1, Lane: 1, OffMM: 0.012, UMM: 0.004}, {Fret: 2, Lane: 1, OffMM: -0.02, UMM: 0.004}},
	}
}

func derived(t *testing.T, j judgement) Derived {
	t.Helper()
	var err error
	if j.Derived.Crowns, err = Pack(j.Crowns); err != nil {
		t.Fatal(err)
	}
	return j.Derived
}

// A judge's version and revision stand by what it says, and its crowns come back
// as they were.
func TestJudge_Derive(t *testing.T) {
	want := derived(t, heron())
	says := Judge{Program: "1.1", Revision: 3, Files: func(context.Context, Files) (Derived, error) { return want, nil }}
	d, err := says.Derive(t.Context(), Files{})
	if err != nil || d.Program != "1.1" || d.Revision != 3 || d.Differs(&want) != "" {
		t.Errorf("%+v, %v", d, err)
	}
	if crowns, err := d.Crowns.Unpack(); err != nil || len(crowns) != 2 || math.Abs(crowns[1].OffMM+0.02) > 1e-12 {
		t.Errorf("crowns %+v, %v", crowns, err)
	}
}

// TestDerived_Differs: every change that a maker could read is named with both
// its sides, and changes the seal; another version of the program alone is no
// difference.
func TestDerived_Differs(t *testing.T) {
	for says, change := range map[string]func(*judgement){
		`model "Heron", now "Egret"`:                                func(j *judgement) { j.Model = "Egret" },
		`state "rod set + slack", now "slack"`:                      func(j *judgement) { j.States = "slack" },
		"read on 2026-03-01, now 2026-03-02":                        func(j *judgement) { j.Taken = j.Taken.Add(24 * time.Hour) },
		"read on 2026-03-01, now no date":                           func(j *judgement) { j.Taken = time.Time{} },
		`verdict "not level", now "in doubt"`:                       func(j *judgement) { j.Verdict = "in doubt" },
		"1 refits, now 2":                                           func(j *judgement) { j.Refits = 2 },
		"2 frets with a finding, now 0":                             func(j *judgement) { j.FretsOff = 0 },
		"zone 0.051000 mm, now 0.052000 mm":                         func(j *judgement) { j.ZoneMM = mm(0.052) },
		"worst crown 0.032000 mm, now undetermined":                 func(j *judgement) { j.WorstMM = num.Opt{} },
		"metal to take off 0.410000 mm, now 0.400000 mm":            func(j *judgement) { j.MetalMM = mm(0.4) },
		"most metal on a crown 0.050000 mm, now 0.060000":           func(j *judgement) { j.MostMM = mm(0.06) },
		"2 crowns, now 1":                                           func(j *judgement) { j.Crowns = j.Crowns[:1] },
		"a crown at fret 2, lane 1, now at fret 3, lane 1":          func(j *judgement) { j.Crowns[1].Fret = 3 },
		"fret 2, lane 1: -0.0200 ± 0.00400 mm, now -0.0190":         func(j *judgement) { j.Crowns[1].OffMM = -0.019 },
		"fret 1, lane 1: 0.0120 ± 0.00400 mm, now 0.0120 ± 0.00500": func(j *judgement) { j.Crowns[0].UMM = 0.005 },
	} {
		j := heron()
		change(&j)
		a, b := derived(t, heron()), derived(t, j)
		if got := a.Differs(&b); !strings.HasPrefix(got, says) {
			t.Errorf("%q, want %q", got, says)
		}
		if a.Checksum() == b.Checksum() {
			t.Errorf("%s: the seal is the same", says)
		}
		if b.Differs(&a) == "" {
			t.Errorf("%s: no difference the other way round", says)
		}
	}
	a, b := derived(t, heron()), derived(t, heron())
	b.Program = "1.1"
	b.ZoneMM = mm(a.ZoneMM.Or(0) + 1e-13) // another processor's rounding
	if got := a.Differs(&b); got != "" {
		t.Errorf("another version, the same numbers: %q", got)
	}
	b.Crowns = b.Crowns[:3]
	for _, got := range []string{a.Differs(&b), b.Differs(&a)} {
		if !strings.Contains(got, "cut short") {
			t.Errorf("crowns cut short: %q", got)
		}
	}
}

func TestStatesOf(t *testing.T) {
	if got := StatesOf([]reading.Reading{{State: "strung"}, {}, {State: "slack"}, {State: "strung"}}); got != "slack + strung" {
		t.Errorf("%q", got)
	}
	if got := StatesOf([]reading.Reading{{}, {}}); got != "" {
		t.Errorf("%q of none", got)
	}
}

// A record is of the day its readings name, and else of the day it was added.
func TestRecord_At(t *testing.T) {
	read, added := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)
	r := Record{Added: added}
	if !r.At().Equal(added) {
		t.Errorf("undated readings: %v", r.At())
	}
	r.Derived.Taken = read
	if !r.At().Equal(read) {
		t.Errorf("dated readings: %v", r.At())
	}
}

func TestTakenOn(t *testing.T) {
	for _, c := range []struct {
		dates []string
		want  string
	}{
		{[]string{"", ""}, "0001-01-01T00:00:00Z"},
		{[]string{"2026-03-02", "", "2026-03-04", "2026-03-03"}, "2026-03-04T00:00:00Z"},
		{[]string{"2026-03-02 14:05"}, "2026-03-02T14:05:00Z"},
		{[]string{"2026-03-02T23:05:00.1234567-05:00"}, "2026-03-03T04:05:00.123456Z"},
		{[]string{"4.3.2026"}, "2026-03-04T00:00:00Z"},
		{[]string{"3/4/2026", "last Tuesday"}, "0001-01-01T00:00:00Z"},
	} {
		var readings []reading.Reading
		for _, d := range c.dates {
			readings = append(readings, reading.Reading{Date: d})
		}
		if got := TakenOn(readings).Format(time.RFC3339Nano); got != c.want {
			t.Errorf("%q: %s, want %s", c.dates, got, c.want)
		}
	}
}
