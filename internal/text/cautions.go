package text

import "ringtrue/internal/material"

// FilingCare is the caution of the listing where metal is filed.
const FilingCare = "Filings and nickel dust: extraction, keep them off eyes and skin, and follow the wire's label and the local rules."

// MetalCare is the caution where play takes metal off, and what stays.
const MetalCare = "Nut and saddle stay where they are. Nickel dust and filings: extraction, no bare hands to the eyes, and follow the wire's and the local rules."

// AfterFiling is what filing asks of whoever does it, as a picture says it.
const AfterFiling = "After filing: crown, polish, read again. Filings and nickel dust: draw them off, keep them from eyes and skin; the wire's label and local rules go first."

// PlanCautions are what can hurt in sawing, bending, pressing, gluing and
// nipping, short; the label, local codes and licensed practice rule.
func PlanCautions(alloy string) []string {
	c := []string{
		"glue: cotton, tissue and leather set cyanoacrylate off hot; keep them away, air the room, shield the eyes; stuck skin: warm soapy water, never pull; stuck eye: rinse, no solvent, see a doctor",
		"nipping: wire ends fly; goggles on, ends towards a bin",
		"pressing: fingers off wire and caul, use a stop",
		"dust: wood dust harms nose and lungs (IARC " + material.WoodDust() + "); extract it and wear a mask",
	}
	if !material.NickelFree(alloy) {
		c = append(c, "nickel: filings may harm the lungs and sensitise the skin, as long contact may; extract, wash hands")
	}
	return append(c, "the label, local codes and licensed practice rule over these lines")
}

// WoodCautions are what can hurt in working a board.
func WoodCautions() []string {
	return []string{
		"dust: wood dust harms nose and lungs (IARC " + material.WoodDust() + "), rosewoods and ebony may irritate the skin; extract it and wear a mask",
		"the label, local codes and licensed practice rule over these lines",
	}
}
