package plan

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/wire"
)

// Trial is a bend tried on the maker's own wire: it was held at one radius and
// sprang back to the other, both at the crown's underside.
type Trial struct{ LoadedMM, FreeMM float64 }

// Wire is the metal a plan reckons with.
type Wire struct {
	Alloy         *material.Alloy // nil where modulus and yield were given instead
	Temper        *material.Temper
	ModulusMPa    float64
	YieldMPa      float64
	LowMPa        float64 // yield of the softest wire to expect
	HighMPa       float64 // and of the hardest
	From          string  // where the yield comes from: "trial", "given", "hardness", "alloy"
	Vickers       float64 // as given, else the temper's; 0 unknown
	ElongationPct material.Range
	MostStrainPct float64 // the greatest of any fret's fibres under load
	section       wire.Section
}

// metal finds modulus and yield: the maker's own figures first, a trial bend
// before them for the yield, then a hardness, then the alloy's hard temper.
func metal(m neck.Model, o Options) (Wire, error) {
	s, err := wire.FretWire(m.Wire.CrownWidth, m.Wire.CrownHeight, m.Wire.TangWidth, m.Wire.TangDepth)
	if err != nil {
		return Wire{}, keyFault("wire", "%v", err)
	}
	w := Wire{ModulusMPa: m.Wire.Modulus, Vickers: m.Wire.Hardness, section: s}
	alloy, err := material.FindAlloy(m.Wire.Alloy)
	switch {
	case err == nil:
		w.Alloy = &alloy
	case m.Wire.Modulus <= 0 || m.Wire.Yield <= 0 && m.Wire.Hardness <= 0 && o.Trial == nil:
		return Wire{}, keyFault("wire.alloy", "%v", err)
	}
	hard, others, hardErr := hardTemper(w.Alloy)
	if w.ModulusMPa <= 0 {
		w.ModulusMPa = hard.ModulusMPa.Mid()
	}
	if w.ModulusMPa <= 0 {
		return Wire{}, keyFault("wire.alloy", "no modulus is published for %s; give wire.modulus and wire.yield", m.Wire.Alloy)
	}
	if err := w.yield(m, o, hard, others, hardErr); err != nil {
		return Wire{}, err
	}
	w.nearest()
	if w.Vickers <= 0 && w.Temper != nil && w.From == "alloy" {
		w.Vickers, _ = hard.Hardness()
	}
	return w, nil
}

func hardTemper(a *material.Alloy) (hard material.Temper, others []material.Temper, err error) {
	if a == nil {
		return hard, nil, errors.New("no alloy")
	}
	return a.Hard()
}

// yield settles the yield and how far it may stray.
func (w *Wire) yield(m neck.Model, o Options, hard material.Temper, others []material.Temper, hardErr error) error {
	switch {
	case o.Trial != nil:
		y, err := w.section.FitYield(w.ModulusMPa, o.Trial.LoadedMM, o.Trial.FreeMM)
		if err != nil {
			return fmt.Errorf("trial of %g mm loaded, %g mm free: %w", o.Trial.LoadedMM, o.Trial.FreeMM, err)
		}
		w.only("trial", y)
	case m.Wire.Yield > 0:
		w.only("given", m.Wire.Yield)
	case m.Wire.Hardness > 0:
		w.only("hardness", material.YieldFromVickers(m.Wire.Hardness))
		w.LowMPa, w.HighMPa = w.YieldMPa*(1-material.TaborScatter), w.YieldMPa*(1+material.TaborScatter)
	case hardErr != nil:
		return keyFault("wire.alloy", "%v", hardErr)
	default:
		w.only("alloy", yieldOf(hard))
		w.LowMPa, w.HighMPa = w.YieldMPa*(1-material.TaborScatter), w.YieldMPa*(1+material.TaborScatter)
		for _, t := range append(others, hard) {
			if t.YieldMPa.Given() && t.Temper != allTempers {
				w.LowMPa, w.HighMPa = math.Min(w.LowMPa, t.YieldMPa.Low), math.Max(w.HighMPa, t.YieldMPa.High)
			}
		}
	}
	return nil
}

// allTempers marks a row that gives one range for an alloy from soft to hard.
const allTempers = "all tempers"

// yieldOf is a temper's yield: the top of a range that runs over all tempers,
// the middle of any other, a third of the hardness where none is printed.
func yieldOf(t material.Temper) float64 {
	switch {
	case t.YieldMPa.Given() && t.Temper == allTempers:
		return t.YieldMPa.High
	case t.YieldMPa.Given():
		return t.YieldMPa.Mid()
	}
	return material.YieldFromVickers(t.Vickers.Mid())
}

func (w *Wire) only(from string, yieldMPa float64) {
	w.From, w.YieldMPa, w.LowMPa, w.HighMPa = from, yieldMPa, yieldMPa, yieldMPa
}

