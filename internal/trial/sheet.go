package trial

import (
	"fmt"
	"io"
	"strings"
)

// Table writes the totals as a table in Markdown, a row a class. It returns w's
// error.
func Table(w io.Writer, totals []Total) error {
	var b strings.Builder
	b.WriteString("| class | necks | error, µm: rms / in grooves / worst | error over u; within 1.96 u | of averaging: median, worst neck | " +
		"grooves called low | bad frets named | whole-neck faults, loose ends, passes named | sound crowns called off | necks with a false finding or false work | " +
		"lanes: wrongly level, wrongly not level, in doubt | misreads found; good readings set aside | level necks called level; others called level | minutes |\n")
	b.WriteString("|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n")
	for _, t := range totals {
		s := t.Sum
		fmt.Fprintf(&b, "| %s | %d | %s | %.2f; %.3f | %.2f, %.2f | %s | %s | %s, %s, %s | %s | %d | %d, %d, %d of %d | %s; %d | %s; %d | %.0f |\n",
			t.Class.Name, t.Necks, t.Error.microns(), t.Error.OverU, t.Error.Within, t.RatioMedian, t.RatioWorst,
			s.Dents, s.Frets, s.Wholes, s.Loose, s.Passes, s.Crowns, t.BlamedNecks,
			s.WrongLevel, s.WrongNot, s.Doubt, s.Lanes, s.Misread, s.Invented, t.LevelNecks, t.WrongNecks, t.Minutes)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// microns are the errors in micrometres.
func (v Spread) microns() string {
	dented := "–"
	if v.Dented > 0 {
		dented = fmt.Sprintf("%.2f", v.Dented/µ)
	}
	return fmt.Sprintf("%.2f / %s / %.0f", v.RMS/µ, dented, v.Worst/µ)
}

// String is "found of all", a dash where there was nothing to find.
func (c Count) String() string {
	if c.Of == 0 {
		return "–"
	}
	return fmt.Sprintf("%d of %d", c.Found, c.Of)
}

// Averaging says in one paragraph what plain averaging gives on the same necks.
func Averaging(totals []Total) string {
	parts := make([]string, len(totals))
	for i, t := range totals {
		parts[i] = fmt.Sprintf("%s %s (within 1.96 u: %.3f)", t.Class.Name, t.Plain.microns(), t.Plain.Within)
	}
	return "Averaging alone, each lane's passes joined by least squares and nothing set aside, would give, in µm (rms / in grooves / worst): " +
		strings.Join(parts, "; ") + ".\n"
}
