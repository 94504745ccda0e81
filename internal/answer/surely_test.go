package answer

import (
	"testing"

	"ringtrue/internal/findings"
	"ringtrue/internal/straight"
)

// A zone to plan to is named only where readings like these can tell it.
func TestSurelyTo_OnlyWhatReadingsTell(t *testing.T) {
	for _, c := range []struct{ u, want float64 }{ // want 0: none
		{0.004, 0.022}, {0.0099, 0.010}, {0.0101, 0}, {0.013, 0}, {0.02, 0},
	} {
		n := &findings.Neck{Lanes: []findings.Lane{{Judged: straight.LaneJudgement{UZoneMM: 0.001}}, {Judged: straight.LaneJudgement{UZoneMM: c.u}}}}
		got := surelyTo(n, 0.03)
		switch {
		case got == nil && c.want != 0:
			t.Errorf("u %g: none, want %g", c.u, c.want)
		case got != nil && (c.want == 0 || *got < c.want-1e-9 || *got > c.want+1e-9):
			t.Errorf("u %g: %g, want %g", c.u, *got, c.want)
		}
	}
}
