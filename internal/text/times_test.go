package text

import (
	"strings"
	"testing"

	"ringtrue/internal/num"
	"ringtrue/internal/pace"
)

func TestDays(t *testing.T) {
	for d, want := range map[float64]string{0.01: "under an hour", 0.25: "6 hours", 1: "1 day", 1.5: "36 hours", 2.25: "2.2 days", 4: "4 days", 12.4: "12 days", 0: "under an hour"} {
		if got := Days(d); got != want {
			t.Errorf("%g: %q, want %q", d, got, want)
		}
	}
}

// Of few necks no step is called the slowest.
func TestSlowest(t *testing.T) {
	all := []pace.Wait{{From: "a", To: "b", Necks: 1, MedianDays: num.Some(90)}, {From: "b", To: "c", Necks: 7, MedianDays: num.Some(3)}}
	if s := Slowest(all); s != "Necks wait longest from b to c: half of 7 wait 3 days or more." {
		t.Error(s)
	}
	if s := Slowest(all[:1]); !strings.Contains(s, "too few") {
		t.Error(s)
	}
}
