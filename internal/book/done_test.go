package book

import "testing"

// What was done is held against the record before, and before what was corrected.
func TestBefore(t *testing.T) {
	records := []Record{
		{Number: 1},
		{Number: 2, CorrectedBy: 5},
		{Number: 3},
		{Number: 5, CorrectsNo: 2},
	}
	for i, want := range []int64{0, 1, 1, 1} {
		got := int64(0)
		if b := before(records, i); b != nil {
			got = b.Number
		}
		if got != want {
			t.Errorf("before record %d stands %d, want %d", records[i].Number, got, want)
		}
	}
}
