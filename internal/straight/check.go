package straight

import (
	"errors"
	"fmt"
)

// What a lane can lack. Errors of this package wrap one of these.
var (
	ErrTooFew    = errors.New("too few crowns")
	ErrLength    = errors.New("x and heights differ in number")
	ErrOrder     = errors.New("x does not ascend")
	ErrNotFinite = errors.New("a number is not finite")
)

// check refuses what no lane can be. It does not allocate where all is well.
func check(x, z []float64, least int) error {
	if len(x) != len(z) {
		return fmt.Errorf("%w: %d and %d", ErrLength, len(x), len(z))
	}
	if len(x) < least {
		return fmt.Errorf("%w: %d, at least %d are needed", ErrTooFew, len(x), least)
	}
	before := x[0]
	for i, xi := range x {
		if xi-xi != 0 || z[i]-z[i] != 0 { // Inf − Inf and NaN are not 0
			return fmt.Errorf("%w: crown %d of the lane", ErrNotFinite, i+1)
		}
		if i > 0 && xi <= before {
			return fmt.Errorf("%w: crown %d of the lane", ErrOrder, i+1)
		}
		before = xi
	}
	return nil
}
