package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
)

// What the terms of the charts mean for the shop. The terms themselves stay:
// they are those of the standards.
const (
	DriftSigma   = "sigma: how far a value strays by chance; two in three stray less (a standard deviation). lower, upper: the limits, which a steady process hardly ever leaves"
	DriftAlarms  = "every: points from one false alarm to the next. expected: false alarms in a series this long. here: stretches that signal in this series. Last column: how soon a shift of 1 sigma is found"
	DriftSteps   = "ask what changed in the shop then: wire, glue, press, operator, wood, gauge"
	DriftLevels  = "a shift makes points signal by itself, so look into the shifts first"
	DriftUneven  = "limits differ from point to point; these are the last point's"
	DriftIndices = "at 1 the scatter just fits the limits, under 1 it does not"

	NoPattern     = "No fret is high, low or shifting beyond chance."
	PatternUnits  = "scatter: how far necks stray from the mean; two in three stray less (a standard deviation)"
	PatternChance = "p: how often a steady shop shows such a shift by chance; <0.001 is in fewer than 1 of 1000 series"
	PatternWith   = "with: tags that changed at the same time. They show where to look, not what the cause is"
	PatternDiffer = "differ? yes: these means are farther apart than chance explains (analysis of variance, allowing for the number of frets)"
)

// Sizes print the values of a series: with their decimals and unit.
type Sizes struct {
	Digits int
	Unit   string // "" for shares and bare numbers
}

// Number prints a value without its unit.
func (s Sizes) Number(v float64) string { return fmt.Sprintf("%.*f", s.Digits, v+0) }

// Size prints a value.
func (s Sizes) Size(v float64) string { return strings.TrimSpace(s.Number(v) + " " + s.Unit) }

// DriftCounts says what is charted, and how much there is to look at.
func DriftCounts(values, shifts int, c drift.Charts) string {
	what := fmt.Sprintf("%d values, chart of %s", values, c.Kind)
	switch c.Kind {
	case drift.KindMeans:
		what = fmt.Sprintf("%d values in %d groups, chart of their means", values, len(c.Groups))
	case drift.KindProportion:
		what = fmt.Sprintf("%d counts, chart of the share of faulty ones", values)
	case drift.KindCount:
		what = fmt.Sprintf("%d counts, chart of how many", values)
	}
	return fmt.Sprintf("%s; %s, %s to look at", what, Count(shifts, "shift"), Count(c.Flagged(), "point"))
}

// DriftFound says for a picture what was found, and whether the parts by a tag differ.
func DriftFound(values int, shifts []drift.Shift, c drift.Charts, by string, d *drift.Difference) string {
	words := DriftCounts(values, len(shifts), c) + "."
	if d != nil {
		differ := "do not differ by more than chance"
		if d.Real() {
			differ = "differ by more than chance"
		}
		words += fmt.Sprintf(" By %s they %s (p %s).", by, differ, Probability(d.P))
	}
	return words
}

// DriftStep says of one shift from where on, what it is now and was
// before, and how sure that is.
func DriftStep(c drift.Shift, s Sizes) string {
	from := fmt.Sprintf("from point %d", c.First)
	if c.Label != "" {
		from += " (" + c.Label + ")"
	}
	if dateSays(c) {
		from += ", " + c.Date + ","
	}
	between := fmt.Sprintf("It came between points %d and %d", c.Earliest, c.Latest)
	if c.Earliest == c.Latest {
		between = fmt.Sprintf("It came at point %d", c.Earliest)
	} else if c.FromDate != "" && c.ToDate != "" {
		between += ", " + c.FromDate + " and " + c.ToDate
	}
	return fmt.Sprintf("%s on: %s ± %s, before that %s ± %s, %s. %s (95 %% confidence). A steady shop shows such a shift %s series (p %s)",
		from, s.Number(c.After), s.Size(c.UAfter), s.Number(c.Before), s.Size(c.UBefore), TwoInThree, between, inSteady(c.P), Probability(c.P))
}

// DriftStepShort is a shift in short: from where on, and how much.
func DriftStepShort(c drift.Shift, s Sizes) string {
	from := fmt.Sprintf("point %d", c.First)
	if c.Label != "" {
		from += " (" + c.Label + ")"
	}
	if dateSays(c) {
		from += ", " + c.Date
	}
	return fmt.Sprintf("since %s: %s, before that %s", from, s.Size(c.After), s.Size(c.Before))
}

// dateSays reports whether a shift's date says more than its label, which may be a
// month or a day itself.
func dateSays(c drift.Shift) bool {
	return c.Date != "" && (c.Label == "" || !strings.HasPrefix(c.Date, c.Label))
}