// nearest picks the alloy's temper whose yield is nearest, for what it can be
// stretched.
func (w *Wire) nearest() {
	if w.Alloy == nil {
		return
	}
	best := math.Inf(1)
	for i, t := range w.Alloy.Tempers {
		if !t.YieldMPa.Given() && !t.Vickers.Given() || !t.ElongationPct.Given() || t.Temper == allTempers {
			continue
		}
		y := yieldOf(t)
		if off := math.Abs(y - w.YieldMPa); off < best {
			best, w.Temper, w.ElongationPct = off, &w.Alloy.Tempers[i], t.ElongationPct
		}
	}
}

// bend finds each fret's radius under load, for the wire reckoned with and for
// the hardest and the softest, and refuses a bend that the wire cannot take.
func (p *Plan) bend(m neck.Model, faults *fileerr.List) {
	w := &p.Wire
	var worst *Fret
	for i := range p.Frets {
		f := &p.Frets[i]
		if f.BoardMM <= 0 {
			continue
		}
		var strain float64
		for _, c := range []struct {
			yield float64
			out   *float64
		}{{w.HighMPa, &f.LoadedLow}, {w.LowMPa, &f.LoadedHigh}, {w.YieldMPa, &f.LoadedMM}} {
			mm, b, err := w.section.LoadedRadius(wire.Metal{ModulusMPa: w.ModulusMPa, YieldMPa: c.yield}, f.BoardMM)
			if err != nil {
				fault(faults, "board.radius", "fret %d at %.4g mm: %v", f.Number, f.BoardMM, err)
				return
			}
			*c.out, strain = mm, b.Strain
		}
		if 100*strain > w.MostStrainPct {
			w.MostStrainPct, worst = 100*strain, f
		}
	}
	if worst == nil || !w.ElongationPct.Given() {
		return
	}
	switch {
	case w.MostStrainPct > w.ElongationPct.High:
		fault(faults, "board.radius", "fret %d would have to be bent to %.3g mm, which strains the wire %.2g %%; %s (%s) breaks at %.3g %%: use a softer wire or a flatter board",
			worst.Number, worst.LoadedMM, w.MostStrainPct, w.Alloy.Name, w.Temper.Temper, w.ElongationPct.High)
	case w.MostStrainPct > w.ElongationPct.Low:
		p.note("fret %d is strained %.2g %% in the bend; some of this alloy breaks at %.3g %%: try a piece first", worst.Number, w.MostStrainPct, w.ElongationPct.Low)
	}
}

func (p *Plan) note(format string, args ...any) {
	p.Notes = append(p.Notes, fmt.Sprintf(format, args...))
}

// Compared is what another alloy would change.
type Compared struct {
	Alloy      material.Alloy
	Temper     material.Temper
	YieldMPa   float64
	LoadedMM   float64 // radius under load for the same board
	Vickers    float64
	VickersHow string
	Strength   float64 // MPa; 0 unknown
	Wear       float64 // wear at equal load and path against the plan's wire, as 1 over hardness; 0 unknown
	Nip        float64 // force to nip against the plan's wire, as the tensile strengths; 0 unknown
}

// CompareAlloys sets the hard tempers of every alloy with published figures
// beside each other: the bend for a board of boardMM (0: flat, no bend), and
// hardness, wear and nipping against the first alloy, 18 % nickel silver.
//
// Wear is by Archard's law, volume K·P·L/(3H), at equal K: a ratio, no life in
// years (encyclopaedia table "Wear coefficient" for the equation).
func (w Wire) CompareAlloys(boardMM float64) []Compared {
	var list []Compared
	for _, a := range material.AllAlloys() {
		t, _, err := a.Hard()
		if err != nil || !t.ModulusMPa.Given() {
			continue
		}
		c := Compared{Alloy: a, Temper: t, YieldMPa: yieldOf(t), Strength: t.StrengthMPa.Mid()}
		c.Vickers, c.VickersHow = t.Hardness()
		if boardMM > 0 {
			mm, _, err := w.section.LoadedRadius(wire.Metal{ModulusMPa: t.ModulusMPa.Mid(), YieldMPa: yieldOf(t)}, boardMM)
			if err != nil {
				continue
			}
			c.LoadedMM = mm
		}
		list = append(list, c)
	}
	base := Compared{}
	for _, c := range list {
		if c.Alloy.Designation == baseAlloy {
			base = c
		}
	}
	for i := range list {
		c := &list[i]
		if c.Vickers > 0 {
			c.Wear = Worn(1, 1, 1, c.Vickers) / Worn(1, 1, 1, base.Vickers)
		}
		c.Nip = c.Strength / base.Strength
	}
	return list
}

// baseAlloy is what the others are compared with.
const baseAlloy = "C75200"

// Worn is Archard's wear volume in mm³, K·P·L/(3H), for a load in N, a path in
// mm and a Vickers hardness. K spreads over orders of magnitude and no value is
// published for string on wire: only ratios mean something.
func Worn(k, loadN, pathMM, vickers float64) float64 {
	return k * loadN * pathMM / (3 * vickers * material.StandardGravity)
}
