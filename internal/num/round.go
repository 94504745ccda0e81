package num

import "math"

// RoundUp rounds up to 1/per, so that what is read off is enough; what lies above
// by rounding alone stays.
func RoundUp(v, per float64) float64 { return math.Ceil(v*per-1e-6) / per }
