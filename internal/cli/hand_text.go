package cli

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// shownMoves is how many moves the times are listed for, one a line.
const shownMoves = 3

// shownRemovals is how many tools, papers and wires are listed, one a line.
const shownRemovals = 3

// times prints how long the work takes.
func times(w io.Writer, t *answer.Time) {
	if t == nil {
		fmt.Fprintf(w, "\n%s\n", text.NoTime)
		return
	}
	fmt.Fprintf(w, "\nTime: %s\n", text.TimesFrom(t.Jobs))
	rows, moves := [][]string{}, 0
	for _, s := range t.Steps {
		if s.What != "" {
			moves++
		}
	}
	together := 0.0
	for _, s := range t.Steps {
		if s.What != "" && moves > shownMoves {
			together += s.Minutes
			if rows[len(rows)-1][0] != text.AllMoves(moves) {
				rows = append(rows, []string{text.AllMoves(moves), ""})
			}
			rows[len(rows)-1][1] = fmt.Sprintf("%.0f", together)
			continue
		}
		rows = append(rows, []string{text.TimeStep(s.Step, s.What, s.Count), fmt.Sprintf("%.0f", s.Minutes)})
	}
	wide := 0
	for _, r := range rows {
		wide = max(wide, len(r[0]))
	}
	for _, r := range rows {
		fmt.Fprintf(w, "  %-*s  %4s\n", wide, r[0], r[1])
	}
	wrap(w, "  ", "In all "+text.TimeTotal(t.Minutes, t.QuoteMinutes))
}

// taken prints what the strokes that were written down took off.
func taken(w io.Writer, a *answer.AfterAnswer) {
	if a == nil || len(a.Strokes) == 0 && a.Untold == 0 {
		return
	}
	fmt.Fprintf(w, "\nWhat the strokes took off\n")
	for _, s := range a.Strokes {
		wrap(w, "  ", text.TakenByStrokes(s.Tool, s.Strokes, s.Crowns, s.DepthMM, s.UMM, s.FlatMM.Or(0), s.FlatSays.Or(0)))
	}
	if a.Untold > 0 {
		wrap(w, "  ", text.Untold(a.Untold))
	}
}

// bookHand prints what the book knows of a hand.
func bookHand(w io.Writer, a *answer.BookHandAnswer) {
	fmt.Fprintln(w, printable(text.HandHead(cmp.Or(a.By, strings.Join(a.Hands, ", ")))))
	oneWire := !slices.ContainsFunc(a.Removal, func(r answer.HandRemoval) bool { return r.Wire != a.Removal[0].Wire })
	best, worn := 0.0, false
	for i, r := range a.Removal {
		if len(a.Removal) > shownRemovals && i == shownRemovals-1 {
			wrap(w, "  ", text.More(len(a.Removal)-i))
			break
		}
		key, lead := r.Key, "  "
		if oneWire {
			key.Wire = ""
		}
		if a.By == "" && r.By != "" {
			lead += printable(r.By) + ", "
		}
		wrap(w, lead, printable(text.PerStroke(key, r.PerStroke, r.Range[0], r.Range[1], r.Necks)))
		if pct, sure := r.WornPct.Get(); sure && !worn {
			worn = true
			wrap(w, "  ", text.WornPaper(pct))
		}
		if best == 0 || r.DepthFactor < best {
			best = r.DepthFactor
		}
	}
	if best > 0 {
		wrap(w, "  ", text.StrokesAlone(best))
	}
	if f := a.Flats; f != nil {
		wrap(w, "  ", text.FlatsEnd(f.DeeperPct, f.UPct, f.Flats, f.Corrected))
		if mm, known := f.ScatterMM.Get(); known {
			wrap(w, "  ", text.FlatsSpread(mm))
		}
	}
	if a.Minutes.Jobs > 0 {
		wrap(w, "  ", "Times: "+text.TimesFrom(a.Minutes.Jobs)+".")
	}
	if a.Untold > 0 {
		wrap(w, "  ", text.Untold(a.Untold))
	}
	if len(a.Unread) > 0 {
		wrap(w, "  ", text.UnreadRecords(a.Unread))
	}
	wrap(w, "", a.Next)
}
