package reading

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/unit"
)

// Method is how a reading was taken.
type Method string

// The methods of the readings file.
const (
	Beam   Method = "beam"   // indicator on a straight beam along a lane
	Bridge Method = "bridge" // middle crown against its two outer ones
	Rocker Method = "rocker" // short edge held on the first two, gap over the third
	Edge   Method = "edge"   // long edge, feeler gap over each crown
	Probe  Method = "probe"  // a machine's touch points near a crown
	Arch   Method = "arch"   // depth gauge on two feet across the board
	Sticks Method = "sticks" // tilt of one fret seen against another
	Height Method = "height" // crown's height above the board
)

// SetUp is what a gauge's readings of one pass share, and nobody knows.
type SetUp int

// Kinds of set-up.
const (
	NoSetUp    SetUp = iota
	OffsetTilt       // an offset and a tilt in each lane: it lies along the lane
	Frame            // a machine's frame for the whole neck: rows are touches, x, y, z
)

// Found says how many shops have a gauge.
type Found int

// How often a gauge is found.
const (
	Seldom     Found = iota // only where the neck was read with it
	Often                   // worth proposing
	Everywhere              // no shop is without
)

// Spec is what a method is: all that the program has to know of a gauge, but for
// its equation (package heights) and its words (package text).
type Spec struct {
	Method Method

	// Rank orders the gauges that read crowns of one lane against each other, the
	// plainest first; 0 is of those that tell of the board, of one fret against
	// another, or of a crown over the board.
	Rank      int
	WholeLane bool    // of those: it can read a whole lane by itself
	Found     Found   // of these: which shops have it
	UMM       float64 // standard uncertainty where nothing tells, mm; 0: DefaultU

	Frets int // how many a row names; of a touch, which names none, the one it belongs to
	Told  int // which of them, from 0, the reading is reported under
	SetUp SetUp

	Low, High float64 // what it may read, mm
	Gap       bool    // a gap felt with leaves: the row may name no_go
	Rocks     bool    // it may say rocks or still
	Turned    bool    // it may lie end for end
	Across    bool    // it lies across the board: the lane may stay empty
	Span      string  // what the column span is of; empty where rows have none

	Led bool // the bench leads from crown to crown; else its readings come by file

	refuse func(Reading) string // why it cannot have read this; empty where it can
}

// specs has a row for each method, in the order in which messages list them. It
// is never changed.
var specs = [...]Spec{
	{Method: Beam, Rank: 1, WholeLane: true, Found: Often, Frets: 1, SetUp: OffsetTilt, Low: -maxReading, High: maxReading, Turned: true, Led: true},
	{Method: Bridge, Rank: 3, WholeLane: true, Found: Often, UMM: 0.003, Frets: 3, Told: 1, Low: -maxReading, High: maxReading, Led: true},
	{Method: Rocker, Rank: 4, Frets: 3, Told: 2, High: maxReading, Gap: true, Rocks: true, Led: true}, // over a low middle crown it tells a bound only
	{Method: Edge, Rank: 2, WholeLane: true, Found: Everywhere, UMM: 0.006, Frets: 1, SetUp: OffsetTilt, High: maxReading, Gap: true, Turned: true, Led: true},
	{Method: Probe, Rank: 5, WholeLane: true, Frets: 1, SetUp: Frame, Low: -maxTouch, High: maxTouch},
	{Method: Arch, Frets: 1, Low: -maxReading, High: maxReading, Across: true, Span: "between the feet of an arch", refuse: beyondArc},
	{Method: Sticks, Frets: 2, Low: -maxReading, High: maxReading, Across: true, Span: "over which sticks are seen"},
	{Method: Height, Frets: 1, High: maxCrown, Led: true, refuse: noHeight},
}

func beyondArc(r Reading) string {
	if r.Span > 0 && math.Abs(r.Value) >= r.Span/2 {
		return unit.Decimal(r.Value) + " mm is more than a half circle over a span of " + unit.Decimal(r.Span) + " mm"
	}
	return ""
}

func noHeight(r Reading) string {
	if r.Value == 0 {
		return "is 0; a crown's height is more than 0"
	}
	return ""
}

// Spec is the method's row; of a method that is none, an empty one.
func (m Method) Spec() Spec {
	for i := range specs {
		if specs[i].Method == m {
			return specs[i]
		}
	}
	return Spec{}
}

// Usual is the standard uncertainty, in mm, that a reading is taken to have where
// nothing tells.
func (s Spec) Usual() float64 {
	if s.UMM > 0 {
		return s.UMM
	}
	return DefaultU
}

// Signed reports whether it may read less than 0.
func (s Spec) Signed() bool { return s.Low < 0 }

// Methods lists the methods in the order in which messages list them.
func Methods() []Method { return methods(func(Spec) bool { return true }) }

func methods(is func(Spec) bool) []Method {
	all := make([]Method, 0, len(specs))
	for _, s := range specs {
		if is(s) {
			all = append(all, s.Method)
		}
	}
	return all
}

// OfCrowns lists the methods that read crowns of one lane against each other,
// the plainest first: package heights makes equations of them.
func OfCrowns() []Method { return ranked(func(s Spec) bool { return s.Rank > 0 }) }

// AlongLane lists the gauges that can read a whole lane, the plainest first.
func AlongLane() []Method { return ranked(func(s Spec) bool { return s.WholeLane }) }

// Led lists the methods that the bench leads from crown to crown.
func Led() []Method { return methods(func(s Spec) bool { return s.Led }) }

// ranked lists methods, those of crowns first and the plainest of them foremost.
func ranked(is func(Spec) bool) []Method {
	rank := func(m Method) uint { return uint(m.Spec().Rank) - 1 } // 0 goes last
	all := methods(is)
	slices.SortStableFunc(all, func(a, b Method) int { return cmp.Compare(rank(a), rank(b)) })
	return all
}

// Named joins the methods of which something holds, the plainest first: "beam or
// edge".
func Named(last string, is func(Spec) bool) string { return Join(ranked(is), last) }

// Join writes methods in a row, with a word before the last: "beam, edge or
// bridge".
func Join(methods []Method, last string) string {
	names := strings.Fields(strings.Trim(fmt.Sprint(methods), "[]"))
	if n := len(names); n > 1 {
		names = append(names[:n-2], names[n-2]+last+names[n-1])
	}
	return strings.Join(names, ", ")
}
