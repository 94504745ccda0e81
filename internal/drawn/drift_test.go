package drawn

import (
	"slices"
	"testing"
)

// A name stands to the right of its ring and needs a tenth of the chart free.
func TestLone_NamesDoNotMeetRings(t *testing.T) {
	for _, c := range []struct {
		signals []int
		points  int
		want    []int
	}{
		{nil, 50, nil},
		{[]int{7}, 50, []int{7}},
		{[]int{3, 4, 5, 20}, 50, []int{5, 20}},
		{[]int{20, 3, 5, 4, 4}, 50, []int{5, 20}}, // several rules, in no order
		{[]int{0, 5, 10}, 50, []int{10}},          // just too near
		{[]int{0, 6, 12}, 50, []int{0, 6, 12}},
		{[]int{0, 20, 40, 60, 80}, 100, []int{0, 20, 40, 60}}, // no more than four
	} {
		if got := lone(c.signals, c.points); !slices.Equal(got, c.want) {
			t.Errorf("lone(%v, %d) = %v, want %v", c.signals, c.points, got, c.want)
		}
	}
}
