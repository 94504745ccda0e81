package setup

import (
	"errors"
	"math"

	"ringtrue/internal/num"
)

// Bridge is what was measured at the bridge. Either will do.
type Bridge struct {
	TopMM   num.Opt // how far the crowns' line, run on to the saddle, passes above the bridge's top; below 0 under it
	LeastMM float64 // the saddle has to show so much (screws: to stand so far above their end)
}

// Usual shows of a saddle over the bridge, for the strings to break over it
// (2 to 3 mm, from memory), and over the end of its screws.
const (
	LeastShowsMM  = 2.0
	LeastScrewsMM = 0.0
)

// Joint is how the neck meets the body, in the lane of one string.
type Joint struct {
	Fret     int
	XMM      float64 // of the edge that the neck turns about, 0 where not known
	HeelMM   float64 // heel's depth from the board to its cap; 0: no such heel
	PocketMM float64 // length of a bolt-on neck's pocket; 0: no pocket
	Share    float64 // of the saddle's height that action is: its fret's place over the scale
}

// ErrNoBridge says that nothing was measured at the bridge.
var ErrNoBridge = errors.New("how much of the saddle shows was not measured")

// Verdict is what is to be done about a neck's angle.
type Verdict string

// The verdicts.
const (
	SaddleHasIt Verdict = "saddle" // it can go as low as wanted
	MetalHasIt  Verdict = "metal"  // it cannot, but crowns off at the nut end could make up for it
	ResetNeck   Verdict = "reset"  // a set neck's heel
	ShimNeck    Verdict = "shim"   // a bolt-on neck's pocket
	TurnNeck    Verdict = "angle"  // how the neck is joined is not known
)

// Showing is how much of the saddle shows under one string.
type Showing struct {
	String  int     `json:"string"`
	IsMM    float64 `json:"shows_mm"`
	AfterMM float64 `json:"shows_after_mm"`
	TopMM   float64 `json:"bridge_top_mm"`
}

// Angle is what is said of a neck's angle.
type Angle struct {
	Verdict  Verdict   `json:"verdict"`
	Strings  []Showing `json:"strings"`
	LeastMM  float64   `json:"saddle_least_mm"` // what has to show
	ShortMM  float64   `json:"short_mm"`        // how much the saddle lacks under the string that needs most; 0: it has it
	String   int       `json:"string"`          // that string, or the one with least to spare
	ActionMM float64   `json:"action_short_mm"` // the same as action
	// What crowns can buy: MetalMM off fret 1, tapering to nothing at the last, raises their
	// line at the saddle by MetalRiseMM.
	MetalMM     float64 `json:"metal_mm"`
	MetalRiseMM float64 `json:"metal_rise_mm"`
	// The neck turned back so far that the line rises by RaiseMM at the saddle.
	RaiseMM  float64 `json:"raise_mm"`
	AngleDeg num.Opt `json:"angle_deg"`            // missing where neck.joint is not known
	HeelMM   num.Opt `json:"heel_cap_mm,omitzero"` // off a heel at its cap, tapering to nothing at the board
	ShimMM   num.Opt `json:"shim_mm,omitzero"`     // a wedge's thick end, under the neck's inner end in its pocket
	EvenMM   num.Opt `json:"even_shim_mm,omitzero"`
}

// TurnRad is the angle, in radians, that a neck turns back by about x for the line
// of its crowns to rise by so much at the saddle: rise/(L − x).
func TurnRad(riseMM, xMM, scaleMM float64) float64 { return riseMM / (scaleMM - xMM) }

// HeelCapMM is what comes off a heel's cap for that, tapering to nothing at the board.
func HeelCapMM(riseMM, xMM, scaleMM, heelMM float64) float64 {
	return heelMM * TurnRad(riseMM, xMM, scaleMM)
}

