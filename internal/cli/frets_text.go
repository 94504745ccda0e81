package cli

import (
	"bufio"
	"fmt"
	"io"
	"sort"
	"strings"

	"ringtrue/internal/job"
)

// fretsText prints the answer of `frets` for a person: what levelling did, where
// that was asked for, the verdict, then what needs work, then the map of heights, then the plan.
type fretsText struct {
	out    io.Writer
	unit   heightUnit
	answer *job.FretsAnswer
	colour bool
}

func (t fretsText) print() error {
	w := bufio.NewWriter(t.out)
	t.after(w) // it is what was asked for
	t.verdict(w)
	t.work(w)
	t.heights(w)
	t.plan(w)
	t.next(w)
	return w.Flush()
}

// strong makes a word stand out on a terminal; the word itself says it all.
func (t fretsText) strong(s string) string {
	if t.colour {
		return "\x1b[1m" + s + "\x1b[0m"
	}
	return s
}

func (t fretsText) verdict(w io.Writer) {
	a := t.answer
	name := a.Neck
	if name == "" {
		name = "neck"
	}
	fmt.Fprintf(w, "%s: %s\n", name, t.strong(strings.ToUpper(a.Verdict)))
	if i := t.worstLane(); i >= 0 {
		fmt.Fprintf(w, "worst lane %g: %s, the limit is %.3f mm\n", a.Lanes[i].Lane, zoneWords(a.Lanes[i]), a.ZoneLimitMM)
	}
	for _, warning := range a.Warnings {
		wrap(w, "! ", warning)
	}
	fmt.Fprintln(w)
	rows := [][]string{{"lane", "zone mm", "±", "bow mm", "step mm", "verdict"}}
	for _, l := range a.Lanes {
		row := []string{fmt.Sprintf("%g", l.Lane), "-", "-", "-", "-", l.Verdict}
		if l.ZoneMM != nil {
			row[1], row[2] = fmt.Sprintf("%.3f", *l.ZoneMM), fmt.Sprintf("%.3f", *l.UZoneMM)
			row[3], row[4] = fmt.Sprintf("%+.3f", *l.BowMM), fmt.Sprintf("%.3f", *l.StepMM)
		}
		rows = append(rows, row)
	}
	table(w, rows)
}

// zoneWords say how wide a lane's zone is: between two widths where it was read
// with leaves.
func zoneWords(l job.LaneAnswer) string {
	if r := l.ZoneRangeMM; len(r) == 2 {
		return fmt.Sprintf("its zone lies between %.3f and %.3f mm", r[0], r[1])
	}
	return fmt.Sprintf("its crowns lie within %.3f ± %.3f mm", *l.ZoneMM, *l.UZoneMM)
}

func (t fretsText) worstLane() int {
	at := -1
	for i, l := range t.answer.Lanes {
		if l.ZoneMM != nil && (at < 0 || *l.ZoneMM > *t.answer.Lanes[at].ZoneMM) {
			at = i
		}
	}
	return at
}

// work lists what needs doing, the neck as a whole before its frets.
func (t fretsText) work(w io.Writer) {
	a := t.answer
	for i, f := range a.Findings {
		if i == 0 {
			fmt.Fprintf(w, "\nThe neck as a whole\n")
		}
		wrap(w, "  ", fmt.Sprintf("%s (%+.3f ± %.3f mm): %s", f.Finding, f.AmountMM, f.UMM, f.Advice))
	}
	for i, r := range a.Recheck {
		if i == 0 {
			fmt.Fprintf(w, "\nRead again first: these do not agree with the rest and were set aside\n")
		}
		wrap(w, "  ", fmt.Sprintf("fret %d, lane %g (%s, line %d): reads %.3f mm, expected %.3f mm; %s", r.Fret, r.Lane, r.Method, r.Line, r.ReadingMM, r.ExpectedMM, r.Why))
	}
	for i, f := range a.Frets {
		if i == 0 {
			fmt.Fprintf(w, "\nFrets that need work\n")
		}
		words := f.Finding + ": " + f.Advice
		if f.FileMM != nil {
			words += fmt.Sprintf("; or, where no gap shows under it, file it now: at most %.3f mm, %.2f mm of crown left", *f.FileMM, *f.FileLeftMM)
		}
		wrap(w, fmt.Sprintf("  %2d  ", f.Fret), words)
	}
	if len(a.Frets) == 0 && len(a.Lanes) > 0 {
		fmt.Fprintf(w, "\nNo fret stands out by itself.\n")
	}
	openCrowns(w, "Not determined", t.answer.Undetermined)
}

