package level

import (
	"context"
	"math"
	"testing"
)

func cost(x, d []float64, zone, b float64) (float64, float64) {
	a := math.Inf(1)
	for i := range x {
		a = math.Min(a, d[i]+zone-b*x[i])
	}
	s, m := 0.0, 0.0
	for i := range x {
		r := d[i] - a - b*x[i]
		if r > 0 {
			s += r
			m = math.Max(m, r)
		}
	}
	return s, m
}

// every kink of the cost
func brute(x, d []float64, zone float64) (best, bmax float64) {
	best, bmax = math.Inf(1), math.Inf(1)
	if len(x) < 3 {
		return 0, 0
	}
	for i := range x {
		for j := range x {
			if i == j {
				continue
			}
			for _, z := range []float64{0, zone} {
				s, m := cost(x, d, zone, (d[i]-d[j]-z)/(x[i]-x[j]))
				if s < best-1e-12 || (s < best+1e-12 && m < bmax) {
					best, bmax = s, m
				}
			}
		}
	}
	return
}

func TestQuick(t *testing.T) {
	r := seeded(3)
	for k := range 2000 {
		n := 3 + r.IntN(24)
		l := neck(r, n, 1, []float64{.004, .02, .05}[k%3], r.IntN(4))
		zone := []float64{.03, 0, .01}[r.IntN(3)]
		p, err := Least(l, zone)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := brute(l[0].X, l[0].D, zone)
		if math.Abs(p.TotalMM-want) > 1e-11 {
			t.Fatal(k, n, zone, p.TotalMM, want)
		}
	}
}

func TestQuickOptions(t *testing.T) {
	r := seeded(4)
	for k := range 6 {
		ls := neck(r, 10, 3, .015, r.IntN(4))
		os, err := Options(context.Background(), ls, .02, 3)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(k, len(os))
		for size, o := range os {
			best := math.Inf(1)
			for m := range 1 << 10 {
				c := 0
				for f := range 10 {
					c += m >> f & 1
				}
				if c != size {
					continue
				}
				tot := 0.0
				for _, l := range ls {
					var x, d []float64
					for i := range l.X {
						if m>>i&1 == 0 {
							x = append(x, l.X[i])
							d = append(d, l.D[i])
						}
					}
					v, _ := brute(x, d, .02)
					tot += v
				}
				best = math.Min(best, tot)
			}
			if math.Abs(best-o.Plan.TotalMM) > 1e-11 {
				t.Fatal(k, size, best, o.Plan.TotalMM)
			}
			t.Log(o.Refit, o.Plan.TotalMM, o.Plan.MaxMM)
		}
	}
}
