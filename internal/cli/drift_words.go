package cli

import (
	"fmt"
	"io"

	"ringtrue/internal/drift"
)

// What the terms of the charts mean for the shop. The terms themselves stay:
// they are those of the standards.
const (
	sigmaWords  = "sigma: how far a value strays by chance alone, two in three by less (a standard deviation); lower, upper: the limits, which a steady shop hardly ever leaves"
	alarmWords  = "every: points from one false alarm to the next; expected: false alarms in a series this long; here: the stretches that signal in this series; last: how soon a level that moved by 1 sigma is seen"
	stepsWords  = "ask what changed in the shop then: wire, glue, press, hand, wood, gauge"
	levelsWords = "a step of the level makes points signal by itself: take the steps first"
)

// indexWords is what each capability index means for the shop.
func indexWords(name string) string {
	switch name {
	case "Cp":
		return "Cp: as if it were centred"
	case "Cpk":
		return "Cpk: by the nearer side of what is wanted"
	case "Cpm":
		return "Cpm: held against the aim"
	case "Ppk":
		return "Ppk: as Cpk, with all the scatter of the whole time"
	}
	return name
}

// inSteady says how often chance alone does what a p-value belongs to.
func inSteady(p float64) string {
	switch {
	case p < 0.001:
		return "in fewer than 1 of 1000"
	case p < 0.0095:
		return fmt.Sprintf("in about %.0f of 1000", 1000*p)
	}
	return fmt.Sprintf("in about %.0f of 100", 100*p)
}

// ruleWords is what a rule's signal means for the shop.
func ruleWords(rule string) string {
	switch rule {
	case drift.Beyond3.String():
		return "outside the limits; ask what was different with this one"
	case drift.TwoOfThree.String():
		return "two of three neighbours far out on the same side; the level may have moved"
	case drift.FourOfFive.String():
		return "four of five neighbours out on the same side; the level may have moved a little"
	case drift.EightOneSide.String(), drift.NineOneSide.String():
		return "all above the centre, or all below it; the level may have moved"
	case drift.SixTrend.String():
		return "it creeps one way; look for what wears, warms up or dries"
	case drift.FourteenUpDown.String():
		return "by turns; two hands, two presses or two settings may be mixed"
	case drift.FifteenWithin.String():
		return "quieter than chance; the limits may be too wide, or each value a mixture"
	case drift.EightBeyond.String():
		return "none near the centre; two kinds may be mixed in one series"
	}
	return ""
}

// rules explains the rules that a listing of signals names, each once.
func (t driftText) rules(w io.Writer, all []stretch) {
	told := map[string]bool{}
	for _, s := range all {
		if words := ruleWords(s.Rule); words != "" && !told[s.Rule] {
			told[s.Rule] = true
			wrap(w, "  ", s.Rule+": "+words)
		}
	}
}

// step says of one step of the level from where on, what it is now and was
// before, and how sure that is.
func (t driftText) step(c drift.Shift) string {
	from := fmt.Sprintf("from point %d", c.First)
	if c.Label != "" {
		from += " (" + clip(c.Label, 16) + ")"
	}
	if c.Date != "" {
		from += ", " + c.Date + ","
	}
	between := fmt.Sprintf("it came between point %d and %d", c.Earliest, c.Latest)
	if c.Earliest == c.Latest {
		between = fmt.Sprintf("it came at point %d", c.Earliest)
	}
	if c.FromDate != "" && c.ToDate != "" && c.Earliest != c.Latest {
		between += ", " + c.FromDate + " and " + c.ToDate + ","
	}
	return fmt.Sprintf("%s on: %s ± %s, before that %s ± %s; %s with 95 %% confidence; a steady shop shows such a step %s series (p %s)",
		from, t.number(c.After), t.size(c.UAfter), t.number(c.Before), t.size(c.UBefore), between, inSteady(c.P), probability(c.P))
}

// partsDiffer says whether the parts differ, and what the test is worth.
func (t driftText) partsDiffer(w io.Writer) {
	d := t.answer.PartsDiffer
	if d == nil {
		return
	}
	what := "means"
	if t.answer.Chart == "proportion" {
		what = "shares"
	}
	how := "by no more than chance"
	if d.P < 0.05 {
		how = "by more than chance"
	}
	wrap(w, "  ", fmt.Sprintf("their %s differ %s: were all alike, %s as far apart as these would come %s series (%s, p %s)",
		what, how, what, inSteady(d.P), d.Test, probability(d.P)))
}
