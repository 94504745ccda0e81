package plan

import (
	"math"

	"ringtrue/internal/material"
	"ringtrue/internal/neck"
)

// wettingDeg is the angle at which the glue is taken to wet metal and wood
// alike; it enters by its cosine. Assumed: no published angle could be read.
const wettingDeg = 20

// Glue is how much there is to fill and how it gets there.
type Glue struct {
	TotalMM3 float64
	GapMM    float64 // of the wall on each side of the tang; 0: the tang fills the slot
	SetS     float64 // time to handling strength at that gap
	Grades   []Grade
	Put      string // what to do, in words
}

// Grade is how one grade of cyanoacrylate flows into the longest slot.
type Grade struct {
	Name        string
	MPas        material.Range
	FillMiddleS material.Range // from an end to the middle, thin to thick
	ReachMM     material.Range // before it gels, thick to thin
	TooWide     bool           // the gap is wider than the grade fills and sets
	Reaches     string         // "across", "the middle", "perhaps the middle", "short of the middle"
}

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

// SetSeconds is the time to handling strength at a gap, straight between the
// published times on logarithmic scales, and their nearest outside them.
func SetSeconds(gapMM float64) float64 {
	t := material.GlueSetTimes()
	if gapMM <= t[0].GapMM {
		return t[0].Seconds
	}
	for i := 1; i < len(t); i++ {
		if gapMM <= t[i].GapMM {
			w := math.Log(gapMM/t[i-1].GapMM) / math.Log(t[i].GapMM/t[i-1].GapMM)
			return t[i-1].Seconds * math.Pow(t[i].Seconds/t[i-1].Seconds, w)
		}
	}
	return t[len(t)-1].Seconds
}

// glue fills in Glue from the longest slot.
func (p *Plan) glue(m neck.Model) {
	g := &p.Glue
	longest := 0.0
	for _, f := range p.Frets {
		g.TotalMM3 += math.Max(0, f.GlueMM3)
		longest = math.Max(longest, f.SlotMM)
	}
	if p.Frets[0].GlueMM3 < 0 {
		p.note("the tang fills more than its slot: there is no room for glue")
	}
	g.GapMM = p.Fit.WallGapMM
	if g.GapMM <= 0 {
		g.Put = "the tang closes the slot: put glue in before the press, or none"
		return
	}
	g.SetS = SetSeconds(g.GapMM)
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
	g.Put = advice(g.Grades, m.Board.Binding > 0)
}

// reaches says in words how far a grade gets along a slot.
func reaches(thick, thin, longest float64) string {
	switch {
	case thick >= longest:
		return "across"
	case thick >= longest/2:
		return "the middle"
	case thin >= longest/2:
		return "perhaps the middle"
	}
	return "short of the middle"
}

// advice says how to get the glue in.
func advice(grades []Grade, bound bool) string {
	if bound {
		return "the binding closes the slot's ends: put glue in before the press"
	}
	for _, g := range grades {
		switch {
		case g.TooWide:
		case g.Reaches == "across":
			return "feed " + g.Name + " glue after the press, from one end, until it shows at the other"
		case g.Reaches == "the middle":
			return "feed " + g.Name + " glue after the press, from one end, wait, then from the other, so that air gets out"
		case g.Reaches == "perhaps the middle":
			return "feed the runniest " + g.Name + " glue there is after the press, from one end, wait, then from the other"
		}
	}
	return "no grade creeps to the middle before it gels: put glue in before the press"
}
