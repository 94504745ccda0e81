package relief

import "math"

// What a long load adds to its first bend: seasoned timber ends at 1.5 times it on the
// mean, at 1 to 3 times at the outside (American Wood Council on NDS 3.5.2; Wood Handbook
// FPL-GTR-190, ch. 5). The end is taken at ten years.
const (
	creepMean, creepMost = 0.5, 2.0
	creepEndDays         = 3650.0
)

// Creep is what wood adds to a bend within days after the first, as shares of it: on the
// mean and at most; the least is nothing. Equal shares in equal ratios of time: creep runs
// with the logarithm of time (same sources). Both are known to little more than their
// size.
func Creep(days float64) (mean, most float64) {
	share := math.Max(0, math.Log(days)/math.Log(creepEndDays))
	return creepMean * share, creepMost * share
}
