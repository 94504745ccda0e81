package book

import "testing"

// TestNearest: the latest slack record before a strung one counts, else the first after;
// one that was corrected, or of mixed states, never does.
func TestNearest(t *testing.T) {
	of := func(states ...string) (records []Record) {
		for _, s := range states {
			r := Record{}
			if s == "corrected" {
				s, r.CorrectedBy = "slack", 9
			}
			r.Derived.States = s
			records = append(records, r)
		}
		return records
	}
	for _, c := range []struct {
		records  []Record
		at, want int
	}{
		{of("slack", "slack", "strung", "slack"), 2, 1},
		{of("slack", "corrected", "strung"), 2, 0},
		{of("strung", "rod set", "slack", "slack"), 0, 2},
		{of("slack + strung", "strung"), 1, -1},
	} {
		if got := Nearest(c.records, c.at, "slack"); got != c.want {
			t.Errorf("%d of %d records: nearest is %d, want %d", c.at, len(c.records), got, c.want)
		}
	}
	if at := InState(of("slack", "corrected", "strung", "slack"), "slack"); len(at) != 2 || at[0] != 0 || at[1] != 3 {
		t.Errorf("slack records: %v", at)
	}
}
