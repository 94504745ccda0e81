package plan

import (
	"fmt"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/wire"
)

// Trial is a bend tried on the maker's own wire: it was held at one radius and
// sprang back to the other, both at the crown's underside.
type Trial struct{ LoadedMM, FreeMM float64 }

// Wire is the metal a plan reckons with.
type Wire struct {
	Alloy         string         `json:"alloy,omitempty"` // "" where modulus and yield were given instead
	Designation   string         `json:"designation,omitempty"`
	Temper        string         `json:"temper,omitempty"`
	Source        string         `json:"source,omitempty"`
	Status        string         `json:"source_status,omitempty"` // "read", "from memory"
	ModulusMPa    float64        `json:"modulus_mpa"`
	YieldMPa      float64        `json:"yield_mpa"`
	YieldRange    material.Range `json:"yield_range_mpa"`         // of the softest and of the hardest wire to expect
	From          string         `json:"yield_from"`              // "trial", "given", "hardness", "alloy"
	Vickers       float64        `json:"hardness_hv,omitempty"`   // as given, else the temper's; 0 unknown
	StrainPct     float64        `json:"bend_strain_pct"`         // the greatest of any fret's fibres under load
	ElongationPct material.Range `json:"elongation_pct,omitzero"` // at which it breaks
	material.Work
	StrainFret int `json:"-"` // the fret so strained
	section    wire.Section
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
		w.Alloy, w.Designation, w.Work = alloy.Name, alloy.Designation, alloy.Work
	case m.Wire.Modulus <= 0 || m.Wire.Yield <= 0 && m.Wire.Hardness <= 0 && o.Trial == nil:
		return Wire{}, keyFault("wire.alloy", "%v", err)
	}
	hard, others, hardErr := alloy.Hard()
	if w.ModulusMPa <= 0 {
		w.ModulusMPa = hard.ModulusMPa.Mid()
	}
	if w.ModulusMPa <= 0 {
		return Wire{}, keyFault("wire.alloy", "no modulus is published for %s; give wire.modulus and wire.yield", m.Wire.Alloy)
	}
	if err := w.yield(m, o, hard, others, hardErr); err != nil {
		return Wire{}, err
	}
	w.nearest(alloy.Tempers)
	if w.Vickers <= 0 && w.ElongationPct.Given() && w.From == "alloy" {
		w.Vickers, _ = hard.Hardness()
	}
	return w, nil
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
		w.scatter()
	case hardErr != nil:
		return keyFault("wire.alloy", "%v", hardErr)
	default:
		w.only("alloy", yieldOf(hard))
		w.scatter()
		for _, t := range append(others, hard) {
			if t.YieldMPa.Given() && t.Temper != allTempers {
				w.YieldRange = material.Range{Low: min(w.YieldRange.Low, t.YieldMPa.Low), High: max(w.YieldRange.High, t.YieldMPa.High)}
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
	w.From, w.YieldMPa, w.YieldRange = from, yieldMPa, material.Range{Low: yieldMPa, High: yieldMPa}
}

// scatter widens a yield by how far it strays from a hardness or a table.
func (w *Wire) scatter() {
	w.YieldRange = material.Range{Low: w.YieldMPa * (1 - material.TaborScatter), High: w.YieldMPa * (1 + material.TaborScatter)}
}

// nearest picks the alloy's temper whose yield is nearest, for what it can be
// stretched.
func (w *Wire) nearest(tempers []material.Temper) {
	best := math.Inf(1)
	for _, t := range tempers {
		if !t.YieldMPa.Given() && !t.Vickers.Given() || !t.ElongationPct.Given() || t.Temper == allTempers {
			continue
		}
		y := yieldOf(t)
		if off := math.Abs(y - w.YieldMPa); off < best {
			best, w.Temper, w.Source, w.Status, w.ElongationPct = off, t.Temper, t.Source, t.Status, t.ElongationPct
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
		board, bent := f.BoardMM.Get()
		if !bent {
			continue
		}
		var loaded [3]float64
		var strain float64
		for k, yield := range []float64{w.YieldRange.High, w.YieldRange.Low, w.YieldMPa} {
			mm, b, err := w.section.LoadedRadius(wire.Metal{ModulusMPa: w.ModulusMPa, YieldMPa: yield}, board)
			if err != nil {
				fault(faults, "board.radius", "fret %d at %.4g mm: %v", f.Number, board, err)
				return
			}
			loaded[k], strain = mm, b.Strain
		}
		f.LoadedRange, f.LoadedMM = material.Range{Low: loaded[0], High: loaded[1]}, num.Some(loaded[2])
		if 100*strain > w.StrainPct {
			w.StrainPct, w.StrainFret, worst = 100*strain, f.Number, f
		}
	}
	if worst != nil && w.ElongationPct.Given() && w.StrainPct > w.ElongationPct.High {
		fault(faults, "board.radius", "fret %d bent to %.3g mm strains the wire %.2g %%; %s (%s) breaks at %.3g %%: use a softer wire or a flatter board",
			worst.Number, worst.LoadedMM.OrNaN(), w.StrainPct, w.Alloy, w.Temper, w.ElongationPct.High)
	}
}

// Compared is what another alloy would change.
type Compared struct {
	Alloy       string  `json:"alloy"`
	Designation string  `json:"designation"`
	Temper      string  `json:"temper"`
	YieldMPa    float64 `json:"yield_mpa"`
	LoadedMM    num.Opt `json:"bend_radius_mm"` // for the board at the middle fret
	Vickers     float64 `json:"hardness_hv,omitempty"`
	VickersHow  string  `json:"hardness_how,omitempty"`
	Wear        float64 `json:"wear_ratio,omitempty"` // at equal load and path, as 1 over hardness; 0 unknown
	Nip         float64 `json:"nip_ratio,omitempty"`  // force, as the tensile strengths; 0 unknown
	material.Work
	Source   string  `json:"source"`
	strength float64 // MPa; 0 unknown
}

// CompareAlloys sets the hard tempers of every alloy with published figures
// beside each other: the bend for the board at the middle fret, and hardness,
// wear and nipping against the first alloy, 18 % nickel silver.
//
// Wear is by Archard's law, volume K·P·L/(3H), at equal K: a ratio, no life in
// years (encyclopaedia table "Wear coefficient" for the equation).
func (p Plan) CompareAlloys() []Compared {
	board, bent := p.Frets[len(p.Frets)/2].BoardMM.Get()
	var list []Compared
	for _, a := range material.AllAlloys() {
		t, _, err := a.Hard()
		if err != nil || !t.ModulusMPa.Given() {
			continue
		}
		c := Compared{Alloy: a.Name, Designation: a.Designation, Temper: t.Temper, YieldMPa: yieldOf(t), Work: a.Work, Source: t.Source, strength: t.StrengthMPa.Mid()}
		c.Vickers, c.VickersHow = t.Hardness()
		if bent {
			mm, _, err := p.Wire.section.LoadedRadius(wire.Metal{ModulusMPa: t.ModulusMPa.Mid(), YieldMPa: c.YieldMPa}, board)
			if err != nil {
				continue
			}
			c.LoadedMM = num.Some(mm)
		}
		list = append(list, c)
	}
	base := Compared{}
	for _, c := range list {
		if c.Designation == baseAlloy {
			base = c
		}
	}
	for i := range list {
		c := &list[i]
		if c.Vickers > 0 {
			c.Wear = Worn(1, 1, 1, c.Vickers) / Worn(1, 1, 1, base.Vickers)
		}
		c.Nip = c.strength / base.strength
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
