package trial

import (
	"context"
	"flag"
	"testing"

	"ringtrue/internal/casetest"
)

const usualNecks = 10

// necks a class; 200 is what docs/trust.md is made from.
var guaranteeNecks = flag.Int("guarantee", usualNecks, "necks of each class to hold to the guarantee")

// TestRun_Guarantee: on necks of every class, read twice, crowns are never more
// than 1.2 times as far off as the mean of each lane's passes would have them, and
// the uncertainty stated is that of the errors.
func TestRun_Guarantee(t *testing.T) {
	if testing.Short() {
		t.Skip("long; the search's workers are raced in package heights")
	}
	for _, c := range Classes() {
		if c.Name == "large" && *guaranteeNecks < 100 {
			continue // twelve strings and 36 frets: as the others, and long
		}
		least := 0.85
		switch c.Name { // a range that holds for certain is wider than errors that scatter
		case "feelers":
			least = 0.3
		case "mixed", "bridgededges": // leaves in the outer lanes
			least = 0.6
		}
		// Few necks settle a class that keeps well within the bounds; the others are
		// judged by all.
		few := *guaranteeNecks
		if few == usualNecks {
			few = casetest.Many(usualNecks, 3)
		}
		s := together(t, c, few)
		if few < *guaranteeNecks && !(s.RatioWorst <= 1 && s.Error.OverU >= least+0.03 && s.Error.OverU <= 1.12) {
			s = together(t, c, *guaranteeNecks)
		}
		t.Logf("%s: %d necks, %.3f of averaging, errors %.3f of their uncertainty", c.Name, s.Necks, s.RatioWorst, s.Error.OverU)
		if s.RatioWorst > 1.2 {
			t.Errorf("%s, seed %d: %.2f of averaging", c.Name, s.RatioSeed, s.RatioWorst)
		}
		if u := s.Error.OverU; u < least || u > 1.15 {
			t.Errorf("%s: errors are %.2f of their uncertainty", c.Name, u)
		}
	}
}

// together scores some necks of a class.
func together(t *testing.T, c Class, necks int) Total {
	t.Helper()
	scores, err := c.Run(context.Background(), Plan{Necks: necks, Seed: 1, Options: Options{Passes: 2}})
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	return Together(c, scores)
}
