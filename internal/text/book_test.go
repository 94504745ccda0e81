package text

import (
	"testing"
	"time"
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
