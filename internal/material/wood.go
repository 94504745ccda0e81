package material

import (
	"slices"
	"strings"
)

// Species is one row of the wood table. A range not given by its source is
// empty; figures are at 12 % moisture where the name does not say otherwise.
type Species struct {
	Name              string  `json:"name"` // "sugar maple"
	Botanical         string  `json:"botanical"`
	RadialPct         float64 `json:"shrink_radial_pct"` // shrinkage green to oven-dry
	TangentialPct     float64 `json:"shrink_tangential_pct"`
	SaturationPct     float64 `json:"fibre_saturation_pct"` // that goes with these shrinkages
	ModulusMPa        Range   `json:"modulus_mpa"`          // along the grain
	CrushAlongMPa     Range   `json:"crushing_along_mpa"`   // strength along the grain
	DensityKgM3       Range   `json:"density_kg_m3"`
	FromMemory        string  `json:"from_memory,omitempty"`
	CoefficientStatus string  `json:"coefficient_note,omitempty"`
	Source            string  `json:"source"`

	InData          string         `json:"-"` // as the table writes it: "Maple, sugar (hard)"
	RadialCoeff     float64        `json:"-"` // change of width per per cent of moisture, as published or derived
	TangentialCoeff float64        `json:"-"`
	OtherCoeffs     []Coefficients `json:"-"`
}

// Coefficients is another published pair of change coefficients.
type Coefficients struct {
	Radial, Tangential float64
	Status, Source     string
}

// Wood is what a name stands for: Species to reckon with, and the Others that
// the name may mean or that another source gives.
type Wood struct {
	Asked   string
	Species Species
	Others  []Species
}

// All lists every species the name may stand for, the one reckoned with first.
func (w Wood) All() []Species { return append([]Species{w.Species}, w.Others...) }

// AllSpecies is the wood table in its own order.
func AllSpecies() []Species {
	var list []Species
	other := map[string][]Coefficients{}
	for _, r := range embedded("wood_coefficients") {
		other[r["species"]] = append(other[r["species"]], Coefficients{
			Radial: r.number("c_r_per_pct").Mid(), Tangential: r.number("c_t_per_pct").Mid(),
			Status: r["status"], Source: r["source"],
		})
	}
	for _, r := range embedded("wood_species") {
		list = append(list, Species{
			Name: spokenName(r["species"]), InData: r["species"], Botanical: r["botanical"],
			DensityKgM3:       r.density(),
			RadialPct:         r.number("shrink_radial_pct").Mid(),
			TangentialPct:     r.number("shrink_tangential_pct").Mid(),
			SaturationPct:     r.number("fsp_pct").Mid(),
			RadialCoeff:       r.number("c_r_per_pct").Mid(),
			TangentialCoeff:   r.number("c_t_per_pct").Mid(),
			CoefficientStatus: r["c_status"],
			OtherCoeffs:       other[r["species"]],
			ModulusMPa:        r.number("moe_12pct_gpa").Times(1000),
			CrushAlongMPa:     r.number("comp_parallel_mpa"),
			FromMemory:        r["fields_from_memory"],
			Source:            r["source"],
		})
	}
	return list
}

// density is the printed density, else that of the specific gravity: G on
// the 12 % volume gives 1000·G·1.12 kg/m³ (Wood Handbook FPL-GTR-190 (2010),
// ch. 4). A basic gravity, on the green volume, gives a density a little low.
func (r row) density() Range {
	if d := r.number("density_12pct_kg_m3"); d.Given() {
		return d
	}
	return r.number("sg_12pct").Times(Density(1, 12))
}

// Density is a wood's density in kg/m³ from its specific gravity and moisture:
// 1000·G·(1 + M/100), Wood Handbook FPL-GTR-190 (2010), ch. 4.
func Density(gravity, moisturePct float64) float64 { return 1000 * gravity * (1 + moisturePct/100) }

// spokenName turns "Maple, sugar (hard)" into "sugar maple". Data sets of one
// wood keep their letter: "wenge (set A)".
func spokenName(s string) string {
	s, _, _ = strings.Cut(s, " (")
	family, kind, two := strings.Cut(s, ", ")
	switch {
	case !two:
		return strings.ToLower(s)
	case strings.HasPrefix(kind, "set "):
		return strings.ToLower(family) + " (" + kind + ")"
	}
	for _, proper := range []string{"African", "American", "Brazilian", "Indian"} {
		if kind == proper {
			return kind + " " + strings.ToLower(family)
		}
	}
	return kind + " " + strings.ToLower(family)
}

// FindWood looks a wood up by trade name, by the table's own name in either
// order, or by its botanical name. An unknown name gives an *UnknownError with
// the near ones.
func FindWood(name string) (Wood, error) {
	all := AllSpecies()
	asked := normal(name)
	w := Wood{Asked: name}
	for _, r := range embedded("wood_names") {
		if normal(r["name"]) == asked {
			return w.of(all, strings.Split(r["species"], ";")), nil
		}
	}
	for _, s := range all {
		if slices.Contains([]string{normal(s.Name), normal(s.InData), normal(s.Botanical)}, asked) {
			w.Species = s
			return w, nil
		}
	}
	var names []string
	for _, s := range all {
		if holdsWords(normal(s.InData), asked) {
			names = append(names, s.InData)
		}
	}
	if len(names) > 0 {
		return w.of(all, names), nil
	}
	return Wood{}, &UnknownError{Kind: "wood", Asked: name, Near: near(name, WoodNames())}
}

// of fills in the species of these table names.
func (w Wood) of(all []Species, names []string) Wood {
	for i, n := range names {
		for _, s := range all {
			switch {
			case s.InData != n:
			case i == 0:
				w.Species = s
			default:
				w.Others = append(w.Others, s)
			}
		}
	}
	return w
}

// holdsWords reports whether every word of asked is a word of name.
func holdsWords(name, asked string) bool {
	words := strings.Fields(name)
	for _, a := range strings.Fields(asked) {
		if !slices.Contains(words, a) {
			return false
		}
	}
	return asked != ""
}

// WoodNames lists every name a wood may be asked by: the trade's, then the
// table's.
func WoodNames() []string {
	var names []string
	for _, r := range embedded("wood_names") {
		names = append(names, r["name"])
	}
	for _, s := range AllSpecies() {
		if !slices.Contains(names, s.Name) {
			names = append(names, s.Name)
		}
	}
	return names
}
