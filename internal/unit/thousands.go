package unit

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// grouped says what a number that is written in groups of three may mean:
// "1,640" is 1640 or 1.640, "1,640.5" only 1640.5. Empty where s is none.
func grouped(s string) (means []string) {
	sign := ""
	if s != "" && strings.ContainsRune("+-", rune(s[0])) {
		sign, s = s[:1], s[1:]
	}
	first := digits(s)
	if first == 0 || first > 3 || s[0] == '0' || first == len(s) {
		return nil
	}
	mark, size := utf8.DecodeRuneInString(s[first:])
	if !strings.ContainsRune(",.' ’\u00a0\u2009\u202f", mark) {
		return nil
	}
	whole, rest, groups := s[:first], s[first:], 0
	for strings.HasPrefix(rest, string(mark)) && digits(rest[size:]) == 3 {
		whole, rest, groups = whole+rest[size:size+3], rest[size+3:], groups+1
	}
	part := ""
	if rest != "" && strings.ContainsRune(",.", rune(rest[0])) && rune(rest[0]) != mark && digits(rest[1:]) == len(rest)-1 && len(rest) > 1 {
		part, rest = "."+rest[1:], ""
	}
	switch {
	case groups == 0 || rest != "":
		return nil
	case groups == 1 && part == "" && mark == '.':
		return nil // a plain decimal
	case groups == 1 && part == "" && mark == ',':
		return []string{sign + whole, sign + strings.Replace(s, ",", ".", 1)}
	}
	return []string{sign + whole + part}
}

// wrongGroups says what to write for a number in groups of three with what follows
// it, " mm"; nil where it is none.
func wrongGroups(s, rest string) error {
	switch m := grouped(s); len(m) {
	case 1:
		return fmt.Errorf("%s has its thousands parted; write %s", Quote(s+rest), Quote(m[0]+rest))
	case 2:
		return fmt.Errorf("%s may be %s or %s; write the one you mean", Quote(s+rest), Quote(m[0]+rest), Quote(m[1]+rest))
	}
	return nil
}

// groupsEnd is the length of a number in groups that a size starts with, 0 for
// none.
func groupsEnd(s string) int {
	end := len(s)
	for end > 0 {
		if grouped(s[:end]) != nil && (end == len(s) || !strings.ContainsRune("/0123456789", rune(s[end]))) {
			return end
		}
		end--
	}
	return 0
}
