package trial

import (
	"fmt"
	"io"
	"strings"

	"ringtrue/internal/straight"
)

// Table writes the totals as two tables in Markdown, a row a class in each: how
// far off the heights are, and what is said of the necks. It returns w's error.
func Table(w io.Writer, totals []Total) error {
	var b strings.Builder
	b.WriteString("### How far off\n\n")
	head(&b, "class", "what it is", "necks", "rms, µm", "in grooves", "worst", "error over u, rms", "within 1.96 u",
		"averaging: rms / in grooves / worst, µm", "within 1.96 u", "rms over averaging's: median", "worst neck", "minutes of reading")
	for _, t := range totals {
		row(&b, t.Class.Name, t.Class.About, t.Necks, fmt.Sprintf("%.2f", t.Error.RMS/µ), dented(t.Error), fmt.Sprintf("%.0f", t.Error.Worst/µ),
			fmt.Sprintf("%.2f", t.Error.OverU), fmt.Sprintf("%.3f", t.Error.Within),
			fmt.Sprintf("%.2f / %s / %.0f", t.Plain.RMS/µ, dented(t.Plain), t.Plain.Worst/µ), fmt.Sprintf("%.3f", t.Plain.Within),
			fmt.Sprintf("%.2f", t.RatioMedian), fmt.Sprintf("%.2f", t.RatioWorst), fmt.Sprintf("%.0f", t.Minutes))
	}
	b.WriteString("\n### What it says\n\n")
	head(&b, "class", "deep grooves called low", "bad frets named", "other faults named", "misreads found", "good readings set aside",
		"sound crowns called off", "sound frets blamed", "necks with a false finding or work", "lanes", "wrongly level", "wrongly not level", straight.InDoubt,
		"crowns set aside yet sure", "level necks called level", "others called level")
	for _, t := range totals {
		s, other := t.Sum, t.Sum.Wholes // of a class only one kind, as a rule
		other.plus(s.Loose)
		other.plus(s.Passes)
		row(&b, t.Class.Name, s.Dents, s.Frets, other, s.Misread, s.Invented, s.Crowns,
			Count{s.BlamedFrets, s.SoundFrets}, t.BlamedNecks,
			s.Lanes, s.WrongLevel, s.WrongNot, s.Doubt, s.AsideSure, t.LevelNecks, t.WrongNecks)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// head writes a table's first two lines.
func head(b *strings.Builder, cells ...any) {
	row(b, cells...)
	b.WriteString("|" + strings.Repeat("---|", len(cells)) + "\n")
}

func row(b *strings.Builder, cells ...any) {
	for _, c := range cells {
		fmt.Fprintf(b, "| %v ", c)
	}
	b.WriteString("|\n")
}

// dented is the error in dents in micrometres, a dash where there are none.
func dented(v Spread) string {
	if v.Dented == 0 {
		return "–"
	}
	return fmt.Sprintf("%.2f", v.Dented/µ)
}

// String is "found of all", a dash where there was nothing to find.
func (c Count) String() string {
	if c.Of == 0 {
		return "–"
	}
	return fmt.Sprintf("%d of %d", c.Found, c.Of)
}

// Averaging says in a line what plain averaging gives on the same necks, over
// all classes.
func Averaging(totals []Total) string {
	better, short := 0, 0
	least, most := 1.0, 0.0
	for _, t := range totals {
		if t.Plain.RMS < t.Error.RMS {
			better++
		}
		if t.Plain.Within < 0.9 {
			short++
		}
		least, most = min(least, t.Plain.Within), max(most, t.Plain.Within)
	}
	return fmt.Sprintf("Averaging alone joins each lane's passes by least squares and sets nothing aside. It would be nearer the truth in %d of %d classes. "+
		"Its own u would cover %.0f to %.0f %% of its errors within 1.96 u, under 90 %% in %d classes. It names no fault.\n",
		better, len(totals), 100*least, 100*most, short)
}
