package cli

import (
	"fmt"
	"io"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// filmText prints what a strip or a film shows.
type filmText struct {
	out         io.Writer
	answer      *answer.PlayFilmAnswer
	strip, film string
	colour      bool
}

// maxContacts is how many contacts are listed.
const maxContacts = 12

func (t filmText) print() {
	w := t.out
	a := t.answer
	where := fmt.Sprintf("fret %d", a.Fret)
	if a.Fret == 0 {
		where = "open"
	}
	title := fmt.Sprintf("%s, string %d (%s), %s: %s", a.Neck, a.String, a.Pitch, where, a.Verdict)
	title = strong(t.colour, title)
	fmt.Fprintln(w, title)
	wrap(w, "  ", fmt.Sprintf("%s: released %.2f mm %s the board, %.0f mm from the saddle; %s.", a.Touch, a.TriangleMM, text.Way(a.Release), a.LengthMM-a.PluckMM, a.State))
	if len(a.Contacts) == 0 {
		wrap(w, "  ", fmt.Sprintf("It meets no fret within %.0f ms.", a.WindowMS))
	} else {
		fmt.Fprintf(w, "\nContacts within %.0f ms\n", a.WindowMS)
		rows := [][]string{{"contact", "fret", "from ms", "to ms", "mN·s"}}
		for i, c := range a.Contacts {
			if i < maxContacts {
				rows = append(rows, []string{fmt.Sprint(c.Number), fmt.Sprint(c.Fret), fmt.Sprintf("%.2f", c.FromMS), fmt.Sprintf("%.2f", c.ToMS), fmt.Sprintf("%.3f", c.ImpulseMNS)})
			}
		}
		table(w, rows)
		if more := len(a.Contacts) - maxContacts; more > 0 {
			fmt.Fprintf(w, "  and %d more\n", more)
		}
	}
	fmt.Fprintln(w)
	if t.strip != "" {
		wrap(w, "", fmt.Sprintf("%s shows %d moments.", t.strip, len(a.Strip)))
	}
	if t.film != "" {
		wrap(w, "", fmt.Sprintf("%s shows the first %.2f ms; open it in a browser.", t.film, a.Film[len(a.Film)-1].TimeMS))
	}
}
