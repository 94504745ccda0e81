package findings

import (
	"slices"
	"testing"

	"ringtrue/internal/reading"
)

// Every gauge of crowns is one that can read a whole lane, or one of which it is
// known that it cannot: what to read next hangs on it.
func TestAlongLane_EveryMethodOfCrowns(t *testing.T) {
	cannot := []reading.Method{reading.Rocker} // a low middle crown gives a bound only
	for _, m := range reading.OfCrowns() {
		if slices.Contains(alongLane(), m) == slices.Contains(cannot, m) {
			t.Errorf("%s: can it read a whole lane by itself? Say so in alongLane, or here that it cannot", m)
		}
	}
	for _, m := range alongLane() {
		if !slices.Contains(reading.OfCrowns(), m) {
			t.Errorf("%s reads no crowns", m)
		}
	}
}
