package unit

import "testing"

func TestSpans(t *testing.T) {
	for want, n := range map[string][]int{
		"": nil, "7": {7}, "1, 2": {1, 2}, "1-3": {1, 2, 3}, "1-4, 7, 9-11, 13, 14": {1, 2, 3, 4, 7, 9, 10, 11, 13, 14},
	} {
		if got := Spans(n); got != want {
			t.Errorf("%v: %q, want %q", n, got, want)
		}
	}
}