// ShimRiseMM is how far the line rises at the saddle by a shim under the neck's inner
// end in a pocket, its mouth at x: t(L − x)/b.
func ShimRiseMM(shimMM, xMM, scaleMM, pocketMM float64) float64 {
	return shimMM * (scaleMM - xMM) / pocketMM
}

// MetalRiseMM is how far the line of the crowns rises at the saddle by filing: so much
// off at x from, falling evenly to nothing at x to.
func MetalRiseMM(metalMM, fromMM, toMM, scaleMM float64) float64 {
	return metalMM * (scaleMM - toMM) / (toMM - fromMM)
}

// AngleOf weighs what the saddle has against what the cuts take of it. over is the
// lane of each cut's string, joint the neck's joint there. A saddle of height s over
// the crowns' line shows s + p over a bridge whose top lies p under that line. It runs
// out where less than LeastMM would show, beyond what was measured; then the line must rise. A set neck is turned
// back at least until p = 0, by workshop practice (from memory); one whose joint is not known, by what
// the saddle lacks. A string of which neither is known is passed over.
// Errors: ErrNoBridge, where none is left.
func AngleOf(cuts []Cut, over []Over, joint []Joint, b Bridge) (*Angle, error) {
	a := &Angle{Verdict: SaddleHasIt, LeastMM: b.LeastMM, MetalMM: math.Inf(1)}
	worst, top := math.Inf(-1), math.Inf(1)
	var at int
	for i, c := range cuts {
		p := b.TopMM
		if shows, known := c.ShowsMM.Get(); known {
			p = num.Some(shows - c.Saddle.IsMM)
		}
		if !p.Known() {
			continue
		}
		s := Showing{String: c.String, TopMM: p.OrNaN(), IsMM: c.Saddle.IsMM + p.OrNaN(), AfterMM: c.Saddle.WantedMM + p.OrNaN()}
		a.Strings = append(a.Strings, s)
		if short := b.LeastMM - s.AfterMM; short > worst {
			worst, at = short, i
		}
		top = math.Min(top, s.TopMM)
		a.MetalMM = math.Min(a.MetalMM, over[i].Lane.Crowns[0].SpareMM)
	}
	if len(a.Strings) == 0 {
		return nil, ErrNoBridge
	}
	a.String = cuts[at].String
	if worst > cuts[at].Saddle.UMM { // less is not told from none
		a.ShortMM = worst
	}
	lane, j := over[at].Lane, joint[at]
	crowns := lane.Crowns
	a.MetalRiseMM = MetalRiseMM(a.MetalMM, crowns[0].XMM, crowns[len(crowns)-1].XMM, lane.ScaleMM)
	if len(crowns) < 2 {
		a.MetalRiseMM = 0
	}
	if a.ShortMM > 0 {
		a.turn(lane.ScaleMM, top, j)
	}
	return a, nil
}

// turn says how far the neck must be turned, and by what.
func (a *Angle) turn(scale, top float64, j Joint) {
	a.ActionMM, a.RaiseMM = j.Share*a.ShortMM, a.ShortMM
	switch {
	case a.ShortMM <= a.MetalRiseMM:
		a.Verdict = MetalHasIt
	case j.PocketMM > 0:
		a.Verdict = ShimNeck
	case j.HeelMM > 0:
		a.Verdict, a.RaiseMM = ResetNeck, math.Max(a.ShortMM, -top)
	default:
		a.Verdict = TurnNeck
	}
	if j.XMM <= 0 {
		return
	}
	a.AngleDeg = num.Some(TurnRad(a.RaiseMM, j.XMM, scale) * 180 / math.Pi)
	if j.HeelMM > 0 {
		a.HeelMM = num.Some(HeelCapMM(a.RaiseMM, j.XMM, scale, j.HeelMM))
	}
	if j.PocketMM > 0 {
		a.ShimMM = num.Some(a.RaiseMM / ShimRiseMM(1, j.XMM, scale, j.PocketMM))
		a.EvenMM = num.Some(a.RaiseMM)
	}
}
