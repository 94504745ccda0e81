package glue

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/wood"
)

// Kind is a kind of glue.
type Kind string

// The kinds of glue. Thin, medium and thick are grades of cyanoacrylate.
const (
	Thin      Kind = "thin"
	Medium    Kind = "medium"
	Thick     Kind = "thick"
	PVA       Kind = "pva"
	Hide      Kind = "hide"
	Epoxy5    Kind = "epoxy-5"
	EpoxySlow Kind = "epoxy-slow"
)

// Kinds lists the kinds of glue.
func Kinds() []Kind { return []Kind{Thin, Medium, Thick, PVA, Hide, Epoxy5, EpoxySlow} }

// Cyanoacrylate says whether a kind is a grade of it.
func (k Kind) Cyanoacrylate() bool { return k == Thin || k == Medium || k == Thick }

// Water says whether a kind brings water into the slot.
func (k Kind) Water() bool { return k == PVA || k == Hide }

// Case is glue around a tang, in some air.
type Case struct {
	Kind        Kind
	Activator   bool
	TempC       float64
	HumidityPct float64
	Wood        material.Wood // of the board
	BesideMM    float64       // between the tang and each wall; not above 0: none
	FloorMM     float64       // under the tang
	DepthMM     float64       // of the slot
}

// Where a gap is.
const (
	Beside = "beside the tang"
	Under  = "under the tang"
)

// Gap is one of the two gaps, and what the glue does in it. Times are of
// cyanoacrylate only.
type Gap struct {
	Where      string     `json:"where"`
	MM         float64    `json:"gap_mm"`
	PublishedS num.Opt    `json:"published_s,omitzero"` // to handling strength, on steel at 25 °C
	HandlingS  num.Opt    `json:"handling_s,omitzero"`  // here, likely
	RangeS     *wood.Span `json:"handling_range_s,omitempty"`
	BridgesMM  num.Opt    `json:"bridges_to_mm,omitzero"` // the widest gap that the grade fills and sets in
	Bridged    bool       `json:"bridged"`
	AtLeast    bool       `json:"at_least,omitempty"` // wider than any published: it takes longer
}

// Reason is what a wait rests on.
type Reason string

// Reasons.
const (
	FullStrength Reason = "full strength"
	Activated    Reason = "activator"
	Moisture     Reason = "moisture"
	Cured        Reason = "cured"
	OwnTest      Reason = "your own test"
)

// Outlook is how long to wait.
type Outlook struct {
	Gaps    []Gap
	Factors []Factor
	WaitH   float64   // until the frets may be levelled, the careful end
	Range   wood.Span // in which it lies
	Why     Reason
	Better  Kind    // the runniest grade that bridges every gap; "" where none does, or the chosen one does
	FloorTo float64 // the floor gap that the chosen grade bridges; 0: not asked
}

// Errors of Look: activator with another glue than cyanoacrylate, and air that no
// figures are known for.
var (
	ErrActivator   = errors.New("activator")
	ErrTemperature = errors.New("temperature")
)

// Waits from memory (workshop practice), in h.
const (
	fullH     = 24.0
	activeH   = 1.0
	epoxy5H   = 1.0 // at least
	epoxy5MoH = 2.0 // to be sure
	backShare = 0.9 // of a water-based glue's moisture that has left again
)

// Look says how long glue needs.
func Look(c Case) (Outlook, error) {
	switch {
	case c.Activator && !c.Kind.Cyanoacrylate():
		return Outlook{}, fmt.Errorf("%w goes with cyanoacrylate: %s, %s or %s", ErrActivator, Thin, Medium, Thick)
	case !(c.TempC >= 0 && c.TempC <= 50):
		return Outlook{}, fmt.Errorf("%w: %.4g °C lies outside 0 to 50 °C", ErrTemperature, c.TempC)
	}
	o := Outlook{}
	if c.Kind.Cyanoacrylate() {
		o.Factors = c.factors()
	}
	o.Gaps = []Gap{c.gap(Beside, math.Max(0, c.BesideMM), o.Factors), c.gap(Under, c.FloorMM, o.Factors)}
	o.better(c)
	return o, o.wait(c)
}

