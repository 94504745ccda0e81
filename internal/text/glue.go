package text

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/glue"
	"ringtrue/internal/num"
)

// The options of `glue` that an answer may rest on without being given.
const (
	GlueKind        = "--kind"
	GlueTemperature = "--at"
	GlueHumidity    = "--humidity"
)

// GlueHead says how long to wait: the headline.
func GlueHead(o glue.Outlook) string { return "WAIT " + waiting(o.WaitH) + " before levelling" }

// GlueName is a kind of glue in a sentence.
func GlueName(k glue.Kind) string {
	switch {
	case k.Cyanoacrylate():
		return string(k) + " cyanoacrylate"
	case k == glue.PVA:
		return "PVA glue"
	case k == glue.Hide:
		return "hide glue"
	case k == glue.Epoxy5:
		return "5-minute epoxy"
	}
	return "slow epoxy"
}

// GlueWhy says what the wait rests on.
func GlueWhy(o glue.Outlook, t *glue.Fit) string {
	switch o.Why {
	case glue.OwnTest:
		return fmt.Sprintf("by your own test: 90 %% of full force after %s (%s to %s, %s)", lasting(t.WaitMin*60), lasting(t.Range.Low*60), waiting(t.Range.High/60), NineteenInTwenty)
	case glue.Activated:
		return "at least, with activator; 24 h is surer (from memory)"
	case glue.Moisture:
		return fmt.Sprintf("until its water has left the slot: %s to %s, as wood varies", lasting(o.Range.Low*3600), waiting(o.Range.High))
	case glue.Cured:
		return "until it has cured, by common practice (from memory)"
	}
	return "at least, for full strength (from memory)"
}

// GlueGap says what the glue does in one gap.
func GlueGap(k glue.Kind, g glue.Gap) string {
	lead := fmt.Sprintf("%s, %.2f mm:", g.Where, g.MM)
	if g.MM <= 0 {
		lead = g.Where + ", no gap:"
	}
	switch {
	case g.RangeS == nil:
		return lead + " no time is published by gap"
	case !g.Bridged:
		return fmt.Sprintf("%s stays wet or empty for hours; %s glue bridges at most %g mm", lead, k, g.BridgesMM.OrNaN())
	}
	return fmt.Sprintf("%s holds after about %s (%s to %s)", lead, lasting(g.HandlingS.OrNaN()), lasting(g.RangeS.Low), lasting(g.RangeS.High))
}

// GlueDo lists what to do, in order.
func GlueDo(k glue.Kind, o glue.Outlook) []string {
	do := []string{}
	for _, g := range o.Gaps {
		if g.Bridged {
			continue
		}
		use := fmt.Sprintf("No grade bridges %.2f mm %s: cut a slot that fits the tang.", g.MM, g.Where)
		if o.Better != "" {
			use = fmt.Sprintf("Use %s glue before pressing, or leave at most %g mm %s.", o.Better, o.FloorTo, g.Where)
		}
		do = append(do, use)
		break
	}
	how := "Press, glue, wait"
	if k.Water() || k == glue.Epoxy5 || k == glue.EpoxySlow || o.Better != "" && !o.Gaps[1].Bridged {
		how = "Glue, press, wait"
	}
	return append(do, fmt.Sprintf("%s %s. Then %s.", how, waiting(o.WaitH), strings.Join(afterGlue(), ", ")))
}

// afterGlue is the order of the work once the glue is hard.
func afterGlue() []string {
	return []string{"file the ends flush", "bevel", "level", "crown", "round the ends", "polish"}
}

// GlueOrder is the whole order of the work.
func GlueOrder() []string { return slices.Concat([]string{"press", "glue", "wait"}, afterGlue()) }

