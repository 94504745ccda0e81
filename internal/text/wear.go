package text

import (
	"fmt"
	"math"

	"ringtrue/internal/num"
)

// farYear is where a forecast stops being told by the year.
const farYear = 2200

// Reached says a range of years in words.
func Reached(soonest, latest num.Opt, already bool) string {
	year := func(y float64) string {
		if y >= farYear {
			return fmt.Sprintf("after %d", farYear)
		}
		return fmt.Sprintf("%.0f", math.Floor(y))
	}
	switch {
	case already:
		return "already"
	case !soonest.Known():
		return "cannot be told"
	case !latest.Known():
		return year(soonest.Or(0)) + " or later"
	case year(soonest.Or(0)) == year(latest.Or(0)):
		return year(soonest.Or(0))
	}
	return year(soonest.Or(0)) + " to " + year(latest.Or(0))
}
