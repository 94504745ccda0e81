package straight

import (
	"math"
	"testing"
)

// What stops early says what the 95 % point itself says, at that point and on either
// side of it.
func TestBeyond_IsWidest(t *testing.T) {
	tried := 0
	for _, n := range []int{3, 5, 22} {
		x := fretX(n)
		for name, cov := range covariances(x) {
			e, err := newNoise(cov, n)
			if err != nil {
				t.Fatal(err)
			}
			for seed := range uint64(3) {
				point := e.widest(x, cov, seed)
				for _, sharpest := range []float64{notLevelLeast, math.Nextafter(point, 0), point, math.Nextafter(point, 9), point + 0.2, 6} {
					if got := e.beyond(x, cov, seed, sharpest); got != (sharpest > point) {
						t.Errorf("%d crowns, %s, seed %d: %v beyond %v: %v", n, name, seed, sharpest, point, got)
					}
					tried++
				}
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d tried", tried)
	}
	if (noise{}).beyond(nil, nil, 1, notLevelLeast) || !(noise{}).beyond(nil, nil, 1, 2) {
		t.Error("without errors one contrast's own point counts")
	}
}
