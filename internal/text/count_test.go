package text

import "testing"

func TestCount(t *testing.T) {
	for _, c := range []struct {
		n          int
		noun, want string
	}{
		{0, "neck", "0 necks"}, {1, "neck", "1 neck"}, {2, "neck", "2 necks"}, {-1, "step", "-1 steps"},
		{1, "pass", "1 pass"}, {3, "pass", "3 passes"}, {2, "notch", "2 notches"}, {2, "day", "2 days"}, {1000000, "crown", "1000000 crowns"},
	} {
		if got := Count(c.n, c.noun); got != c.want {
			t.Errorf("%d of %q: %q, want %q", c.n, c.noun, got, c.want)
		}
	}
}