// GlueWarnings are what may make the wait too short, or the joint bad.
func GlueWarnings(c glue.Case, o glue.Outlook, test []glue.Push, fit *glue.Fit) []string {
	all := []string{}
	add := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if c.Kind.Cyanoacrylate() && c.HumidityPct > glue.BloomsPct {
		add("over %g %% humidity it sets fast and blooms white: dry the air, or wipe and shield the wood", glue.BloomsPct)
	}
	if c.BesideMM <= 0 {
		add("the tang fills the slot: glue before pressing, or not at all")
	}
	for _, g := range o.Gaps {
		if g.AtLeast {
			add("no time is published for gaps over %g mm: it takes longer than this", glue.WidestMM())
		}
	}
	if fit == nil {
		return all
	}
	if words := glueTest(*fit); words != "" {
		add("your test: %s", words)
	}
	if glue.SpreadOf(test).Mixed() {
		add("the test mixes gaps or air: give each series its own file. It doesn't shorten the wait")
	}
	if far, was := glue.FarFrom(test, c); far {
		add("the test was of %s, unlike this neck: it doesn't shorten the wait", was)
	}
	return all
}

// glueTest says why a test gives no wait; "" where it does.
func glueTest(f glue.Fit) string {
	switch f.Verdict {
	case glue.NotEnough:
		return fmt.Sprintf("not enough readings: %d at %s. Push out at least %d, at %d times", f.Readings, Count(f.Times, "time"), glue.LeastReadings, glue.LeastTimes)
	case glue.NoStrength:
		return "no fret took any force, so there is no curve"
	case glue.NoPlateau:
		return fmt.Sprintf("full force is not reached, or not surely, by %s. Push more out later", lasting(f.LastMin*60))
	}
	return ""
}

// GlueTest says what a test found.
func GlueTest(f glue.Fit) string {
	if words := glueTest(f); words != "" {
		return words
	}
	return fmt.Sprintf("full force %.0f N, half of it after %s; single readings scatter by %.0f N", f.FullN, lasting(f.HalfMin*60), f.ScatterN)
}

// GlueNotes are what the times rest on, and how to check the wait.
func GlueNotes(c glue.Case) []string {
	notes := []string{}
	if c.Kind.Cyanoacrylate() {
		notes = append(notes,
			"times to handling strength: ethyl cyanoacrylate on steel at 25 °C (Handbook of Adhesive Technology, Pizzi and Mittal), interpolated between its gaps on logarithmic scales",
			"factors for air and wood are from memory, good to about half. That glue sets on wood as on steel is an estimate")
	}
	if c.Kind.Water() {
		notes = append(notes, fmt.Sprintf("moisture leaves as from a slab as deep as the slot, %.2f mm, through the board's face (Crank 1975); end grain in the slot dries faster", c.DepthMM))
	}
	return append(notes,
		"to check the wait: read the crowns 0, 1 and 24 h after the press on three necks. If the mean change over the last step is under its uncertainty, the wait was enough",
		"bevelling after levelling can lift or bend an end. If you do it, read the ends again")
}

// GlueAssumed names what the answer rests on that nobody gave, from the keys and
// options left to their defaults; "" where all was given.
func GlueAssumed(assumed []string) string {
	air := [][2]string{{GlueTemperature, "temperature"}, {GlueHumidity, "humidity"}}
	if slices.Contains(assumed, GlueTemperature) && slices.Contains(assumed, GlueHumidity) {
		air = [][2]string{{GlueHumidity, "air"}}
	}
	return named("assumed: ", assumed, slices.Concat([][2]string{{GlueKind, "glue"}}, air, [][2]string{
		{"board.wood", "wood"}, {"slot.width", "slot width"}, {"slot.floor_gap", "floor gap"}, {"wire.tang_width", "tang width"},
	}))
}

// lasting is a time in s, with the digits and the unit that it deserves.
func lasting(seconds float64) string {
	v, name := inUnit(seconds)
	if v >= 10 {
		return fmt.Sprintf("%.0f %s", v, name)
	}
	return fmt.Sprintf("%.2g %s", v, name)
}

// waiting is a wait in h, rounded up: nobody is told to go on too early.
func waiting(hours float64) string {
	v, name := inUnit(hours * 3600)
	if v >= 10 {
		return fmt.Sprintf("%.0f %s", num.RoundUp(v, 1), name)
	}
	return fmt.Sprintf("%.2g %s", num.RoundUp(v, 10), name)
}

// inUnit is a time in s in the unit that it is spoken of in.
func inUnit(seconds float64) (v float64, name string) {
	switch {
	case seconds < 60:
		return seconds, "s"
	case seconds < 3600:
		return seconds / 60, "min"
	case seconds < 48*3600:
		return seconds / 3600, "h"
	}
	return seconds / 86400, "days"
}
