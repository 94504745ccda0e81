package cli

import (
	"fmt"
	"io"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/material"
	"ringtrue/internal/text"
	"ringtrue/internal/wood"
)

// woodText prints the answer of `wood` for a person: ready or not first, then
// what the seasons do.
type woodText struct {
	out    io.Writer
	answer *answer.WoodAnswer
	all    bool
}

func (t woodText) print() {
	w := t.out
	if !t.all {
		t.short(w)
		return
	}
	t.ready(w)
	t.seasons(w)
	t.woods(w)
	t.listings(w)
	section(w, "Note", t.answer.Notes)
	section(w, "Caution", t.cautions())
}

// short prints ready or not, what to measure or wait for, and where to keep it.
func (t woodText) short(w io.Writer) {
	a, s := t.answer, &steps{w: w, short: true}
	t.head(w)
	if len(a.Listings) > 0 {
		wrap(w, "! ", text.WoodListed)
	}
	if words := text.WoodMeasure(a.Assumed); words != "" {
		s.step(words)
	}
	if !a.Ready {
		s.step(fmt.Sprintf("wait about %s (%s to %s), %s. Weigh it or use a meter", days(a.Days), days(a.DaysRange.Low), days(a.DaysRange.High), t.faces()))
	}
	s.step(t.keep())
	if len(a.Ends.Words) > 0 {
		s.step(sentence(a.Ends.Words[0]))
	}
	if len(a.Ends.Words) > 0 {
		wrap(w, "", text.FilingCare)
	}
}

// cautions are the answer's, after the one for filing the fret ends.
func (t woodText) cautions() []string {
	if len(t.answer.Ends.Words) == 0 {
		return t.answer.Cautions
	}
	return append([]string{text.FilingCare}, t.answer.Cautions...)
}

// waiting is how long the board needs.
func (t woodText) waiting() string {
	a := t.answer
	return fmt.Sprintf("wait about %s in that air, %s (%s to %s as wood varies). Weigh it or use a meter", days(a.Days), t.faces(), days(a.DaysRange.Low), days(a.DaysRange.High))
}

// faces says how many faces the board dries through.
func (t woodText) faces() string {
	if t.answer.OneFace {
		return "one face open"
	}
	return "both faces open"
}

// keep is the humidity to keep the neck at.
func (t woodText) keep() string {
	a := t.answer
	limits := fmt.Sprintf("fret ends within %s mm", short(a.Limits.ProudMM))
	if a.BowDry != nil {
		limits += fmt.Sprintf(" and bow within %s mm", short(a.Limits.BowMM))
	}
	return "keep it at " + window(a.Window) + " for " + limits
}

// head is the verdict and what it rests on.
func (t woodText) head(w io.Writer) {
	a := t.answer
	head := fmt.Sprintf("%s, %s board at %.1f %%: %s", a.Neck, a.Board.Name, a.BoardPct, text.WoodReady(a.Ready))
	if words := text.WoodAssumed(a.Assumed); words != "" {
		head += " (" + words + ")"
	}
	wrap(w, "", head)
	wrap(w, "", fmt.Sprintf("%.0f °C and %.0f %% humidity bring wood to %.1f %%; ready means within one point", a.Air.TempC, a.Air.HumidityPct, a.MoisturePct))
}

func (t woodText) ready(w io.Writer) {
	a := t.answer
	t.head(w)
	if words := text.WoodMeasure(a.Assumed); words != "" {
		wrap(w, "", words)
	}
	if !a.Ready {
		wrap(w, "", t.waiting())
	}
}

// days prints a time in the unit and with the digits it deserves.
func days(d float64) string {
	switch {
	case d < 0.1:
		return fmt.Sprintf("%.1f h", 24*d)
	case d < 2:
		return fmt.Sprintf("%.0f h", 24*d)
	case d < 10:
		return fmt.Sprintf("%.1f days", d)
	}
	return fmt.Sprintf("%.0f days", d)
}

