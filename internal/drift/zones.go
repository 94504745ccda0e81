package drift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// zones of a standardised value: how far from the centre, and on which side.
// A zone's number is its side times 1 (within 1 sigma) to 4 (beyond 3); 0 is
// the centre itself, which only counts can hit.
const (
	farthestZone = 4
	zoneCount    = 2*farthestZone + 1
)

// Zones holds the probability of each zone, from beyond 3 sigma below to
// beyond 3 sigma above, the centre itself in the middle.
type Zones [zoneCount]float64

// NormalZones are the zones' probabilities where values are normal and their
// mean stands shift standard deviations above the centre.
func NormalZones(shift float64) Zones {
	var z Zones
	edge := [...]float64{-3, -2, -1, 0, 1, 2, 3}
	below := 0.0
	for i, e := range edge {
		p := phi(e - shift)
		z[i+i/farthestZone] = p - below // the centre, in the middle, has no share
		below = p
	}
	z[zoneCount-1] = phi(shift - 3)
	return z
}

// CountZones are the zones' probabilities of a count chart of that mean,
// which must be above 0.
func CountZones(mean float64) Zones {
	return discreteZones(distuv.Poisson{Lambda: mean}.Prob, mean, math.Sqrt(mean), int(mean+20*math.Sqrt(mean)+40))
}

// ProportionZones are those of a proportion chart: n looked at each time, a
// share p in (0, 1) of them faulty.
func ProportionZones(p float64, n int) Zones {
	sd := math.Sqrt(float64(n) * p * (1 - p))
	return discreteZones(distuv.Binomial{N: float64(n), P: p}.Prob, float64(n)*p, sd, n)
}

func discreteZones(prob func(float64) float64, mean, sd float64, most int) Zones {
	var z Zones
	for k := 0; k <= most; k++ {
		z[farthestZone+zoneOf((float64(k)-mean)/sd)] += prob(float64(k))
	}
	return z
}

// zoneOf returns the number of a standardised value's zone.
func zoneOf(z float64) int {
	if z == 0 {
		return 0
	}
	zone := min(farthestZone, max(1, int(math.Ceil(math.Abs(z)))))
	if z < 0 {
		return -zone
	}
	return zone
}
