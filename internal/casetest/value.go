package casetest

import "ringtrue/internal/num"

// Value is a number that must be there. A missing one panics, so that the test
// fails: as NaN it would lie within every bound that a test holds it to.
func Value(o num.Opt) float64 {
	v, known := o.Get()
	if !known {
		panic("a number is missing")
	}
	return v
}
