package tables

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxPart is the most letters that a part of a serial can have: a serial has
// no more (book.Entry.Check).
const maxPart = 64

// holdsPart is the condition that a column holds a part, whatever its case. A
// database's own lower() knows A to Z only, or more by its locale; so that every
// book answers alike, the part is folded here, and the other forms of its letters
// beyond A to Z are changed in the column's text, one after the other.
func holdsPart(position, column, part string, arg func(any) string) string {
	if !utf8.ValidString(part) || utf8.RuneCountInString(part) > maxPart || strings.ContainsFunc(part, unicode.IsControl) {
		return "1 = 0" // no serial has it, and a database may refuse the question
	}
	text := "lower(" + column + ")"
	known := map[rune]bool{}
	folded := strings.Map(func(r rune) rune {
		home, others := forms(r)
		if !known[home] {
			known[home] = true
			for _, o := range others {
				text = fmt.Sprintf("replace(%s, '%c', '%c')", text, o, home)
			}
		}
		return home
	}, part)
	return fmt.Sprintf("%s(%s, %s) > 0", position, text, arg(folded))
}

// forms gives the one form that stands for a letter, and its others beyond A
// to Z: Ü and ü; k and the kelvin sign.
// Source: Unicode simple case folding, as Go's unicode.SimpleFold has it.
func forms(r rune) (home rune, others []rune) {
	all := []rune{r}
	for o := unicode.SimpleFold(r); o != r; o = unicode.SimpleFold(o) {
		all = append(all, o)
	}
	home = r
	for _, o := range all {
		home = min(home, o)
	}
	home = asciiLower(home)
	for _, o := range all {
		if o != home && o >= utf8.RuneSelf {
			others = append(others, o)
		}
	}
	return home, others
}

func asciiLower(r rune) rune {
	if 'A' <= r && r <= 'Z' {
		return r + 'a' - 'A'
	}
	return r
}
