package demo

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// On any day of the week and of the year the shop's work lies behind it, in order, on
// days on which people work, and its words are ones that can be said.
func TestWeek_AnyDay(t *testing.T) {
	for ago := range 9 {
		now := time.Date(2026, 3, 2+ago*45, 7+ago, 13, 0, 0, time.UTC)
		entries, notes := Week(now, 3)
		again, _ := Week(now, 3)
		if !reflect.DeepEqual(entries, again) {
			t.Fatal("the same day and seed give other necks")
		}
		last, stages, moist := map[string]time.Time{}, map[string][]string{}, 0
		for _, e := range entries {
			if e.Added.After(now) || e.Added.Weekday() == time.Saturday || e.Added.Weekday() == time.Sunday || e.Added.Before(last[e.Serial]) {
				t.Errorf("%s: %s %s, after %s, is seen on %s", now, e.Serial, e.Stage, last[e.Serial], e.Added)
			}
			last[e.Serial] = e.Added
			stages[e.Serial] = append(stages[e.Serial], e.Stage)
			if strings.Contains(string(e.Files.Neck.Bytes), "moisture = 11.5") {
				moist++
				if e.Serial != weekSerial(wetNeck) {
					t.Errorf("%s is wet", e.Serial)
				}
			}
			if _, err := e.Files.Parse(); err != nil {
				t.Errorf("%s %s: %v", e.Serial, e.Stage, err)
			}
		}
		if len(stages) != weekNecks || moist != 3 || len(stages[weekSerial(besideNeck)]) != 4 {
			t.Errorf("%d necks, %d records of the wet one, %v of the one read twice", len(stages), moist, stages[weekSerial(besideNeck)])
		}
		waiting := 0
		for _, s := range stages {
			if s[len(s)-1] == "levelled" {
				waiting++
			}
		}
		if waiting < 3 {
			t.Errorf("%s: %d necks wait to be crowned", now, waiting)
		}
		for i, n := range notes {
			if err := n.Check(); err != nil || n.At.After(now) || i > 0 && n.Added.Before(notes[i-1].Added) || last[n.Serial].After(n.Added) {
				t.Errorf("%s: %+v: %v; its last record is of %s", now, n, err, last[n.Serial])
			}
		}
	}
}

// A shop in mid-week goes into no book of two years, and needs no number of necks.
func TestNew_Week(t *testing.T) {
	d, err := New(Request{Week: time.Date(2026, 3, 18, 16, 0, 0, 0, time.UTC), Seed: 1})
	if err != nil || d.Necks != weekNecks || len(d.notes) == 0 {
		t.Errorf("%+v, %v", d, err)
	}
	held := map[book.Identity]bool{}
	for _, e := range d.entries {
		held[e.Identity()] = true
	}
	if len(held) != len(d.entries) {
		t.Errorf("%d of %d records are others", len(held), len(d.entries))
	}
}
