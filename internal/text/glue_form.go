package text

import (
	"fmt"

	"ringtrue/internal/glue"
)

// GlueFormTitle heads a push-out test to fill in.
func GlueFormTitle(f glue.Form) string {
	if f.Neck == "" {
		return "Push-out test"
	}
	return f.Neck + ": push-out test"
}

// GlueFormAbout says what the form shows.
func GlueFormAbout(f glue.Form) string {
	return fmt.Sprintf("A blank form for a push-out test of glued frets: %s, each pushed out after its own time.", Count(len(f.Minutes), "scrap"))
}

// GlueFormRules say how the test is made.
func GlueFormRules(f glue.Form) []string {
	wood, slot := "the board's wood", "slot and wire as you build"
	if f.Wood != "" {
		wood = f.Wood
	}
	if f.BesideMM > 0 || f.FloorMM > 0 {
		slot += fmt.Sprintf(" (%.2f mm beside the tang, %.2f mm under it)", max(0, f.BesideMM), f.FloorMM)
	}
	return []string{
		fmt.Sprintf("Cut %s of %s, %s. Glue them all from one pour and start the clock.", Count(len(f.Minutes), "scrap"), wood, slot),
		"At each time push one fret out from below with a scale, and write the most that it took. Write x where a scrap failed.",
		"Note gap, temperature and humidity. One form, one air: another form in drier or damper air shows what humidity does.",
	}
}

// GlueFormFields are what is written by hand above the table.
func GlueFormFields() []string { return []string{"date", "by", "glue", "activator"} }

// GlueFormColumns head the table of a form.
func GlueFormColumns() []string {
	return []string{"after", "pushed at", "force", "unit", "gap", "temperature", "humidity"}
}

// GlueFormTime is a row's time.
func GlueFormTime(minutes float64) string { return lasting(minutes * 60) }

// GlueFormTypeIn says how a filled form gets into the program.
func GlueFormTypeIn() string {
	return "To type it in: ringtrue glue NECK --form TEST.csv makes the table. Fill in force (and unit N, kgf or lbf), then ringtrue glue NECK TEST.csv"
}
