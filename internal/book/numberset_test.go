package book

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A set of numbers does what a map of them does.
func TestNumberSet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		numbers := rapid.SliceOf(rapid.Int64Range(1, 3*BlockNumbers)).Draw(t, "numbers")
		var s, copied NumberSet
		for _, n := range numbers {
			s.Add(n)
		}
		for block, bits := range s.Blocks() {
			copied.AddBlock(block, bits)
		}
		want := slices.Compact(slices.Sorted(slices.Values(numbers)))
		slices.Reverse(want)
		if got := slices.Collect(copied.Down()); !slices.Equal(got, want) || s.Len() != len(want) {
			t.Fatalf("%v, %d; want %v", got, s.Len(), want)
		}
		from := rapid.Int64Range(1, 3*BlockNumbers).Draw(t, "from")
		to := from + rapid.Int64Range(0, 200).Draw(t, "long")
		first, last, some := s.Missing(from, to)
		for n := from; n <= to; n++ {
			if in := s.Has(n); in != slices.Contains(want, n) || !in && (!some || n < first || n > last) {
				t.Fatalf("%d: in it %t; missing from %d to %d, %t", n, in, first, last, some)
			}
		}
		if some && (s.Has(first) || s.Has(last)) {
			t.Fatalf("missing %d to %d", first, last)
		}
		if len(want) == 0 {
			return
		}
		for block, bits := range s.Blocks() {
			if block == want[0]/BlockNumbers {
				bits.Remove(want[0])
			}
		}
		if s.Has(want[0]) || s.Len() != len(want)-1 {
			t.Fatalf("%d was taken out", want[0])
		}
	})
}
