package wood

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/num"
)

// The temperatures within which the equation was held against the handbook's
// table: 30 to 130 °F.
const (
	ColdestC = (30 - 32) / 1.8
	HottestC = (130 - 32) / 1.8
)

// Errors of Equilibrium and Humidity; the message says what was given.
var (
	ErrHumidity    = errors.New("humidity")
	ErrTemperature = errors.New("temperature")
	ErrMoisture    = errors.New("moisture")
)

// Equilibrium is the moisture that air of this temperature and humidity brings
// wood to in time.
//
// Source: USDA FPL Wood Handbook FPL-GTR-190 (2010), Eq 4-5, Celsius form; it
// keeps to 0.06 of Table 4-2 (TestEquilibrium_Table42). Species differ by about
// a point, dense oily woods lie lower, and wood that gains moisture ends at 0.8
// to 0.9 of what losing wood ends at (the last two from memory).
// ErrHumidity outside 0 to 100 %, ErrTemperature outside −1.1 to 54.4 °C.
func Equilibrium(tempC, humidityPct float64) (float64, error) {
	if !(humidityPct >= 0 && humidityPct <= 100) {
		return 0, fmt.Errorf("%w: %g %% lies outside 0 to 100 %%", ErrHumidity, humidityPct)
	}
	if !(tempC >= ColdestC-1e-9 && tempC <= HottestC+1e-9) {
		return 0, fmt.Errorf("%w: %.4g °C lies outside the moisture equation's range, %.1f to %.1f °C", ErrTemperature, tempC, ColdestC, HottestC)
	}
	return equilibrium(tempC, humidityPct/100), nil
}

func equilibrium(t, h float64) float64 {
	w := 349 + 1.29*t + 0.0135*t*t
	k := 0.805 + 0.000736*t - 0.00000273*t*t
	k1 := 6.27 - 0.00938*t - 0.000303*t*t
	k2 := 1.91 + 0.0407*t - 0.000293*t*t
	return hydrates(w, k, k1, k2, h)
}

// hydrates is the two-hydrate form of Hailwood and Horrobin that both forms of
// the equation share.
func hydrates(w, k, k1, k2, h float64) float64 {
	kh := k * h
	one, two := k1*kh, k1*k2*kh*kh
	return 1800 / w * (kh/(1-kh) + (one+2*two)/(1+one+two))
}

// Humidity is the air's humidity at which wood settles at this moisture: the
// inverse of Equilibrium. ErrMoisture: no humidity from 0 to 100 % does it.
func Humidity(tempC, moisturePct float64) (float64, error) {
	if _, err := Equilibrium(tempC, 50); err != nil {
		return 0, err
	}
	rh, err := num.Root(func(rh float64) float64 { return equilibrium(tempC, rh/100) - moisturePct }, 0, 100, 1e-10)
	if err != nil {
		return 0, fmt.Errorf("%w: no humidity at %g °C holds wood at %g %%", ErrMoisture, tempC, moisturePct)
	}
	return math.Max(0, math.Min(100, rh)), nil
}
