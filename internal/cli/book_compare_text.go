package cli

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// bookCompareText prints what changed between two stages: the verdict, what
// happened to which fret, every change, and how long the worn crowns last.
type bookCompareText struct {
	out    io.Writer
	unit   heightUnit
	answer *answer.BookCompareAnswer
	colour bool
	all    bool
}

func (t bookCompareText) print() {
	w := t.out
	t.verdict(w)
	if !t.all {
		t.short(w)
		return
	}
	t.found(w)
	t.changes(w)
	t.life(w)
	section(w, "Not compared", openByLane("fret", t.answer.Open))
}

func (t bookCompareText) verdict(w io.Writer) {
	a := t.answer
	verdict := strings.ToUpper(a.Verdict)
	verdict = strong(t.colour, verdict)
	head := printable(a.Serial)
	if a.Model != "" {
		head += "  " + printable(a.Model)
	}
	fmt.Fprintf(w, "%s: %s\n", head, verdict)
	if a.Summary != "" {
		wrap(w, "  ", a.Summary)
	}
	for _, s := range []answer.ComparedStage{a.From, a.To} {
		state := cmp.Or(s.State, "state not noted")
		by := "read"
		if s.DatedBy == "record" {
			by = "added"
		}
		wrap(w, "  ", printable(fmt.Sprintf("%s: record %d, %s %s, %s", s.Stage, s.Record, by, s.Date.Format(time.DateOnly), state)))
	}
	if years, known := a.Years.Get(); known {
		wrap(w, "  ", text.TimeBetween(years))
	}
	if a.Bow != nil {
		wrap(w, "  ", text.BowChanged(*a.Bow))
	}
	for _, warning := range a.Warnings {
		wrap(w, "! ", printable(warning))
	}
}

// short says after the verdict what to do about which frets, those together of
// which the same is said, and when the first crown is worn down.
func (t bookCompareText) short(w io.Writer) {
	a, s := t.answer, &steps{w: w, short: true}
	t.reasons(func(words string) { wrap(w, "! ", words) })
	lines(w, "not compared: ", openTogether("fret", a.Open))
	if len(a.Frets) == 0 {
		fmt.Fprintln(w, text.NoFretChanged)
	}
	found := together(a.Frets, func(f answer.FretChange) (string, int) { return t.finding(f) + ": " + f.Advice, f.Fret })
	for _, advice := range together(a.Frets, func(f answer.FretChange) (string, int) { return f.Advice, f.Fret }) {
		var of []string
		for _, f := range found {
			if finding, ok := strings.CutSuffix(f.said, ": "+advice.said); ok {
				of = append(of, text.FretsAre(f.frets, finding))
			}
		}
		s.step(strings.Join(of, "; ") + ": " + advice.said)
	}
	if a.LeastCrown != nil {
		wrap(w, "", text.LeastReachedShort(*a.LeastCrown))
	}
}

// saidOf is one saying and the frets that it is of.
type saidOf struct {
	said  string
	frets []int
}

// together gathers the frets of which the same is said, in order of the first.
func together[T any](list []T, of func(T) (said string, fret int)) (all []saidOf) {
	for _, x := range list {
		said, fret := of(x)
		i := slices.IndexFunc(all, func(s saidOf) bool { return s.said == said })
		if i < 0 {
			i, all = len(all), append(all, saidOf{said: said})
		}
		all[i].frets = append(all[i].frets, fret)
	}
	return all
}

// finding is what happened to a fret, and how far it moved.
func (t bookCompareText) finding(f answer.FretChange) string {
	if f.TrebleMM != 0 || f.BassMM != 0 || f.Ends != nil {
		return f.Finding + " (" + t.movedBy(f) + ")"
	}
	return f.Finding
}

func (t bookCompareText) found(w io.Writer) {
	for i, f := range t.answer.Frets {
		if i == 0 {
			fmt.Fprintf(w, "\nFrets that changed\n")
		}
		wrap(w, fmt.Sprintf("  %2d  ", f.Fret), t.finding(f)+": "+f.Advice)
	}
	if len(t.answer.Frets) == 0 {
		fmt.Fprintf(w, "\n%s\n", text.NoFretChanged)
	}
	t.reasons(func(words string) { wrap(w, "  ", words) })
}

