package cli

import (
	"fmt"
	"io"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// earText prints the answer of `ear` for a person.
type earText struct {
	out         io.Writer
	answer      *answer.EarAnswer
	colour, all bool
}

// How many sentences, and how many lines of both kinds, the short listing shows.
const (
	shortSays = 3
	shortBoth = 4
)

func (t earText) print() {
	w, a := t.out, t.answer
	fmt.Fprintf(w, "%s: %s\n", a.Neck, strong(t.colour, text.EarHead(&a.Report)))
	wrap(w, "(", text.EarBasis(&a.Report)+")")
	lines(w, "! ", a.Warnings)
	says, shown := a.Says, a.Disagree
	if !t.all {
		says = says[:min(len(says), shortSays)]
		shown = shown[:min(len(shown), shortBoth-len(says))]
	}
	lines(w, "", says)
	for _, d := range shown {
		wrap(w, "  ", text.EarLine(d))
	}
	if !t.all {
		return
	}
	if len(a.Likeliest) > 0 {
		fmt.Fprintf(w, "\n%s\n", text.EarLikeliest)
		lines(w, "  ", text.EarChances(&a.Report))
	}
	fmt.Fprintf(w, "\nWhat it rests on\n")
	lines(w, "  ", text.EarRests(&a.Report))
}
