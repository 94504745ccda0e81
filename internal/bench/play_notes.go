package bench

import (
	"slices"
	"strconv"

	"ringtrue/internal/play"
	"ringtrue/internal/text"
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
type playNote struct {
	Kind              play.Verdict
	Sign, Left, Label string
	InDoubt           bool
}

// signs of the verdicts: forms that differ without colour.
func signOf(kind play.Verdict) string {
	return map[play.Verdict]string{play.Clear: "○", play.Short: "△", play.Grazes: "△", play.Buzzes: "▲", play.Chokes: "✕"}[kind]
}

// playNotes lays out the notes of strings under a touch, the bass side left;
// quick: at an action that was only tried.
func (l *renderer) playNotes(strings []play.StringReport, of *play.Report, quick bool, u heightUnit) playNotes {
	touch := of.JudgeBy
	out := playNotes{Quick: quick, Actions: l.words.Say("play.actions", mm2(strings[0].ActionMM), mm2(strings[len(strings)-1].ActionMM))}
	last, all, bad, doubt := 0, 0, 0, 0
	for _, s := range slices.Backward(strings) {
		out.Strings = append(out.Strings, strconv.Itoa(s.String))
		for _, n := range s.At(touch) {
			last, all = max(last, n.Fret), all+1
			if n.Verdict != play.Clear {
				bad++
			}
			if n.InDoubt {
				doubt++
			}
		}
	}
	key := "play.sum"
	if quick {
		key = "play.quicksum"
	}
	out.Sum = l.words.Say(key, bad, all)
	switch {
	case of.Left.Any() && quick:
		out.Sum += text.LeftWords(of.Left)
	case of.Left.Any():
		out.Sum = text.PlayLeftOf(all, bad, of.Left)
	}
	if doubt > 0 {
		out.Sum += l.words.Say("play.doubtsum", doubt)
	}
	for f := range last + 1 {
		row, known := playRow{Fret: strconv.Itoa(f)}, false
		for _, s := range slices.Backward(strings) {
			i := slices.IndexFunc(s.Notes, func(n play.Note) bool { return n.Fret == f && n.Touch == touch })
			note := playNote{Kind: "none", Sign: "?"}
			if i >= 0 {
				known = true
				note.Kind = s.Notes[i].Verdict
				note.Sign = signOf(note.Kind)
			}
			note.Label = l.words.Say("play.cell", s.String, stopWords(l, f), l.words.Say("note."+string(note.Kind)))
			if i >= 0 && s.Notes[i].ClearMarginMM.Known() {
				note.Left = u.signed(s.Notes[i].ClearMarginMM.OrNaN())
				note.Label += l.words.Say("play.left", note.Left, u.name)
			}
			if i >= 0 && s.Notes[i].InDoubt {
				note.InDoubt = true
				note.Label += l.words.Say("play.doubt", s.Notes[i].ChanceClear.OrNaN()*100)
			}
			row.Notes = append(row.Notes, note)
		}
		if known {
			out.Rows = append(out.Rows, row)
		}
	}
	return out
}
