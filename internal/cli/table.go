package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// lineWidth is how wide a listing may be.
const lineWidth = 80

// table prints rows with their columns aligned to the right, the last of a
// header's words columns to the left. A cell's closing mark (blank, * or ?)
// counts as part of it.
func table(w io.Writer, rows [][]string) {
	if inInches(w) {
		rows = inchTable(rows)
	}
	widths := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, c := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	for n, r := range rows {
		var b strings.Builder
		for i, c := range r {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))
			switch {
			case i == len(r)-1 && wordColumn(rows, i):
				b.WriteString("  " + c)
			case n == 0 && marked(rows, i): // the mark's own column stays free
				if pad == "" {
					b.WriteString(" " + c)
				} else {
					b.WriteString(" " + pad[1:] + c + " ")
				}
			default:
				b.WriteString("  " + pad + c)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
}

// strong makes words stand out on a terminal; the words themselves say it all.
func strong(colour bool, words string) string {
	if colour {
		return "\x1b[1m" + words + "\x1b[0m"
	}
	return words
}

// wordColumn reports whether a column holds words rather than numbers.
func wordColumn(rows [][]string, i int) bool {
	for _, r := range rows[1:] {
		if strings.ContainsAny(r[i], "abcdefghijklmnopqrstuvwxyz") {
			return true
		}
	}
	return false
}

// marked reports whether a column's cells end in a mark.
func marked(rows [][]string, i int) bool {
	for _, r := range rows[1:] {
		if strings.HasSuffix(r[i], " ") || strings.HasSuffix(r[i], "*") || strings.HasSuffix(r[i], "?") {
			return true
		}
	}
	return false
}

// wrap prints words under a first-line lead, broken at lineWidth.
func wrap(w io.Writer, lead, words string) {
	if inInches(w) {
		words = text.Inches(words)
	}
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line := lead
	empty := true
	for _, word := range strings.Fields(words) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > lineWidth {
			fmt.Fprintln(w, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	fmt.Fprintln(w, line)
}

// spans prints ascending numbers with runs shortened: 1-4, 7, 9-22.
func spans(n []int) string { return unit.Spans(n) }
