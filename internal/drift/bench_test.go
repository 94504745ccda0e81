package drift

import "testing"

// benchLength is the length of the series that the benchmarks chart.
const benchLength = 100_000

func BenchmarkIndividuals_100k(b *testing.B) {
	x := noise(1, benchLength)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Individuals(x, Basis{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNelson_100k(b *testing.B) {
	x := noise(1, benchLength)
	for b.Loop() {
		if _, _, err := Individuals(x, Basis{Rules: NelsonRules()}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMeans_100k(b *testing.B) {
	x := noise(1, benchLength)
	var groups [][]float64
	for i := 0; i < len(x); i += 5 {
		groups = append(groups, x[i:i+5])
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Means(groups, ByRange, Basis{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEWMAAndCumulativeSum_100k(b *testing.B) {
	c, _, err := Individuals(noise(1, benchLength), Basis{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		EWMA(c, 0.2, 3)
		if _, err := CumulativeSum(c, CusumDesign{0.5, 5, 0}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkShifts_100k(b *testing.B) {
	x := noise(1, benchLength)
	for i := range x[70_000:] {
		x[70_000+i] += 0.5
	}
	for b.Loop() {
		if _, err := Shifts(x, nil, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