// openCrowns names crowns that stay open, a lane a line, under a heading.
func openCrowns(w io.Writer, heading string, open []job.Undetermined) {
	type key struct {
		lane float64
		why  string
	}
	frets := map[key][]int{}
	var keys []key
	for _, u := range open {
		k := key{u.Lane, u.Why}
		if frets[k] == nil {
			keys = append(keys, k)
		}
		frets[k] = append(frets[k], u.Fret)
	}
	for i, k := range keys {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", heading)
		}
		sort.Ints(frets[k])
		wrap(w, "  ", printable(fmt.Sprintf("lane %g, fret %s: %s", k.lane, spans(frets[k]), k.why)))
	}
}

// heights prints each crown's distance from its lane's reference.
func (t fretsText) heights(w io.Writer) {
	a := t.answer
	if len(a.Crowns) == 0 {
		return
	}
	fmt.Fprintf(w, "\nHeights off the reference in %s (* high or low for certain, ? in doubt)\n", t.unit.name)
	cells := map[int]map[float64]string{}
	doubt := 0.0
	for _, c := range a.Crowns {
		mark := " "
		switch c.Verdict {
		case "high", "low":
			mark = "*"
		case "in doubt":
			mark = "?"
		}
		put(cells, c.Fret, c.Lane, t.unit.signed(c.OffMM)+mark)
		doubt = max(doubt, c.UMM)
	}
	remove := map[int]map[float64]string{}
	for _, c := range a.Plan.Crowns {
		put(remove, c.Fret, c.Lane, t.unit.plain(c.RemoveMM))
	}
	t.grid(w, cells, ".")
	fmt.Fprintf(w, "standard uncertainty of a height: %s %s at most\n", t.unit.plain(doubt), t.unit.name)
	if len(a.Plan.Crowns) > 0 {
		fmt.Fprintf(w, "\nPlan: take off in %s, least metal (- nothing)\n", t.unit.name)
		t.grid(w, remove, "-")
	}
}

func put(cells map[int]map[float64]string, fret int, lane float64, s string) {
	if cells[fret] == nil {
		cells[fret] = map[float64]string{}
	}
	cells[fret][lane] = s
}

// perBand is how many lanes a table shows side by side in 80 columns.
const perBand = 8

// grid prints a table of frets by lanes, in bands where lanes are many. Frets
// with nothing in any lane are left out where empty is a dash.
func (t fretsText) grid(w io.Writer, cells map[int]map[float64]string, empty string) {
	var lanes []float64
	for _, l := range t.answer.Lanes {
		if l.ZoneMM != nil {
			lanes = append(lanes, l.Lane)
		}
	}
	var frets []int
	for f := range cells {
		frets = append(frets, f)
	}
	sort.Ints(frets)
	sort.Float64s(lanes)
	for from := 0; from < len(lanes); from += perBand {
		band := lanes[from:min(from+perBand, len(lanes))]
		head := []string{"fret"}
		for _, l := range band {
			head = append(head, fmt.Sprintf("lane %g", l))
		}
		rows := [][]string{head}
		for _, f := range frets {
			row := []string{fmt.Sprint(f)}
			for _, l := range band {
				cell, known := cells[f][l]
				if !known {
					cell = empty
				}
				row = append(row, cell)
			}
			rows = append(rows, row)
		}
		table(w, rows)
	}
}

