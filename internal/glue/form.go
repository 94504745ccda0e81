package glue

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/unit"
)

// Form is a push-out test to fill in.
type Form struct {
	Neck     string  // its name; "" for any
	Wood     string  // of the board
	BesideMM float64 // as the neck file has it; 0: to be measured
	FloorMM  float64
	Minutes  []float64 // when each scrap is pushed out, a row each
}

// FormMinutes are when the ten scraps are pushed out: after 15 s, 1, 4, 15 and 60
// min, 4 and 24 h, and a spare at three of them, for the scatter.
func FormMinutes() []float64 { return []float64{0.25, 1, 4, 4, 15, 60, 60, 240, 1440, 1440} }

// WriteBlank writes a form as a table to fill in, which Read reads.
func WriteBlank(w io.Writer, f Form) error {
	if name := strings.Map(plain, f.Neck); name != "" {
		if _, err := fmt.Fprintf(w, "# push-out test for %s\n", name); err != nil {
			return err
		}
	}
	gap := ""
	if f.BesideMM > 0 {
		gap = fmt.Sprintf("%.4g mm", f.BesideMM)
	}
	if _, err := fmt.Fprintln(w, strings.Join(Columns(), ",")); err != nil {
		return err
	}
	for _, m := range f.Minutes {
		if _, err := fmt.Fprintf(w, "%s,,N,%s,,\n", unit.Decimal(m), gap); err != nil {
			return err
		}
	}
	return nil
}

// plain leaves out what a comment line cannot hold.
func plain(r rune) rune {
	if unicode.IsControl(r) {
		return ' '
	}
	return r
}

// FormOf is the form of a neck's slots and board.
func FormOf(m neck.Model) Form {
	c := CaseOf(m, material.Wood{})
	return Form{Neck: m.Name, Wood: m.Board.Wood, BesideMM: max(0, c.BesideMM), FloorMM: c.FloorMM, Minutes: FormMinutes()}
}