func (t woodText) seasons(w io.Writer) {
	a := t.answer
	cut := "flat-sawn"
	if a.QuarterSawn {
		cut = "quarter-sawn"
	}
	fmt.Fprintf(w, "\nThrough the seasons\n")
	rows := [][]string{{"", "humidity %", "moisture %", "width mm", "range mm", "bow mm"}}
	bow := func(b *wood.Span) string {
		if b == nil {
			return "-"
		}
		return "±" + fmt.Sprintf("%.2f", math.Max(math.Abs(b.Low), math.Abs(b.High)))
	}
	rows = append(rows,
		[]string{"driest", fmt.Sprintf("%.0f", a.Air.DriestPct), fmt.Sprintf("%.1f", a.SeasonPct[0]), signed2(a.WidthMM[0]), signedSpan(a.WidthDry), bow(a.BowDry)},
		[]string{"dampest", fmt.Sprintf("%.0f", a.Air.DampestPct), fmt.Sprintf("%.1f", a.SeasonPct[1]), signed2(a.WidthMM[1]), signedSpan(a.WidthDamp), bow(a.BowDamp)})
	table(w, rows)
	if a.BowDry != nil {
		wrap(w, "  ", text.WoodBow)
	}
	wrap(w, "  ", fmt.Sprintf("%s, %s mm wide at the last fret", cut, short(a.BoardWidthMM)))
	if words := text.WoodSeasonsAssumed(a.Assumed, cut); words != "" {
		wrap(w, "  ", words)
	}
	for _, words := range a.Ends.Words {
		wrap(w, "  ", words)
	}
	wrap(w, "  ", t.keep())
}

// window names a range of humidity; an end that nothing limits is left out.
func window(w wood.Span) string {
	lo, hi := fmt.Sprintf("%.0f", math.Ceil(w.Low)), fmt.Sprintf("%.0f", math.Floor(w.High))
	switch {
	case w.Low <= 0 && w.High >= 100:
		return "any humidity"
	case w.High >= 100:
		return lo + " % humidity or more"
	case w.Low <= 0:
		return hi + " % humidity or less"
	}
	return lo + " to " + hi + " % humidity"
}

func signed2(v float64) string { return fmt.Sprintf("%+.2f", math.Round(v*100)/100+0) }

func signedSpan(v wood.Span) string {
	lo, hi := signed2(v.Low), signed2(v.High)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}

func (t woodText) woods(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w, "\nWood")
	for i, s := range append([]material.Species{a.Board}, a.BoardOthers...) {
		lead := "or "
		if i == 0 {
			lead = ""
		}
		wrap(w, "  ", fmt.Sprintf("%s%s (%s): shrinks %.1f %% radially, %.1f %% tangentially, green to oven-dry; %s", lead, s.Name, s.Botanical, s.RadialPct, s.TangentialPct, s.Source))
	}
	if a.NeckWood != nil {
		wrap(w, "  ", fmt.Sprintf("neck: %s (%s); %s", a.NeckWood.Name, a.NeckWood.Botanical, a.NeckWood.Source))
	}
}

func (t woodText) listings(w io.Writer) {
	for i, l := range t.answer.Listings {
		if i == 0 {
			fmt.Fprintln(w, "\nTrade treaty")
		}
		wrap(w, "  ", fmt.Sprintf("%s: %s: %s; in force %s (%s, %s)", l.Taxon, l.Listing, l.Rule, l.Effective, l.Source, l.Status))
	}
	if len(t.answer.Listings) > 0 {
		wrap(w, "  ", "taken here: a raw board is not a finished part (our reading, not a ruling). Later meetings may have changed the rule: ask your national authority")
	}
}

// runSpecies lists the woods of the data.
func runSpecies(s *streams, asJSON bool) error {
	list := material.AllSpecies()
	if asJSON {
		return s.printJSON(map[string]any{"species": list})
	}
	w := s.out
	rows := [][]string{{"wood", "radial %", "tangential %", "E GPa", "crush MPa"}}
	for _, x := range list {
		e, c := "-", "-"
		if m := x.ModulusMPa; m.Given() {
			e = spanned(m.Low/1000, m.High/1000, 1)
		}
		if m := x.CrushAlongMPa; m.Given() {
			c = spanned(m.Low, m.High, 0)
		}
		rows = append(rows, []string{x.Name, fmt.Sprintf("%.1f", x.RadialPct), fmt.Sprintf("%.1f", x.TangentialPct), e, c})
	}
	table(w, rows)
	fmt.Fprintln(w)
	wrap(w, "", "Shrinkage is from green to oven-dry; E and crushing strength along the grain at 12 % moisture. Sources, one per wood:")
	for _, x := range list {
		line := x.Name + " (" + x.Botanical + "): " + x.Source
		if x.FromMemory != "" {
			line += " (from memory: " + x.FromMemory + ")"
		}
		wrap(w, "  ", line)
	}
	return nil
}
