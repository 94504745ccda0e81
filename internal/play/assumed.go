package play

import (
	"fmt"
	"slices"

	"ringtrue/internal/stringset"
)

// Assumed is something that the notes rest on and that the neck file leaves to its
// default.
type Assumed struct {
	Key     string `json:"key"`               // what to write to replace it
	Strings []int  `json:"strings,omitempty"` // whose; none: of the neck
	Says    string `json:"says"`              // for the catalogue to fill in
}

// Keys that play can rest on without their being given.
const (
	AssumedGauge = "strings.set.gauge"
	AssumedWrap  = "strings.set.wrap"
	AssumedCore  = "strings.set.core"
	AssumedDecay = "strings.damping"
	AssumedBow   = "setup.relief_to"
	AssumedTouch = "setup.touch"
)

// Assumed lists what the notes rest on that nobody gave.
func (n *Neck) Assumed() []Assumed {
	all := []Assumed{}
	add := func(key string, is func(int, stringset.String) bool) {
		var of []int
		for i, s := range n.Strings {
			if is(i, s) {
				of = append(of, i+1)
			}
		}
		if of != nil {
			all = append(all, Assumed{Key: key, Strings: of})
		}
	}
	left := func(key string) bool { return slices.Contains(n.Model.Assumed, key) }
	add(AssumedGauge, func(i int, _ stringset.String) bool {
		return left(fmt.Sprintf("strings.set[%d].gauge", i+1)) && (n.Set == nil || PitchAlone(n.Set[i]))
	})
	add(AssumedWrap, func(_ int, s stringset.String) bool { return s.WrapTaken })
	add(AssumedCore, func(_ int, s stringset.String) bool { return s.CoreTaken })
	add(AssumedDecay, func(i int, _ stringset.String) bool {
		_, common := n.dampingOf(i + 1)
		return left(AssumedDecay) && common
	})
	if n.Model.Setup.Relief != 0 && left(AssumedBow) {
		all = append(all, Assumed{Key: AssumedBow})
	}
	if left(AssumedTouch) {
		all = append(all, Assumed{Key: AssumedTouch})
	}
	return all
}
