package bench

import (
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/play"
)

// playNotes is every note, a row a stop, a column a string. It is also what the
// slider is answered with.
type playNotes struct {
	Sum     string
	Quick   bool // by reach alone: whether a short note grazes or buzzes is not told
	Strings []string
	Rows    []playRow
	Actions string
}

type playRow struct {
	Fret  string
	Notes []playNote
}

// playNote has a sign and words; colour is never alone.
type playNote struct{ Kind, Sign, Left, Label string }

// signs of the verdicts: forms that differ without colour.
func signOf(kind string) string {
	return map[string]string{"clear": "○", "short": "△", "grazes": "△", "buzzes": "▲", "chokes": "✕"}[kind]
}

// cellKey is a note's place in the grid.
type cellKey struct{ fret, number int }

// playNotes lays out the notes of a whole judgement.
func (l *renderer) playNotes(a *answer.PlayAnswer, u heightUnit) playNotes {
	cells := map[cellKey]playNote{}
	bad := 0
	var actions []float64
	for _, x := range a.Strings {
		actions = append(actions, x.ActionMM)
		for _, n := range x.Notes {
			if n.Touch != a.JudgeBy {
				continue
			}
			c := playNote{Kind: string(n.Verdict)}
			if n.ClearMarginMM.Known() {
				c.Left = u.signed(n.ClearMarginMM.OrNaN())
			}
			if n.Verdict != play.Clear {
				bad++
			}
			cells[cellKey{n.Fret, x.String}] = l.noteCell(c, x.String, n.Fret, u)
		}
	}
	out := playNotes{Sum: l.words.Say("play.sum", bad, len(cells)), Actions: l.actionWords(actions)}
	out.lay(cells, len(a.Strings), l)
	return out
}

// quickNotes lays out the notes at an action that was only tried.
func (l *renderer) quickNotes(a *answer.ActionsAnswer, u heightUnit) playNotes {
	cells := map[cellKey]playNote{}
	for _, n := range a.Notes {
		c := playNote{Kind: "clear"}
		if n.LeftMM.Known() {
			c.Left = u.signed(n.LeftMM.OrNaN())
			switch {
			case n.Chokes:
				c.Kind = "chokes"
			case n.LeftMM.OrNaN() < 0:
				c.Kind = "short"
			}
		}
		cells[cellKey{n.Fret, n.String}] = l.noteCell(c, n.String, n.Fret, u)
	}
	out := playNotes{Quick: true, Sum: l.words.Say("play.quicksum", a.Short, len(cells)), Actions: l.actionWords(a.ActionMM)}
	out.lay(cells, len(a.ActionMM), l)
	return out
}

func (l *renderer) noteCell(c playNote, number, fret int, u heightUnit) playNote {
	c.Sign = signOf(c.Kind)
	c.Label = l.words.Say("play.cell", number, stopWords(l, fret), l.words.Say("note."+c.Kind))
	if c.Left != "" {
		c.Label += l.words.Say("play.left", c.Left, u.name)
	}
	return c
}

// lay puts notes into rows, the bass side left.
func (p *playNotes) lay(cells map[cellKey]playNote, strings int, l *renderer) {
	last := 0
	for k := range cells {
		last = max(last, k.fret)
	}
	for n := strings; n >= 1; n-- {
		p.Strings = append(p.Strings, strconv.Itoa(n))
	}
	for f := 0; f <= last; f++ {
		row := playRow{Fret: strconv.Itoa(f)}
		known := false
		for n := strings; n >= 1; n-- {
			c, ok := cells[cellKey{f, n}]
			if !ok {
				c = playNote{Kind: "none", Sign: "?", Label: l.words.Say("play.cell", n, stopWords(l, f), l.words.Say("note.none"))}
			}
			known = known || ok
			row.Notes = append(row.Notes, c)
		}
		if known {
			p.Rows = append(p.Rows, row)
		}
	}
}

// actionWords are the actions of the outer strings.
func (l *renderer) actionWords(mm []float64) string {
	if len(mm) == 0 {
		return ""
	}
	return l.words.Say("play.actions", mm2(mm[0]), mm2(mm[len(mm)-1]))
}
