package cli

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// fretsText prints the answer of `frets` for a person: the verdict, what to do
// now in order, then the lanes, the map of heights and what to take off. After
// levelling it is the answer of the second set of readings alone.
type fretsText struct {
	out    io.Writer
	unit   heightUnit
	answer *answer.FretsAnswer
	after  *answer.AfterAnswer // the answer is its own; nil: not after levelling
	colour bool
	all    bool
	brief  int // how brief a short listing is
}

func (t fretsText) print() {
	if !t.all {
		t.short()
		return
	}
	w := t.out
	t.verdict(w)
	t.work(w)
	t.lanes(w)
	section(w, "Not determined", openByLane("fret", t.answer.Undetermined))
	t.heights(w)
	t.takeOff(w)
	t.next(w)
}

func (t fretsText) verdict(w io.Writer) {
	a := t.answer
	name := cmp.Or(a.Neck, "neck")
	if t.after != nil {
		name += ", after levelling"
	}
	part := ""
	if a.Verdict == string(straight.Level) && len(a.Undetermined) > 0 {
		part = " as far as it was read"
	}
	fmt.Fprintf(w, "%s: %s%s\n", name, strong(t.colour, strings.ToUpper(a.Verdict)), part)
	if i := t.worstLane(); i >= 0 {
		l := a.Lanes[i]
		wrap(w, "", text.WorstLane(l.Lane, l.ZoneMM.OrNaN(), l.UZoneMM.OrNaN(), l.ZoneRangeMM, a.ZoneLimitMM))
	}
	if a.LevelAndRing != "" {
		wrap(w, "", a.LevelAndRing)
	}
	if t.after != nil && t.after.Earlier > 0 {
		fmt.Fprintf(w, "%d earlier readings still count\n", t.after.Earlier)
	}
	for _, warning := range a.Warnings {
		wrap(w, "! ", warning)
	}
}

// lanes prints each lane's straightness.
func (t fretsText) lanes(w io.Writer) {
	a := t.answer
	if len(a.Lanes) == 0 {
		return
	}
	fmt.Fprintln(w)
	rows := [][]string{{"lane", "zone mm", "±", "bow mm", "step mm", "verdict"}}
	for _, l := range a.Lanes {
		row := []string{fmt.Sprintf("%g", l.Lane), "-", "-", "-", "-", l.Verdict}
		if zone, known := l.ZoneMM.Get(); known {
			row[1], row[2] = fmt.Sprintf("%.3f", zone), fmt.Sprintf("%.3f", l.UZoneMM.OrNaN())
			row[3], row[4] = fmt.Sprintf("%+.3f", l.BowMM.OrNaN()), fmt.Sprintf("%.3f", l.StepMM.OrNaN())
		}
		rows = append(rows, row)
	}
	table(w, rows)
	wrap(w, "  ", text.PlusMinus)
}

func (t fretsText) worstLane() int {
	at := -1
	for i, l := range t.answer.Lanes {
		if zone, known := l.ZoneMM.Get(); known && (at < 0 || zone > t.answer.Lanes[at].ZoneMM.OrNaN()) {
			at = i
		}
	}
	return at
}

// heights prints each crown's distance from its lane's reference.
func (t fretsText) heights(w io.Writer) {
	a := t.answer
	if len(a.Crowns) == 0 {
		return
	}
	fmt.Fprintf(w, "\nHeights in %s (* sure, ? in doubt)\n", t.unit.name)
	cells := map[int]map[float64]string{}
	doubt := 0.0
	for _, c := range a.Crowns {
		mark := " "
		switch c.Verdict {
		case string(straight.High), string(straight.Low):
			mark = "*"
		case string(straight.InDoubt):
			mark = "?"
		}
		put(cells, c.Fret, c.Lane, t.unit.signed(c.OffMM)+mark)
		doubt = max(doubt, c.UMM)
	}
	t.grid(w, cells, ".")
	fmt.Fprintf(w, "off the lane's reference line, standard uncertainty at most %s %s\n", t.unit.plain(doubt), t.unit.name)
}

func put(cells map[int]map[float64]string, fret int, lane float64, s string) {
	if cells[fret] == nil {
		cells[fret] = map[float64]string{}
	}
	cells[fret][lane] = s
}

// perBand is how many lanes a table shows side by side in 80 columns.
const perBand = 8

// grid prints a table of frets by the lanes that were read.
func (t fretsText) grid(w io.Writer, cells map[int]map[float64]string, empty string) {
	var lanes []float64
	for _, l := range t.answer.Lanes {
		if l.ZoneMM.Known() {
			lanes = append(lanes, l.Lane)
		}
	}
	bands(w, cells, lanes, empty, table)
}

// bands prints a table of frets by lanes, the bass side left as the neck lies, in
// bands where lanes are many. Frets with nothing in any lane are left out.
func bands(w io.Writer, cells map[int]map[float64]string, lanes []float64, empty string, table func(io.Writer, [][]string)) {
	slices.Sort(lanes)
	slices.Reverse(lanes)
	for band := range slices.Chunk(lanes, perBand) {
		rows := [][]string{{"fret"}}
		for _, l := range band {
			rows[0] = append(rows[0], fmt.Sprintf("lane %g", l))
		}
		for _, f := range slices.Sorted(maps.Keys(cells)) {
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

// openByLane names what stays open, a line a lane and reason; places are the
// frets' name.
func openByLane(places string, open []answer.Undetermined) (lines []string) {
	byLane(open, func(lane float64, frets []int, why string) {
		lines = append(lines, printable(fmt.Sprintf("lane %g, %s %s: %s", lane, places, spans(frets), why)))
	})
	return lines
}

// byLane hands over what stays open, lane and reason together, in their order.
func byLane(open []answer.Undetermined, each func(lane float64, frets []int, why string)) {
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
	for _, k := range keys {
		slices.Sort(frets[k])
		each(k.lane, frets[k], k.why)
	}
}