// LookAtPoints names points that signal.
func LookAtPoints(points string) string {
	if strings.ContainsAny(points, ",- ") {
		return "Look at points " + points
	}
	return "Look at point " + points
}

// DriftPartsShort says whether the parts of a series differ.
func DriftPartsShort(kind drift.Kind, by string, d *drift.Difference) string {
	what, how := "means", "no more than by chance"
	if kind == drift.KindProportion {
		what = "shares"
	}
	if d.Real() {
		how = "more than by chance"
	}
	return fmt.Sprintf("by %s, %s differ %s (p %s)", by, what, how, Probability(d.P))
}

// DriftRule is what a rule's signal means for the shop; "" for what is no rule.
func DriftRule(rule string) string {
	switch rule {
	case drift.Beyond3.String():
		return "outside the limits; ask what was different with this one"
	case drift.TwoOfThree.String():
		return "two of three neighbours far out on the same side; the level may have shifted"
	case drift.FourOfFive.String():
		return "four of five neighbours out on the same side; the level may have shifted a little"
	case drift.EightOneSide.String(), drift.NineOneSide.String():
		return "all above the centre, or all below it; the level may have shifted"
	case drift.SixTrend.String():
		return "a steady creep; look for wear, warming up or drying"
	case drift.FourteenUpDown.String():
		return "up and down in turn; two operators, presses or settings may be mixed"
	case drift.FifteenWithin.String():
		return "quieter than chance; the limits may be too wide, or each value a mixture"
	case drift.EightBeyond.String():
		return "none near the centre; two kinds may be mixed in one series"
	}
	return ""
}

// DriftIndex is what each capability index means for the shop.
func DriftIndex(name string) string {
	switch name {
	case "Cp":
		return "Cp: as if it were centred"
	case "Cpk":
		return "Cpk: by the nearer limit"
	case "Cpm":
		return "Cpm: measured from the aim"
	}
	return "Ppk: like Cpk, from the scatter of the whole period"
}

// DriftWanted says what is wanted of the values.
func DriftWanted(w drift.Spec, s Sizes) string {
	var wanted []string
	if v, known := w.Lower.Get(); known {
		wanted = append(wanted, " at least "+s.Size(v))
	}
	if v, known := w.Upper.Get(); known {
		wanted = append(wanted, " at most "+s.Size(v))
	}
	return strings.Join(wanted, ",")
}

// DriftOutside says how many values miss what is wanted.
func DriftOutside(c *drift.Capability, values int) string {
	share := "under 0.001"
	if c.ExpectedOutsidePct >= 0.001 {
		share = fmt.Sprintf("%.2g", c.ExpectedOutsidePct)
	}
	return fmt.Sprintf("%d of %d values are outside; a steady process like this would give %s %%", c.Outside, values, share)
}

