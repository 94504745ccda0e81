package ear

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Columns of a table of answers.
const (
	colString = "string"
	colFret   = "fret"
	colTouch  = "touch"
	colHeard  = "heard"
)

// Columns lists the columns of a table of answers, a row a note played.
func Columns() []string { return []string{colString, colFret, colTouch, colHeard} }

// Answer is what the ear said of one note that was played.
type Answer struct {
	String int    `json:"string"`
	Fret   int    `json:"fret"` // the stop; 0 is the open string
	Touch  string `json:"touch"`
	Buzzes bool   `json:"-"`
}

// Read reads a table of answers: a CSV table with the columns string, fret and heard,
// and optionally touch, a touch of the neck file; without it setup.judge_by is meant. A
// row that has nothing under heard was not played. The same note may stand twice: it was
// played twice. file is its name, for messages. Faults come back as a fileerr.List, an
// error of r wrapped.
func Read(file string, r io.Reader, m neck.Model, lastFret int) ([]Answer, error) {
	t, err := table.Open(file, r, table.Schema{What: "table of answers", Columns: Columns(), Required: []string{colString, colFret, colHeard}, Refuse: refuse})
	if err != nil {
		return nil, err
	}
	var all []Answer
	for t.Next() {
		var a Answer
		var known [3]bool
		a.String, known[0] = t.Whole(colString, 1, len(m.Strings.Set))
		a.Fret, known[1] = t.Whole(colFret, 0, lastFret)
		a.Touch, known[2] = touchOf(t, m)
		word := strings.ToLower(t.Cell(colHeard))
		switch word {
		case "", "x", "-":
			continue
		case string(play.Clear):
		case string(play.Buzzes):
			a.Buzzes = true
		default:
			t.Fault(colHeard, "%s is not an answer; use %s or %s, or leave it empty", unit.Quote(t.Cell(colHeard)), play.Clear, play.Buzzes)
			continue
		}
		if known == [3]bool{true, true, true} {
			all = append(all, a)
		}
	}
	if t.Faults() == 0 && len(all) == 0 {
		t.FaultOfFile(0, colHeard, "has no answer yet; write %s or %s for each note played", play.Clear, play.Buzzes)
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return all, nil
}

// refuse tells a file of readings that was given as answers.
func refuse(number int, first string) (line int, msg string) {
	if strings.Contains(strings.ToLower(first), "method") && !strings.Contains(strings.ToLower(first), colHeard) {
		return number, "is a file of gauge readings; the answers come last and have the columns " + strings.Join(Columns(), ",")
	}
	return 0, ""
}

// touchOf is the touch of a row.
func touchOf(t *table.Table, m neck.Model) (name string, known bool) {
	name = t.Text(colTouch)
	if name == "" {
		return m.Setup.JudgeBy, true
	}
	names := touchNames(m)
	if slices.Contains(names, name) {
		return name, true
	}
	hint := "this neck has " + strings.Join(names, ", ")
	if near := fileerr.Nearest(name, names); near != "" {
		hint = "did you mean " + near + "?"
	}
	t.Fault(colTouch, "no such touch %s; %s", unit.Quote(name), hint)
	return "", false
}

func touchNames(m neck.Model) (names []string) {
	for _, touch := range m.Setup.Touch {
		names = append(names, touch.Name)
	}
	return names
}

// WriteBlank writes an empty table of answers: every note of the neck under some
// touches (none: setup.judge_by), the last string first. Errors: a touch that the neck
// file has not; those of w.
func WriteBlank(w io.Writer, m neck.Model, lastFret int, touches []string) error {
	if len(touches) == 0 {
		touches = []string{m.Setup.JudgeBy}
	}
	for _, name := range touches {
		if !slices.Contains(touchNames(m), name) {
			return fmt.Errorf("no such touch %s; this neck has %s", unit.Quote(name), strings.Join(touchNames(m), ", "))
		}
	}
	if _, err := fmt.Fprintln(w, strings.Join(Columns(), ",")); err != nil {
		return err
	}
	for _, name := range touches {
		if strings.ContainsAny(name, ",;\"#") {
			name = `"` + strings.ReplaceAll(name, `"`, `""`) + `"`
		}
		for s := len(m.Strings.Set); s >= 1; s-- {
			for f := 0; f <= lastFret; f++ {
				if _, err := fmt.Fprintf(w, "%d,%d,%s,\n", s, f, name); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
