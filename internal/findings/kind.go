package findings

// Kinds of findings, as JSON has them: the words beside them may change, these
// do not.
const (
	KindWorn      = "worn"
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
