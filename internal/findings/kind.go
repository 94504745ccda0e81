package findings

import "ringtrue/internal/wear"

// Kinds of findings, as JSON has them: the words beside them may change, these
// do not.
const (
	KindWorn      = string(wear.Worn)
	KindPit       = "pit"
	KindBurr      = "burr"
	KindFretHigh  = "whole fret high"
	KindFretLow   = "whole fret low"
	KindSeat      = "end not seated"
	KindEndLow    = "end low"
	KindLoose     = "loose"
	KindCurved    = "curved"
	KindReadAgain = "read again"
	KindHump      = "hump"
	KindDip       = "dip"
	KindRise      = "rise"
	KindRadius    = "radius"
	KindTwist     = "twist"
	KindBow       = "bow"
)

// Case is what is wrong with a fret, closer than its kind.
type Case int

// Cases.
const (
	Sound  Case = iota
	HighIn      // in the one lane that was read
	LowIn
	WholeHigh
	WholeLow
	TrebleUnseated
	BassUnseated
	TrebleLow
	BassLow
	MiddleProud
	EndsProud
	OffIn       // crowns that make no shape together
	TrebleMoves // under the gauge
	BassMoves
	TrebleMayMove
	BassMayMove
	Burr
	Pit
	WornUnder
	DentOrMisread
	OneOfThree // this crown or a neighbour
)

// Kind is the case's kind.
func (c Case) Kind() string {
	return [...]string{HighIn: KindFretHigh, LowIn: KindFretLow, WholeHigh: KindFretHigh, WholeLow: KindFretLow,
		TrebleUnseated: KindSeat, BassUnseated: KindSeat, TrebleLow: KindEndLow, BassLow: KindEndLow,
		MiddleProud: KindCurved, EndsProud: KindCurved, OffIn: KindReadAgain, TrebleMoves: KindLoose, BassMoves: KindLoose,
		TrebleMayMove: KindReadAgain, BassMayMove: KindReadAgain, Burr: KindBurr, Pit: KindPit, WornUnder: KindWorn,
		DentOrMisread: KindReadAgain, OneOfThree: KindReadAgain}[c]
}