func (t fretsText) plan(w io.Writer) {
	p := t.answer.Plan
	if len(t.answer.Crowns) == 0 {
		return
	}
	if p.TotalRemoveMM == 0 {
		fmt.Fprintf(w, "\nPlan: nothing to take off.\n")
		return
	}
	fmt.Fprintf(w, "in all %.3f mm over %d crowns, at most %.3f mm; lowest crown left %.2f mm\n",
		p.TotalRemoveMM, len(p.Crowns), p.MaxRemoveMM, p.LeastCrownMM)
	if c := t.largest(); c != nil {
		fmt.Fprintf(w, "flat to look for: %.2f mm wide where %.3f mm comes off (fret %d, lane %g)\n",
			c.LandMM, c.RemoveMM, c.Fret, c.Lane)
	}
	wrap(w, "", planEnd(p, t.answer.ZoneLimitMM))
	if n := len(t.answer.Undetermined); n > 0 {
		wrap(w, "! ", fmt.Sprintf("the plan knows only the crowns that were read, and %d %s not determined: read the rest before filing", n, areOf(n)))
	}
	wrap(w, "", "after filing: crown, polish, read again; filings and nickel dust: extraction, keep them off eyes and skin, and follow the wire's label and the local rules")
	for _, warning := range p.Warnings {
		wrap(w, "! ", warning)
	}
	if f := p.Fair; f != nil {
		fmt.Fprintf(w, "as a file on a radius leaves it: %.3f mm over %d crowns, at most %.3f mm\n", f.TotalRemoveMM, len(f.Crowns), f.MaxRemoveMM)
	}
	fmt.Fprintf(w, "\nOr lift and refit\n")
	rows := [][]string{{"refit", "total mm", "at most mm", "crown left mm", "levellings left", "cost"}}
	for _, o := range p.Options {
		refit := "none"
		if len(o.Refit) > 0 {
			refit = spans(o.Refit)
		}
		left := "-"
		if o.Levellings != nil {
			left = fmt.Sprint(*o.Levellings)
		}
		cost := o.Cost
		if o.Minutes != nil {
			cost += fmt.Sprintf(", %.0f min", *o.Minutes)
		}
		rows = append(rows, []string{refit, fmt.Sprintf("%.3f", o.TotalRemoveMM), fmt.Sprintf("%.3f", o.MaxRemoveMM), fmt.Sprintf("%.2f", o.LeastCrownMM), left, cost})
	}
	table(w, rows)
}

func (t fretsText) largest() *job.PlanCrown {
	var most *job.PlanCrown
	for i, c := range t.answer.Plan.Crowns {
		if most == nil || c.RemoveMM > most.RemoveMM {
			most = &t.answer.Plan.Crowns[i]
		}
	}
	return most
}

func (t fretsText) after(w io.Writer) {
	a := t.answer.After
	if a == nil {
		return
	}
	word := "it is there: level"
	switch {
	case a.Reached:
	case a.Verdict == "level":
		word = "level as far as it was read; read the rest"
	default:
		word = "not there yet: " + a.Verdict
	}
	fmt.Fprintf(w, "After levelling: %s\n", t.strong(word))
	for _, l := range a.Lanes {
		if l.ZoneMM != nil {
			fmt.Fprintf(w, "  lane %g: zone %.3f ± %.3f mm, %s\n", l.Lane, *l.ZoneMM, *l.UZoneMM, l.Verdict)
		}
	}
	for _, c := range a.Proud {
		fmt.Fprintf(w, "  still proud: fret %d, lane %g: planned %.3f mm, taken %.3f ± %.3f mm\n", c.Fret, c.Lane, c.PlannedMM, c.TakenMM, c.UMM)
	}
	for _, c := range a.Beyond {
		fmt.Fprintf(w, "  beyond the plan: fret %d, lane %g: planned %.3f mm, taken %.3f ± %.3f mm\n", c.Fret, c.Lane, c.PlannedMM, c.TakenMM, c.UMM)
	}
	for _, r := range a.Recheck {
		wrap(w, "  ", fmt.Sprintf("read again: fret %d, lane %g: reads %.3f mm, expected %.3f mm", r.Fret, r.Lane, r.ReadingMM, r.ExpectedMM))
	}
	if n := len(a.Undetermined); n > 0 {
		fmt.Fprintf(w, "  not determined: %d crowns\n", n)
	}
	fmt.Fprintf(w, "\nBefore it\n")
}

// planEnd says which zone the plan leaves, and which would be seen for certain.
func planEnd(p job.LevellingPlan, limitMM float64) string {
	switch {
	case p.PlannedToMM < limitMM:
		return fmt.Sprintf("it leaves every lane within %.3f mm, %.3f mm inside the limit", p.PlannedToMM, limitMM-p.PlannedToMM)
	case p.SurelyToMM == nil:
		return "it ends right at the limit, where these gauges cannot tell level from not: read with a surer gauge, or more passes"
	}
	return fmt.Sprintf("it ends right at the limit, where readings like these stay in doubt; --plan-to \"%.3f mm\" goes on until they are sure", *p.SurelyToMM)
}

func areOf(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
