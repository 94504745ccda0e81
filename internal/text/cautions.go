package text

import (
	"ringtrue/internal/glue"
	"ringtrue/internal/material"
)

// FilingCare is the caution of the listing where metal is filed.
const FilingCare = "Filings and nickel dust: extraction, keep them off eyes and skin, and follow the wire's label and the local rules."

// MetalCare is the caution where play takes metal off, and what stays.
const MetalCare = "Nut and saddle stay where they are. Nickel dust and filings: extraction, no bare hands to the eyes, and follow the wire's and the local rules."

// AfterFiling is what filing asks of whoever does it, as a picture says it.
const AfterFiling = "After filing: crown, polish, read again. Filings and nickel dust: draw them off, keep them from eyes and skin; the wire's label and local rules go first."

// cyanoacrylateCare is what cyanoacrylate asks for.
const cyanoacrylateCare = "glue: cotton, tissue and leather set cyanoacrylate off hot; keep them away, air the room, shield the eyes; stuck skin: warm soapy water, never pull; stuck eye: rinse, no solvent, see a doctor"

// GlueCare is the caution of the listing where glue goes in.
const GlueCare = "Glue: air the room, goggles on, off the skin. The label and local rules first."

// GlueCautions are what can hurt in gluing and in pushing frets out for a test.
func GlueCautions(k glue.Kind) []string {
	var c []string
	switch {
	case k.Cyanoacrylate():
		c = append(c, cyanoacrylateCare)
	case k == glue.Epoxy5, k == glue.EpoxySlow:
		c = append(c, "glue: epoxy and its hardener may sensitise the skin; gloves, air the room, sand it only when hard and with a mask")
	default:
		c = append(c, "glue: hide glue and its pot are hot; keep glue off eyes and skin")
	}
	return append(c, "pressing and push-out tests: fingers off wire and caul, goggles on; scraps and wire fly when they let go",
		"the label, local codes and licensed practice rule over these lines")
}

// PlanCautions are what can hurt in sawing, bending, pressing, gluing and
// nipping, short; the label, local codes and licensed practice rule.
func PlanCautions(alloy string) []string {
	c := []string{
		cyanoacrylateCare,
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
