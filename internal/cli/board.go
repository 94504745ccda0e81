package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/answer"
	"ringtrue/internal/board"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

func newBoardCommand(s *streams) *cobra.Command {
	var asJSON, check, all bool
	var grid gridOptions
	c := &cobra.Command{
		Use:   "board NECK READINGS",
		Short: "Judge the bare board: ready to fret, or where to sand",
		Long: `board judges the bare board. It says how straight each lane is, read with a beam or a
straight edge just behind the slots. The radius is one cone through all arch
readings. It says ready or not ready only if it is 95 % sure of the whole board.
Read at least three lanes from end to end, and at least three arches.

If the board is not ready, it names humps and dips. It lists the least to sand off
with a radius block, the same cone for all lanes. If the readings aren't
enough, it names the next one to take.`,
		Example: "  ringtrue board heron.toml heron-board.csv",
		Args:    exactly(2, "a neck file and a readings file"),
		RunE: func(_ *cobra.Command, args []string) error {
			m, layout, err := s.loadNeck(args[0])
			if err != nil {
				return err
			}
			set, err := s.loadReadings(args[1], layout, grid)
			if err != nil {
				return err
			}
			a, err := answer.Board(m, layout, set.Readings)
			if err != nil {
				return err
			}
			err = s.say(asJSON, a, func() {
				s.short = !all
				if all {
					boardText(s.out, a)
				} else {
					boardShort(s.out, a)
				}
				s.nextAfterBoard(a, args[0])
				s.more("lanes, radii and the list of slots")
			})
			if err == nil && check && !a.Passed() {
				err = errCheckFailed
			}
			return err
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON, unrounded")
	addAll(c.Flags(), &all)
	c.Flags().BoolVar(&check, "check", false, "exit 1 unless the board is ready")
	grid.add(c)
	return c
}

func boardText(w io.Writer, a *answer.BoardAnswer) {
	fmt.Fprintf(w, "%s, bare board: %s\n", a.Neck, strings.ToUpper(string(a.Verdict)))
	boardSummary(w, a)
	section(w, "What to do now", a.Advice)
	var found []string
	for _, f := range a.Findings {
		found = append(found, f.Words)
	}
	section(w, "Found", found)
	var odd []string
	for _, r := range a.Recheck {
		odd = append(odd, fmt.Sprintf("%s (%s, line %d): reads %.3f mm, expected %.3f mm; %s", boardPlace(r), r.Method, r.Line, r.ReadingMM, r.ExpectedMM, r.Why))
	}
	for _, p := range a.Passes {
		odd = append(odd, fmt.Sprintf("lane %g: %s", p.Lane, p.Why))
	}
	section(w, "Set aside (they disagree with the rest)", odd)
	section(w, "Not determined", openByLane("slots", a.Undetermined))
	boardTables(w, a)
	if sandTable(w, a) {
		wrap(w, "", text.SandingCare)
	}
}

// boardShort prints the verdict, what to read again and what to do, nothing else.
func boardShort(w io.Writer, a *answer.BoardAnswer) {
	s := &steps{w: w, short: true}
	fmt.Fprintf(w, "%s, bare board: %s\n", a.Neck, strings.ToUpper(string(a.Verdict)))
	boardSummary(w, a)
	for _, f := range a.Findings {
		wrap(w, "", f.Words)
	}
	lines(w, "not determined: ", openTogether("slot", a.Undetermined))
	for _, p := range a.Passes {
		wrap(w, "! ", fmt.Sprintf("lane %g: %s", p.Lane, p.Why))
	}
	again := map[string]bool{} // advice that the list of readings has
	for _, n := range a.NextReadings {
		again[n.Words] = n.Why == board.ReadAgain && len(a.Recheck) > 0
	}
	for _, r := range a.Recheck {
		s.step("Read again " + text.ReadAgain(boardPlace(r), r.Method, r.Line, r.ReadingMM, r.ExpectedMM))
	}
	for _, advice := range a.Advice {
		if !again[advice] {
			s.step(advice)
		}
	}
	if a.Sanding != nil && len(a.Sanding.Rows()) > 0 {
		wrap(w, "", text.SandingCare)
	}
}

// boardPlace is where a reading was taken; an arch on the centre line names no
// lane.
func boardPlace(r answer.Recheck) string {
	if r.Lane == 0 {
		return fmt.Sprintf("slot %d", r.Fret)
	}
	return fmt.Sprintf("slot %d, lane %g", r.Fret, r.Lane)
}

// boardSummary says how the worst lane and the radius stand to their limits.
func boardSummary(w io.Writer, a *answer.BoardAnswer) {
	if len(a.Lanes) > 0 {
		worst := a.Lanes[0]
		for _, l := range a.Lanes {
			if l.ZoneMM > worst.ZoneMM {
				worst = l
			}
		}
		wrap(w, "", text.BoardStraightness(worst, a.FlatMM))
	}
	if c := a.Cone; c != nil {
		wrap(w, "", text.BoardRadius(*c, a.WithinMM))
	}
}

// boardTables lists the lanes and the places read across.
func boardTables(w io.Writer, a *answer.BoardAnswer) {
	if len(a.Lanes) > 0 {
		rows := [][]string{{"lane", "zone mm", "±", "bow mm", "verdict"}}
		for _, l := range a.Lanes {
			rows = append(rows, []string{fmt.Sprintf("%g", l.Lane), zoneCell(l), fmt.Sprintf("%.3f", l.UZoneMM), bowCell(l.BowMM), string(l.Verdict)})
		}
		fmt.Fprintln(w)
		table(w, rows)
		wrap(w, "  ", text.PlusMinus)
	}
	if len(a.Arches) > 0 {
		rows := [][]string{{"slot", "read mm", "±", "cone mm", "±", "wanted mm", "verdict"}}
		for _, r := range a.Arches {
			cone, u := "-", "-"
			if r.ConeMM.Known() {
				cone, u = radius(r.ConeMM), fmt.Sprintf("%.1f", r.UConeMM)
			}
			rows = append(rows, []string{fmt.Sprint(r.Fret), radius(r.RadiusMM), fmt.Sprintf("%.1f", r.UMM), cone, u, radius(r.WantedMM), string(r.Verdict)})
		}
		fmt.Fprintln(w)
		table(w, rows)
		wrap(w, "  ", text.PlusMinus)
	}
}

// bowCell is a lane's bow; less than shows has no sign.
func bowCell(mm float64) string {
	if math.Abs(mm) < 0.0005 {
		return "0.000"
	}
	return fmt.Sprintf("%+.3f", mm)
}

// zoneCell is a lane's zone, or the range that feeler gaps allow.
func zoneCell(l board.Lane) string {
	if r := l.ZoneRangeMM; r != nil {
		return fmt.Sprintf("%.3f-%.3f", r[0], r[1])
	}
	return fmt.Sprintf("%.3f", l.ZoneMM)
}

// sandTable lists what to sand behind each slot; false where nothing is.
func sandTable(w io.Writer, a *answer.BoardAnswer) bool {
	sanding := a.Sanding.BassFirst()
	list := sanding.Rows()
	if len(list) == 0 {
		return false
	}
	head := []string{"slot"}
	for _, l := range sanding.Lanes {
		head = append(head, fmt.Sprintf("lane %g", l.Lane))
	}
	rows := [][]string{head}
	for _, l := range list {
		row := []string{fmt.Sprint(l.Slot)}
		for _, mm := range l.RemoveMM {
			cell := "-"
			if mm > 0 {
				cell = fmt.Sprintf("%.2f", mm)
			}
			row = append(row, cell)
		}
		rows = append(rows, row)
	}
	lengthTable(w, "\nSand off behind each slot, mm", rows, head[1:]...)
	return true
}

func radius(v num.Opt) string {
	if mm, known := v.Get(); known {
		return fmt.Sprintf("%.1f", mm)
	}
	return "flat"
}
