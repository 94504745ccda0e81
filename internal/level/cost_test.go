package level

import "testing"

// A zone to plan to is named only where readings like these can tell it.
func TestAcceptanceLimit_OnlyWhatReadingsTell(t *testing.T) {
	for _, c := range []struct{ u, want float64 }{ // want 0: none
		{0.004, 0.022}, {0.0099, 0.010}, {0.0101, 0}, {0.013, 0}, {0.02, 0},
	} {
		got, known := AcceptanceLimit(0.03, 0.001, c.u).Get()
		if known != (c.want != 0) || got < c.want-1e-9 || got > c.want+1e-9 {
			t.Errorf("u %g: %g, %v, want %g", c.u, got, known, c.want)
		}
	}
}
