package findings

// What tests alone measure.

import (
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
)

// Next lists the fewest readings that would settle what is open, in the usual
// times: see NextIn.
func (n *Neck) Next(readings []reading.Reading) []Next {
	return n.NextIn(readings, readplan.Usual())
}