// reasons says why crowns have the verdicts they have, crowns together of which the
// same is said.
func (t bookCompareText) reasons(say func(string)) {
	var whys []string
	at := map[string][]string{}
	for _, c := range t.answer.Crowns {
		if c.Why == "" {
			continue
		}
		if at[c.Why] == nil {
			whys = append(whys, c.Why)
		}
		at[c.Why] = append(at[c.Why], fmt.Sprintf("%d/%g", c.Fret, c.Lane))
	}
	for _, why := range whys {
		say(fmt.Sprintf("fret/lane %s: %s", strings.Join(at[why], ", "), why))
	}
}

// changeMark is the sign beside a change.
func changeMark(v wear.Verdict) string {
	switch v {
	case wear.Worn, wear.Moved, wear.Raised:
		return string(v[:1])
	case wear.InDoubt:
		return "?"
	}
	return " "
}

func (t bookCompareText) changes(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w)
	wrap(w, "", "Changes in "+t.unit.name)
	cells := map[int]map[float64]string{}
	lanes := map[float64]bool{}
	most := 0.0
	for _, c := range a.Crowns {
		put(cells, c.Fret, c.Lane, t.unit.signed(c.MM)+changeMark(c.Verdict))
		lanes[c.Lane] = true
		most = math.Max(most, c.UMM)
	}
	bands(w, cells, slices.Collect(maps.Keys(lanes)), ". ", bandTable)
	wrap(w, "  ", text.ChangeMarks)
	wrap(w, "  ", fmt.Sprintf("Standard uncertainty of a change: at most %s %s. %s", t.unit.plain(most), t.unit.name,
		text.JudgedTogether(len(a.Crowns), a.CriticalValue, percent(a.Confidence))))
}

// percent is a share in per cent with the digits it needs.
func percent(share float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", 100*share), "0"), ".") + " %"
}

// bandTable prints right-aligned columns whose heads leave room for a mark.
func bandTable(w io.Writer, rows [][]string) {
	for n, r := range rows {
		var b strings.Builder
		for i, c := range r {
			switch {
			case i == 0:
				fmt.Fprintf(&b, "%6s", c)
			case n == 0:
				fmt.Fprintf(&b, "%8s ", c)
			default:
				fmt.Fprintf(&b, "%9s", c)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
}

// maxWornRows is how many worn crowns the text lists; JSON has them all.
const maxWornRows = 12

func (t bookCompareText) life(w io.Writer) {
	a := t.answer
	if len(a.Wear) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", text.WornCrowns)
	rows := [][]string{{"fret", "lane", "depth mm", "±", "mm a year", "crown mm", "left mm", "minimum in"}}
	for i, x := range a.Wear {
		if i == maxWornRows {
			break
		}
		rate := "-"
		if v, known := x.RatePerYear.Get(); known {
			rate = fmt.Sprintf("%.3f", v)
		}
		crown := fmt.Sprintf("%.2f", x.CrownMM)
		if !x.Measured {
			crown += "?"
		}
		rows = append(rows, []string{fmt.Sprint(x.Fret), fmt.Sprintf("%g", x.Lane), fmt.Sprintf("%.3f", x.DepthMM), fmt.Sprintf("%.3f", x.UMM),
			rate, crown, fmt.Sprintf("%.2f", x.LeftMM), text.Reached(x.SoonestYear, x.LatestYear, x.BelowAlready)})
	}
	table(w, rows)
	wrap(w, "  ", text.WornOrFiled+" "+text.PlusMinus)
	if n := len(a.Wear) - maxWornRows; n > 0 {
		fmt.Fprintf(w, "  and %d more; --json lists them all\n", n)
	}
	if a.LeastCrown != nil {
		wrap(w, "", text.LeastReached(*a.LeastCrown))
	}
}

// movedBy is how far a fret moved: its two ends where it tilted, else one number.
func (t bookCompareText) movedBy(f answer.FretChange) string {
	if e := f.Ends; e != nil && e.Tilted {
		return fmt.Sprintf("%s ± %s %s at the treble end, %s ± %s %s at the bass end, %s", t.unit.signed(e.TrebleMM), t.unit.plain(e.UTrebleMM), t.unit.name,
			t.unit.signed(e.BassMM), t.unit.plain(e.UBassMM), t.unit.name, text.TwoInThree)
	}
	treble, bass := t.unit.signed(f.TrebleMM), t.unit.signed(f.BassMM)
	if treble == bass {
		return treble + " " + t.unit.name
	}
	return fmt.Sprintf("%s at the treble end, %s %s at the bass end", treble, bass, t.unit.name)
}
