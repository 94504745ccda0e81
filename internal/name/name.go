package name

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Letters that join the letters beside them, or keep them apart.
const nonJoiner, joiner = '\u200c', '\u200d'

// Typed says what is wrong with a name that is typed, and what to do ("has ../ …");
// empty where nothing is.
func Typed(text string) string {
	if !utf8.ValidString(text) {
		return "is not plain text; type it again"
	}
	for _, r := range text {
		if Hidden(r) {
			return fmt.Sprintf("has a letter that can't be seen (%U); type it by hand", r)
		}
	}
	for _, up := range []string{"../", `..\`} {
		if strings.Contains(text, up) {
			return "has " + up + ", which leads out of a folder; use a dash"
		}
	}
	return ""
}

// TypedSerial is Typed for a serial or a stage, which names a folder too where a
// book is exported.
func TypedSerial(text string) string {
	if why := Typed(text); why != "" {
		return why
	}
	if text == "" {
		return ""
	}
	if r, ok := blank(text); ok {
		return fmt.Sprintf("has a letter that can't be seen (%U); type it by hand", r)
	}
	if why := Folder(text); why != "" {
		return why + "; use letters, digits, dashes and points"
	}
	return ""
}

// blank is the first letter of a serial that makes it look like another one: it
// shows nothing, or a gap that isn't the space bar's. A joiner is one where it
// joins no letters of a script that is spelled with it.
func blank(text string) (rune, bool) {
	letters := []rune(text)
	for i, r := range letters {
		switch {
		case r == nonJoiner || r == joiner:
			if i == 0 || i == len(letters)-1 || !spelled(letters[i-1]) || !spelled(letters[i+1]) {
				return r, true
			}
		case r != ' ' && unicode.Is(unicode.Zs, r), r == '\u2800', // a dotless braille cell
			unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector):
			return r, true
		}
	}
	return 0, false
}

// spelled reports a letter or mark of a script that joiners belong to.
func spelled(r rune) bool {
	return unicode.In(r, unicode.L, unicode.M) && !unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic)
}

// Folder says why a word can't name a folder on every system: this is what books
// have always asked of serials, stages and tags. Empty where it can.
func Folder(word string) string {
	switch {
	case strings.TrimSpace(word) != word:
		return "begins or ends with a space"
	case strings.HasPrefix(word, "."):
		return "begins with a point"
	}
	for _, r := range word {
		if r == '/' || r == '\\' || r == utf8.RuneError || unicode.IsControl(r) {
			return fmt.Sprintf("has %q", r)
		}
	}
	return ""
}

// Hidden reports a letter that shows nothing itself: a control letter, a line's
// end, one that turns the direction of what follows. Two joiners that some scripts
// are spelled with are none.
func Hidden(r rune) bool {
	return r == utf8.RuneError || r != nonJoiner && r != joiner && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// Visible writes hidden letters as a program would, \x1b or \u202e: a file's name
// may hold what steers a terminal.
func Visible(text string) string {
	if !strings.ContainsFunc(text, Hidden) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if Hidden(r) && r != utf8.RuneError {
			quoted := strconv.QuoteRuneToASCII(r)
			b.WriteString(quoted[1 : len(quoted)-1])
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}
