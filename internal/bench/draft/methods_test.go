package draft

import (
	"testing"

	"ringtrue/internal/reading"
)

// walk and SiteAt know gauges on one crown and on three.
func TestMethods_OneFretOrThree(t *testing.T) {
	if len(reading.Led()) == 0 {
		t.Fatal("no method is led")
	}
	for _, m := range reading.Led() {
		if n := m.Spec().Frets; n != 1 && n != 3 {
			t.Errorf("%s stands on %d frets: walk and SiteAt do not know how", m, n)
		}
	}
}