// DriftParts says whether the parts of a chart's series differ, and what the test
// is worth.
func DriftParts(kind drift.Kind, d *drift.Difference) string {
	what, how := "means", "by no more than chance"
	if kind == drift.KindProportion {
		what = "shares"
	}
	if d.Real() {
		how = "by more than chance"
	}
	return fmt.Sprintf("their %s differ %s. If all were alike, %s this far apart would come %s series (%s, p %s)",
		what, how, what, inSteady(d.P), d.Test, Probability(d.P))
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

// Probability prints a small chance.
func Probability(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// TagValue names the value of a tag, also where there is none.
func TagValue(tag string) string {
	if tag == "" {
		return "(none)"
	}
	return tag
}

// BookNote says which records of the book a series leaves out, or counts how.
func BookNote(n book.Note) string {
	switch n.Why {
	case book.Superseded:
		return Count(n.N, "record") + " left out: the same neck has a later one at this stage"
	case book.Untold:
		return fmt.Sprintf("%d of %d necks left out: their records do not have this figure", n.N, n.Of)
	case book.HeardEarlier:
		return Count(n.N, "play-through") + " left out: the same neck has a later one"
	case book.Undetermined:
		return fmt.Sprintf("%d of %d necks left out: none of their crowns is determined", n.N, n.Of)
	}
	return fmt.Sprintf("%d of %d necks are in doubt, and count as level here", n.N, n.Of)
}

// DriftCaution says what to mind about a chart.
func DriftCaution(c drift.Caution) string {
	switch c.Why {
	case drift.AlikeNeighbours:
		return fmt.Sprintf("successive values are related (correlation %.2f), so the limits are too tight: expect more false alarms than stated", c.R)
	case drift.TurningNeighbours:
		return fmt.Sprintf("successive values go up and down in turn (correlation %.2f): two operators, presses or settings may be mixed in one series", c.R)
	case drift.FewPoints:
		return fmt.Sprintf("the limits rest on %d points; under %d they are rough: expect more false alarms, or fewer signals, than stated", c.N, drift.RoughBelow)
	case drift.EqualValues:
		return "the values behind the limits are all equal: the gauge's step is too coarse for a chart"
	case drift.UnsteadyCapability:
		return "the process is not steady: capability says what it did, not what it will do"
	}
	return "no faults at all: with limits of 0 any fault is a signal"
}

// FretFindings says which frets stand off, and how many by too little to be named.
func FretFindings(found []drift.FretFinding, small int) []string {
	all := []string{}
	for _, f := range found {
		all = append(all, fretFinding(f))
	}
	if small > 0 {
		stand := "frets are"
		if small == 1 {
			stand = "fret is"
		}
		all = append(all, fmt.Sprintf("%d %s off by more than chance, but by less than %.3f mm", small, stand, drift.WorthMM))
	}
	return all
}

// fretFinding says where a fret stands on average, since when, and with what.
func fretFinding(f drift.FretFinding) string {
	if len(f.Shifts) == 0 {
		return fmt.Sprintf("fret %d is %s on average", f.Fret, standing(f.MeanMM))
	}
	first, last := f.Shifts[0], f.Shifts[len(f.Shifts)-1]
	if f.Creeps {
		way := "down"
		if last.Rises() {
			way = "up"
		}
		return fmt.Sprintf("fret %d drifts %s in %d shifts, from %s before neck %s (%s) to %s from neck %s (%s) on%s", f.Fret, way, len(f.Shifts),
			signedMM(first.Before), first.Label, month(first.Date), signedMM(last.After), last.Label, month(last.Date), together(last.With))
	}
	words := fmt.Sprintf("fret %d is %s from neck %s (%s) on%s; %s before", f.Fret, standing(last.After), last.Label, month(last.Date), together(last.With), signedMM(last.Before))
	switch more := len(f.Shifts) - 1; more {
	case 0:
		return words
	case 1:
		return words + ", and 1 earlier shift"
	default:
		return words + fmt.Sprintf(", and %d earlier shifts", more)
	}
}

// PatternMarks says what a listing marks, and how often chance alone is marked.
func PatternMarks(p drift.Pattern, confidence float64) string {
	return fmt.Sprintf("^ high, v low on average by more than chance. If nothing is wrong, 1 in %.0f such tables still names one (Šidák over %d crowns, over %d frets)",
		1/(1-confidence), len(p.Crowns), len(p.Frets))
}

// PatternDrawn says the same of a picture.
func PatternDrawn(p drift.Pattern, confidence float64) string {
	return fmt.Sprintf("high or low on average by more than chance; if nothing is wrong, 1 in %.0f such tables still names one (Šidák over %d crowns, over %d frets)",
		1/(1-confidence), len(p.Crowns), len(p.Frets))
}

// NecksWithoutTag says how many necks a split by a tag could not place.
func NecksWithoutTag(n int, tag string) string {
	if n == 1 {
		return "1 neck has no tag " + tag
	}
	return fmt.Sprintf("%d necks have no tag %s", n, tag)
}

// standing words a height over the lanes' lines.
func standing(mm float64) string {
	switch {
	case math.Abs(mm) < 0.0005:
		return "on its lanes' lines"
	case mm > 0:
		return fmt.Sprintf("%.3f mm high", mm)
	}
	return fmt.Sprintf("%.3f mm low", -mm)
}

func signedMM(mm float64) string {
	if math.Abs(mm) < 0.0005 {
		return "0.000 mm"
	}
	return fmt.Sprintf("%+.3f mm", mm)
}

// together names the tags that changed with a shift.
func together(with []drift.CoincidentTag) string {
	if len(with) == 0 {
		return ""
	}
	var names []string
	for _, w := range with {
		names = append(names, w.Tag+" "+w.Value)
	}
	return ", with " + strings.Join(names, " and ")
}

func month(date string) string { return date[:min(len(date), len("2026-03"))] }

// What the signs of a chart on a screen mean.
const (
	HalfBelow    = "half below, half above"
	BeyondChance = "high or low by more than chance"
	WithinChance = "within chance"
	NeckScatter  = "scatter from neck to neck"
	FretMeans    = "Each fret's mean"
)

// MiddleEight says what a band through values is, values of them in a row at a time.
func MiddleEight(values int) string {
	return fmt.Sprintf("eight in ten, %d neighbours at a time", values)
}
