package drift

import (
	"iter"
	"math"
)

// Rule is a pattern of points that calls for a look at the process. In each, a
// point signals only where it ends the window and lies itself beyond the zone
// that the rule speaks of, and only once a whole window has been read.
type Rule int

// The rules. The zone rules are Western Electric, "Statistical Quality Control
// Handbook" (1956); those of Nelson are Journal of Quality Technology 16
// (1984) 237.
const (
	Beyond3        Rule = iota // one point beyond 3 sigma
	TwoOfThree                 // 2 of 3 beyond 2 sigma, on one side
	FourOfFive                 // 4 of 5 beyond 1 sigma, on one side
	EightOneSide               // 8 in a row on one side of the centre
	NineOneSide                // 9 in a row on one side of the centre
	SixTrend                   // 6 in a row rising, or falling
	FourteenUpDown             // 14 in a row going up and down by turns
	FifteenWithin              // 15 in a row within 1 sigma
	EightBeyond                // 8 in a row beyond 1 sigma, on both sides
)

// longestWindow is how many points the longest rule looks at.
const longestWindow = 15

// String is the rule in words, as signals name it.
func (r Rule) String() string {
	switch r {
	case Beyond3:
		return "beyond 3 sigma"
	case TwoOfThree:
		return "2 of 3 beyond 2 sigma"
	case FourOfFive:
		return "4 of 5 beyond 1 sigma"
	case EightOneSide:
		return "8 in a row on one side"
	case NineOneSide:
		return "9 in a row on one side"
	case SixTrend:
		return "6 in a row rising or falling"
	case FourteenUpDown:
		return "14 in a row up and down"
	case FifteenWithin:
		return "15 in a row within 1 sigma"
	case EightBeyond:
		return "8 in a row beyond 1 sigma"
	}
	return "unknown rule"
}

// LimitRule is the limits alone.
func LimitRule() []Rule { return []Rule{Beyond3} }

// ZoneRules are the four zone rules of 1956.
func ZoneRules() []Rule { return []Rule{Beyond3, TwoOfThree, FourOfFive, EightOneSide} }

// NelsonRules are Nelson's eight tests of 1984, in his order.
func NelsonRules() []Rule {
	return []Rule{Beyond3, NineOneSide, SixTrend, FourteenUpDown, TwoOfThree, FourOfFive, FifteenWithin, EightBeyond}
}

// Signal is a point that calls for a look. Charts say where it stands, and what
// it is called.
type Signal struct {
	Index int     `json:"index"`           // of the point, from 1
	Rule  string  `json:"rule"`            // in words
	Since int     `json:"since,omitempty"` // for a cumulative sum: where its run began
	Value float64 `json:"value"`
	Label string  `json:"label,omitempty"`
	Date  string  `json:"date,omitempty"`
}

// Signals runs rules over standardised values, (value − centre)/sigma, and
// returns what they find, by index and then in the order of rules. z is not
// changed.
//
// Checked by TestSignals_RunRuleVectors.
func Signals(z []float64, rules []Rule) []Signal {
	n := 0 // where each of a million points signals, a list that grows takes its memory twice
	for range ending(z, rules) {
		n++
	}
	var found []Signal
	if n > 0 {
		found = make([]Signal, 0, n)
	}
	for i, r := range ending(z, rules) {
		found = append(found, Signal{Index: i + 1, Rule: r.String()})
	}
	return found
}

// ending gives the places at which rules find something.
func ending(z []float64, rules []Rule) iter.Seq2[int, Rule] {
	return func(yield func(int, Rule) bool) {
		for i := range z {
			seen := z[:i+1]
			for _, r := range rules {
				if r.ends(seen) && !yield(i, r) {
					return
				}
			}
		}
	}
}

// ends says whether the last of z completes the rule's pattern.
func (r Rule) ends(z []float64) bool {
	last := z[len(z)-1]
	switch r {
	case Beyond3:
		return math.Abs(last) > 3
	case TwoOfThree:
		return mostBeyond(z, 3, 2, 2)
	case FourOfFive:
		return mostBeyond(z, 5, 4, 1)
	case EightOneSide:
		return mostBeyond(z, 8, 8, 0)
	case NineOneSide:
		return mostBeyond(z, 9, 9, 0)
	case SixTrend:
		return steps(z, 6, false)
	case FourteenUpDown:
		return steps(z, 14, true)
	case FifteenWithin:
		return within(z, 15)
	case EightBeyond:
		return beyondBothSides(z, 8)
	}
	return false
}

// mostBeyond says whether at least least of the last window values lie more
// than limit beyond the centre on the side of the last one, which must too.
func mostBeyond(z []float64, window, least int, limit float64) bool {
	n := len(z)
	if n < window {
		return false
	}
	side := 1.0
	if z[n-1] < 0 {
		side = -1
	}
	if side*z[n-1] <= limit {
		return false
	}
	mayMiss := window - least
	for i := n - 2; i >= n-window; i-- {
		if side*z[i] <= limit {
			if mayMiss--; mayMiss < 0 {
				return false
			}
		}
	}
	return true
}

// steps says whether the last window values rise, or fall, without a rest; or, if
// byTurns, whether they go up and down by turns.
func steps(z []float64, window int, byTurns bool) bool {
	n := len(z)
	if n < window {
		return false
	}
	up := z[n-1] > z[n-2]
	for i := n - 1; i > n-window; i-- {
		if z[i] == z[i-1] || (z[i] > z[i-1]) != up {
			return false
		}
		up = up != byTurns
	}
	return true
}

// within says whether the last window values all lie within 1 sigma.
func within(z []float64, window int) bool {
	n := len(z)
	if n < window {
		return false
	}
	for i := n - 1; i >= n-window; i-- {
		if math.Abs(z[i]) >= 1 {
			return false
		}
	}
	return true
}

// beyondBothSides says whether the last window values all lie beyond 1 sigma,
// and not all on one side.
func beyondBothSides(z []float64, window int) bool {
	n := len(z)
	if n < window {
		return false
	}
	above, below := false, false
	for i := n - 1; i >= n-window; i-- {
		if math.Abs(z[i]) <= 1 {
			return false
		}
		above = above || z[i] > 0
		below = below || z[i] < 0
	}
	return above && below
}
