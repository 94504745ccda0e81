package text

import (
	"strings"
	"testing"
	"time"

	"ringtrue/internal/num"
	"ringtrue/internal/wear"
)

func TestRoughly(t *testing.T) {
	for d, want := range map[time.Duration]string{
		time.Second: "1 s", 119 * time.Second: "119 s", 2 * time.Minute: "2 minutes", 119 * time.Minute: "119 minutes",
		47*time.Hour + 40*time.Minute: "48 hours", 48 * time.Hour: "2 days", 40*24*time.Hour - time.Minute: "40 days",
	} {
		if got := roughly(d); got != want {
			t.Errorf("%s is told as %q; want %q", d, got, want)
		}
	}
}

// What no string wears in a week is laid to the press first.
func TestFretChanged_TooSoon(t *testing.T) {
	for years, soon := range map[num.Opt]bool{{}: true, num.Some(0.02): true, num.Some(2): false} {
		if got := strings.HasPrefix(FretChanged(wear.Fret{}, false, false, wear.TooSoon(years)), "if it was pressed or filed in between"); got != soon {
			t.Errorf("after %v years: %v", years, got)
		}
	}
}

// Faults beside the records are not counted as records.
func TestBookChecked_NotOK(t *testing.T) {
	for want, a := range map[string]BookCheck{
		"NOT OK: faults in 1 of 2 records":                             {Records: 2, Bad: 1},
		"NOT OK: the book is damaged, though not in the 1 record read": {Records: 1, Beside: 2},
		"NOT OK: faults in 2 of 9 records and 1 other fault":           {Records: 9, Bad: 2, Beside: 1},
		"OK: 2 records, none damaged":                                  {Records: 2, LeftOut: 1},
		"OK: 2 records, none damaged, all results confirmed":           {Records: 2},
	} {
		if got := BookChecked(&a)[0]; got != want {
			t.Errorf("%q; want %q", got, want)
		}
	}
}
