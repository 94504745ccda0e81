package material

import "slices"

// Listing is a trade-treaty entry that touches a wood, with its date. Meetings
// held later may have changed it; the national authority decides.
type Listing struct {
	Species   string `json:"species"`
	Taxon     string `json:"taxon"`
	Listing   string `json:"listing"`
	Rule      string `json:"rule"`
	Effective string `json:"effective"`
	Status    string `json:"status"`
	Source    string `json:"source"`
}

// Listings are the entries that touch these woods, each taxon once.
func Listings(woods ...Species) []Listing {
	list, seen := []Listing{}, map[string]bool{}
	for _, s := range woods {
		for _, r := range embedded("trade_listings") {
			if r["species"] == s.InData && !seen[r["taxon"]] {
				seen[r["taxon"]] = true
				list = append(list, Listing{s.Name, r["taxon"], r["listing"], r["instrument_rule"], r["effective"], r["status"], r["source"]})
			}
		}
	}
	return list
}

// GlueGrade is a grade of cyanoacrylate as sold.
type GlueGrade struct {
	Name          string
	ViscosityMPas Range   // from memory: generic trade practice
	LargestGapMM  float64 // that it fills and still sets, as read
}

// GlueGrades are thin, medium and thick, from thin to thick.
func GlueGrades() []GlueGrade {
	v := glueValues()
	return []GlueGrade{
		{"thin", v["thin (wicking) grade viscosity"], v["low-viscosity grade, largest gap"].High},
		{"medium", v["medium grade viscosity"], v["medium-viscosity grade, largest gap"].High},
		{"thick", v["thick grade viscosity"], v["high-viscosity grade, largest gap"].High},
	}
}

// GlueTension is the surface tension in N/m (from memory).
func GlueTension() Range { return glueValues()["surface tension, liquid"].Times(1e-3) }

// SetTime is a published time, in seconds, to handling strength at a gap in mm.
type SetTime struct{ GapMM, Seconds float64 }

// GlueSetTimes are the times of cyanoacrylate without activator, by gap: the
// Handbook of Adhesive Technology's figures at 1, 5 and 15 mil.
func GlueSetTimes() []SetTime {
	v := glueValues()
	return []SetTime{
		{0.025, v["handling strength time, gap 1 mil (0.025 mm)"].Mid()},
		{0.127, v["steel/steel ethyl 25 C, 0.005 in gap, without activator"].Mid()},
		{0.38, v["handling strength time, gap 15 mil (0.38 mm)"].Mid()},
	}
}

// GlueActivatedTimes are the times with activator, of the same chapter: its zero
// gap, where the time without activator is that of 1 mil, and 5 mil.
func GlueActivatedTimes() []SetTime {
	v := glueValues()
	return []SetTime{
		{0.025, v["steel/steel ethyl 25 C, zero gap, with activator"].Mid()},
		{0.127, v["steel/steel ethyl 25 C, 0.005 in gap, with activator"].Mid()},
	}
}

func glueValues() map[string]Range {
	v := map[string]Range{}
	for _, r := range embedded("cyanoacrylate") {
		v[r["item"]] = r.number("value")
	}
	return v
}

// WoodDust is the hazard class that the IARC sets for wood dust.
func WoodDust() string {
	limits := embedded("exposure_limits")
	return limits[slices.IndexFunc(limits, func(r row) bool { return r["substance"] == "wood dust" })]["value"]
}
