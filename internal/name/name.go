package name

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

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
	if why := Folder(text); why != "" {
		return why + "; use letters, digits, dashes and points"
	}
	return ""
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
	const nonJoiner, joiner = '\u200c', '\u200d'
	return r == utf8.RuneError || r != nonJoiner && r != joiner && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}
