package plan

import (
	"math"

	"ringtrue/internal/glue"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
)

// wettingDeg is the angle at which the glue is taken to wet metal and wood
// alike; it enters by its cosine. Assumed: no published angle could be read.
const wettingDeg = 20

// Glue is how much there is to fill and how it gets there.
type Glue struct {
	TotalMM3 float64 `json:"total_mm3"`
	GapMM    float64 `json:"wall_gap_mm"`     // on each side of the tang; 0: the tang fills the slot
	SetS     float64 `json:"set_s,omitempty"` // time to handling strength at that gap
	Grades   []Grade `json:"grades"`
	Way      Way     `json:"-"`
	Feed     string  `json:"-"` // the grade to feed, where one is
}

// Way is how the glue gets in.
type Way int

// Ways.
const (
	TangCloses    Way = iota // the tang closes the slot
	BindingCloses            // the binding closes the slot's ends
	FeedThrough              // from one end until it shows at the other
	FeedBothEnds             // from one end, then from the other
	FeedRunniest             // the same, by the runniest of its grade
	FeedNone                 // no grade creeps to the middle
)

// Grade is how one grade of cyanoacrylate flows into the longest slot.
type Grade struct {
	Name        string         `json:"grade"`
	MPas        material.Range `json:"viscosity_mpas"`
	FillMiddleS material.Range `json:"to_middle_s"` // from an end to the middle, thin to thick
	ReachMM     material.Range `json:"reach_mm"`    // before it gels, thick to thin
	Reaches     Reach          `json:"reaches"`
	TooWide     bool           `json:"gap_too_wide"` // the gap is wider than the grade fills and sets
}

// Reach is how far a grade gets along a slot.
type Reach string

// Reaches.
const (
	Across        Reach = "across"
	Middle        Reach = "the middle"
	PerhapsMiddle Reach = "perhaps the middle"
	Short         Reach = "short of the middle"
)

// SlitFillS is the time in s that a liquid takes to creep lengthMM into a slit:
// 6μL²/(γb(cos θ₁ + cos θ₂)) (Poiseuille, Young and Laplace, as Washburn 1921
// for tubes). Inertia counts under 1 ms, gravity hardly, and end grain drinks:
// the best case.
func SlitFillS(viscosityPas, tensionNM, gapMM, lengthMM, deg1, deg2 float64) float64 {
	l, b := lengthMM*1e-3, gapMM*1e-3
	return 6 * viscosityPas * l * l / (tensionNM * b * (cosDeg(deg1) + cosDeg(deg2)))
}

// SlitReachMM is how far it creeps in so many seconds: the reverse. A liquid
// that thickens e-fold in each τ seconds stops at the reach of τ seconds.
func SlitReachMM(viscosityPas, tensionNM, gapMM, seconds, deg1, deg2 float64) float64 {
	b := gapMM * 1e-3
	return 1e3 * math.Sqrt(tensionNM*b*(cosDeg(deg1)+cosDeg(deg2))*seconds/(6*viscosityPas))
}

func cosDeg(d float64) float64 { return math.Cos(d * math.Pi / 180) }

// glue fills in Glue from the longest slot.
func (p *Plan) glue(m neck.Model) {
	g := &p.Glue
	g.Grades = []Grade{}
	longest := 0.0
	for _, f := range p.Frets {
		g.TotalMM3 += math.Max(0, f.GlueMM3)
		longest = math.Max(longest, f.SlotMM)
	}
	g.GapMM = p.Fit.WallGapMM
	if g.GapMM <= 0 {
		g.Way = TangCloses
		return
	}
	g.SetS = glue.SetSeconds(g.GapMM)
	tension := material.GlueTension().Mid()
	for _, grade := range material.GlueGrades() {
		thin, thick := grade.ViscosityMPas.Low*1e-3, grade.ViscosityMPas.High*1e-3
		fill := func(v float64) float64 { return SlitFillS(v, tension, g.GapMM, longest/2, wettingDeg, wettingDeg) }
		reach := func(v float64) float64 { return SlitReachMM(v, tension, g.GapMM, g.SetS, wettingDeg, wettingDeg) }
		g.Grades = append(g.Grades, Grade{
			Name: grade.Name, MPas: grade.ViscosityMPas,
			FillMiddleS: material.Range{Low: fill(thin), High: fill(thick)},
			ReachMM:     material.Range{Low: reach(thick), High: reach(thin)},
			TooWide:     g.GapMM > grade.LargestGapMM,
			Reaches:     reaches(reach(thick), reach(thin), longest),
		})
	}
	g.feed(m.Board.Binding > 0)
}

// reaches says how far a grade gets along a slot.
func reaches(thick, thin, longest float64) Reach {
	switch {
	case thick >= longest:
		return Across
	case thick >= longest/2:
		return Middle
	case thin >= longest/2:
		return PerhapsMiddle
	}
	return Short
}

// feed finds the first grade that does, the runniest first, and how it is fed.
func (g *Glue) feed(bound bool) {
	if g.Way = FeedNone; bound {
		g.Way = BindingCloses
		return
	}
	ways := map[Reach]Way{Across: FeedThrough, Middle: FeedBothEnds, PerhapsMiddle: FeedRunniest}
	for _, grade := range g.Grades {
		if way, ok := ways[grade.Reaches]; ok && !grade.TooWide {
			g.Way, g.Feed = way, grade.Name
			return
		}
	}
}
