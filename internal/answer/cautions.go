package answer

import "ringtrue/internal/material"

// planCautions are what can hurt in sawing, bending, pressing, gluing and
// nipping, short; the label, local codes and licensed practice rule.
func planCautions(a *WorkPlan) []string {
	c := []string{
		"glue: cotton, tissue and leather set cyanoacrylate off hot; keep them away, air the room, shield the eyes; stuck skin: warm soapy water, never pull; stuck eye: rinse, no solvent, see a doctor",
		"nipping: wire ends fly; goggles on, ends towards a bin",
		"pressing: fingers off wire and caul, use a stop",
		"dust: wood dust harms nose and lungs (" + woodDust() + "); extract it and wear a mask",
	}
	if !nickelFree(a.Wire.Designation) {
		c = append(c, "nickel: filings may harm the lungs and sensitise the skin, as long contact may; extract, wash hands")
	}
	return append(c, "the label, local codes and licensed practice rule over these lines")
}

// woodDust is the hazard class of wood dust and who set it.
func woodDust() string {
	for _, l := range material.Limits() {
		if l.Substance == "wood dust" {
			return "IARC " + l.Value
		}
	}
	return "a hazard"
}

// nickelFree are the bronzes of the alloy table that hold no nickel to speak of.
func nickelFree(designation string) bool {
	switch designation {
	case "C51000", "C19500", "CuSn6 CW452K":
		return true
	}
	return false
}
