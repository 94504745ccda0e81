package cli

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"ringtrue/internal/job"
)

func newBoardCommand(s *streams) *cobra.Command {
	var asJSON, check bool
	c := &cobra.Command{
		Use:   "board NECK READINGS",
		Short: "Is the bare board straight and round enough to fret",
		Long: `board judges the bare board: straightness along each lane read with a beam or a
straight edge just behind the slots, and the radius at each place read with an
arch gauge. It says where to sand, and how much.`,
		Example: "  ringtrue board heron.toml heron-board.csv",
		Args:    exactly(2, "a neck file and a readings file"),
		RunE: func(_ *cobra.Command, args []string) error {
			m, layout, err := s.loadNeck(args[0])
			if err != nil {
				return err
			}
			set, err := s.loadReadings(args[1], layout)
			if err != nil {
				return err
			}
			a, err := job.Board(m, layout, set.Readings)
			if err != nil {
				return err
			}
			if asJSON {
				err = s.printJSON(a)
			} else if err = boardText(s.out, a); err == nil {
				err = s.nextAfterBoard(a, args[0])
			}
			if err == nil && check && !a.AsAsked() {
				err = errNotAsAsked
			}
			return err
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON, unrounded")
	c.Flags().BoolVar(&check, "check", false, "exit 1 unless the board is ready")
	return c
}

func boardText(out io.Writer, a *job.BoardAnswer) error {
	w := bufio.NewWriter(out)
	fmt.Fprintf(w, "%s, bare board: %s\n", a.Neck, strings.ToUpper(a.Verdict))
	if len(a.Lanes) > 0 {
		rows := [][]string{{"lane", "zone mm", "±", "bow mm", "verdict"}}
		for _, l := range a.Lanes {
			rows = append(rows, []string{fmt.Sprintf("%g", l.Lane), fmt.Sprintf("%.3f", l.ZoneMM), fmt.Sprintf("%.3f", l.UZoneMM), fmt.Sprintf("%+.3f", l.BowMM), l.Verdict})
		}
		fmt.Fprintln(w)
		table(w, rows)
	}
	if len(a.Arches) > 0 {
		rows := [][]string{{"slot", "radius mm", "±", "wanted mm", "verdict"}}
		for _, r := range a.Arches {
			rows = append(rows, []string{fmt.Sprint(r.Fret), radius(r.RadiusMM), fmt.Sprintf("%.1f", r.UMM), radius(r.WantedMM), r.Verdict})
		}
		fmt.Fprintln(w)
		table(w, rows)
	}
	if c := a.Cone; c != nil {
		fmt.Fprintf(w, "cone through them: %.1f ± %.1f mm at the nut, %.1f ± %.1f mm at the last fret\n", c.NutMM, c.UNutMM, c.LastMM, c.ULastMM)
	}
	for i, r := range a.Recheck {
		if i == 0 {
			fmt.Fprintf(w, "\nRead again\n")
		}
		wrap(w, "  ", fmt.Sprintf("slot %d, lane %g (%s, line %d): reads %.3f mm, expected %.3f mm; %s", r.Fret, r.Lane, r.Method, r.Line, r.ReadingMM, r.ExpectedMM, r.Why))
	}
	for i, u := range a.Undetermined {
		if i == 0 {
			fmt.Fprintf(w, "\nNot determined\n")
		}
		wrap(w, "  ", fmt.Sprintf("slot %d, lane %g: %s", u.Fret, u.Lane, u.Why))
	}
	for i, line := range a.Advice {
		if i == 0 {
			fmt.Fprintf(w, "\nWhat to do\n")
		}
		wrap(w, "  ", line)
	}
	sandTable(w, a)
	if len(a.Advice) > 0 {
		wrap(w, "", "sanding dust of hardwoods harms lungs and skin: extraction and a mask, and the local rules")
	}
	return w.Flush()
}

// sandTable lists what to sand behind each slot of the lanes that are not
// straight.
func sandTable(w io.Writer, a *job.BoardAnswer) {
	lanes, list := a.SandList()
	if len(lanes) == 0 {
		return
	}
	head := []string{"slot"}
	for _, lane := range lanes {
		head = append(head, fmt.Sprintf("lane %g", lane))
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
	fmt.Fprintf(w, "\nSand off behind each slot, mm\n")
	table(w, rows)
}

func radius(v *float64) string {
	if v == nil {
		return "flat"
	}
	return fmt.Sprintf("%.1f", *v)
}