// gap works out what the glue does in a gap.
func (c Case) gap(where string, mm float64, factors []Factor) Gap {
	g := Gap{Where: where, MM: mm, Bridged: true}
	if !c.Kind.Cyanoacrylate() {
		return g
	}
	seconds := SetSeconds(mm)
	if c.Activator {
		seconds = ActivatedSeconds(mm)
	}
	s := wood.Span{Low: seconds, Likely: seconds, High: seconds}
	for _, f := range factors {
		s = wood.Span{Low: s.Low * f.Range.Low, Likely: s.Likely * f.Likely, High: s.High * f.Range.High}
	}
	g.PublishedS, g.HandlingS, g.RangeS, g.AtLeast = num.Some(seconds), num.Some(s.Likely), &s, mm > WidestMM()
	most := bridges(c.Kind)
	g.BridgesMM, g.Bridged = num.Some(most), mm <= most+1e-9
	return g
}

// bridges is the widest gap, in mm, that a grade fills and sets in.
func bridges(k Kind) float64 {
	for _, g := range material.GlueGrades() {
		if g.Name == string(k) {
			return g.LargestGapMM
		}
	}
	return 0
}

// better finds the grade that bridges every gap, where the chosen one does not.
func (o *Outlook) better(c Case) {
	if !c.Kind.Cyanoacrylate() || o.Gaps[0].Bridged && o.Gaps[1].Bridged {
		return
	}
	o.FloorTo = bridges(c.Kind)
	for _, k := range []Kind{Thin, Medium, Thick} {
		if max(o.Gaps[0].MM, o.Gaps[1].MM) <= bridges(k)+1e-9 {
			o.Better = k
			return
		}
	}
}

// wait finds how long until the frets may be levelled. A gap that the glue does
// not bridge has no part in it: nothing sets there.
func (o *Outlook) wait(c Case) error {
	span := func(low, high float64, why Reason) {
		o.Range, o.WaitH, o.Why = wood.Span{Low: low, Likely: high, High: high}, high, why
	}
	switch {
	case c.Kind.Water():
		// The water's way out: through the board's face, from as deep as the slot. The
		// slot's walls are end grain, which is faster: the careful end.
		d, err := wood.Slab{ThicknessMM: c.DepthMM, OneFace: true}.Days(backShare)
		if err != nil {
			return err
		}
		span(max(fullH, 24*d.Low), max(fullH, 24*d.High), Moisture)
	case c.Kind == Epoxy5:
		span(epoxy5H, epoxy5MoH, Cured)
	case c.Kind == EpoxySlow:
		span(fullH, fullH, Cured)
	case c.Activator:
		span(activeH, fullH, Activated)
		o.WaitH = max(activeH, o.slowestH())
		o.Range.Low = o.WaitH
		o.Range.High = max(o.Range.High, o.WaitH)
		o.Range.Likely = o.WaitH
	default:
		span(fullH, fullH, FullStrength)
		o.WaitH = max(fullH, o.slowestH())
		o.Range = wood.Span{Low: fullH, Likely: fullH, High: o.WaitH}
	}
	return nil
}

// slowestH is the slow end of handling times in the gaps that the glue bridges.
func (o *Outlook) slowestH() float64 {
	slowest := 0.0
	for _, g := range o.Gaps {
		if g.Bridged && g.RangeS != nil {
			slowest = max(slowest, g.RangeS.High/3600)
		}
	}
	return slowest
}

// ByTest takes the wait from the shop's own test: its careful end. A test of mixed
// series, or of another gap or air than the case, does not shorten a wait; nor does
// any shorten that for a water-based glue's moisture, which no force shows.
func (o *Outlook) ByTest(c Case, readings []Push, f Fit) {
	if f.Verdict != Fitted {
		return
	}
	own := wood.Span{Low: f.Range.Low / 60, Likely: f.WaitMin / 60, High: f.Range.High / 60}
	far, _ := FarFrom(readings, c)
	if own.High < o.WaitH && (c.Kind.Water() || far || SpreadOf(readings).Mixed()) {
		return
	}
	o.Range, o.WaitH, o.Why = own, own.High, OwnTest
}

// CaseOf is the case of a neck's slots, in a board of this wood.
func CaseOf(m neck.Model, board material.Wood) Case {
	return Case{Wood: board, BesideMM: (m.Slot.Width - m.Wire.TangWidth) / 2, FloorMM: m.Slot.FloorGap, DepthMM: m.Wire.TangDepth + m.Slot.FloorGap}
}
