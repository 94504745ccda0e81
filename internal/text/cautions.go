package text

import (
	"ringtrue/internal/glue"
	"ringtrue/internal/material"
)

// FilingCare is the caution where metal is filed.
const FilingCare = "Filing nickel silver: extract the dust, keep it out of eyes and lungs and off skin, wash your hands. Labels and local rules come first."

// SandingCare is the caution where wood is sanded.
const SandingCare = "Sanding hardwood: extract the dust and wear a mask. Local rules come first."

// MetalCare is the caution where play takes metal off, and what stays.
const MetalCare = "Nut and saddle stay as they are. " + FilingCare

// AfterFiling is what filing asks of whoever does it, as a picture says it.
const AfterFiling = "After filing: crown, polish, read again. " + FilingCare

// cyanoacrylateCare is what cyanoacrylate asks for.
const cyanoacrylateCare = "glue: cotton, tissue and leather make cyanoacrylate set hot, so keep them away. Air the room, goggles on. Stuck skin: warm soapy water, never pull. Stuck eye: rinse, no solvent, see a doctor"

// cautionsLast ends a list of cautions.
const cautionsLast = "labels, local rules and licensed practice come first"

// GlueCare is the caution of the listing where glue goes in.
const GlueCare = "Glue: air the room, goggles on, off the skin. Labels and local rules come first."

// GlueFormCare is the caution of a push-out test's form.
const GlueFormCare = "Goggles on, fingers clear: scraps and wire fly when they let go. Glue: air the room, keep it off eyes and skin. Labels and local rules come first."

// PlanCare is the caution beside a plan in short.
const PlanCare = "Goggles for nipping, a mask for dust, air for glue. Labels and rules come first."

// SetupCare is the caution of a set-up.
const SetupCare = "Bone, shell and plastic dust: extract it and wear a mask. Slacken strings before you lift them. String ends whip: goggles on. Local rules come first."

// GlueCautions are what can hurt in gluing and in pushing frets out for a test.
func GlueCautions(k glue.Kind) []string {
	var c []string
	switch {
	case k.Cyanoacrylate():
		c = append(c, cyanoacrylateCare)
	case k == glue.Epoxy5, k == glue.EpoxySlow:
		c = append(c, "glue: epoxy and its hardener may sensitise skin. Wear gloves, air the room, sand it only when hard and with a mask")
	case k == glue.Hide:
		c = append(c, "glue: hide glue and its pot are hot; keep it off eyes and skin")
	default:
		c = append(c, "glue: keep it off eyes and skin")
	}
	return append(c, "pressing and push-out tests: fingers off wire and caul, goggles on; scraps and wire fly when they let go",
		cautionsLast)
}

// PlanCautions are what can hurt in sawing, bending, pressing, gluing and
// nipping, short; the label, local codes and licensed practice rule.
func PlanCautions(alloy string) []string {
	c := []string{
		cyanoacrylateCare,
		"nipping: wire ends fly; goggles on, ends towards a bin",
		"pressing: fingers off wire and caul, use a stop",
		"sawing: " + dustHarms() + "; extract it and wear a mask",
	}
	if !material.NickelFree(alloy) {
		c = append(c, FilingCare)
	}
	return append(c, cautionsLast)
}

// dustHarms says what wood dust does.
func dustHarms() string { return "wood dust harms nose and lungs (IARC " + material.WoodDust() + ")" }

// WoodCautions are what can hurt in working a board.
func WoodCautions() []string {
	return []string{
		SandingCare + " W" + dustHarms()[1:] + "; rosewoods and ebony may irritate the skin.",
		cautionsLast,
	}
}

// FileLater is the step where frets are pressed, glued or replaced first and nothing
// is planned off the others: whether these are level the next readings say.
const FileLater = "File nothing else yet: read again once that is done"
