package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/name"
)

// leftTable prints rows of words, columns aligned to the left, no line wider
// than lineWidth: what is too long ends in an ellipsis.
func leftTable(w io.Writer, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, c := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(printable(c)))
		}
	}
	for _, r := range rows {
		var b strings.Builder
		for i, c := range r {
			c = printable(c)
			b.WriteString(c)
			if i < len(r)-1 {
				b.WriteString(strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c)+2))
			}
		}
		fmt.Fprintln(w, clip(strings.TrimRight(b.String(), " "), lineWidth))
	}
}

// printable is a maker's free text without what would steer a terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if name.Hidden(r) {
			return ' '
		}
		return r
	}, s)
}
