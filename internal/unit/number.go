package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Bounds of what passes as a number in a file: beyond them lies a slip of the
// pen, and arithmetic that overflows.
const (
	largest    = 1e9
	longestLen = 40 // characters
)

// Number reads a plain decimal number, "-0.58" or "5e-8". Hexadecimal digits,
// underscores, NaN, infinities, more than three digits of exponent and anything
// beyond 1e9 are errors that say what would be right.
func Number(s string) (float64, error) {
	s = strings.TrimSpace(s)
	end := numberEnd(s)
	if end == 0 || end < len(s) {
		return 0, wrongNumber(s)
	}
	return parseNumber(s)
}

// parseNumber reads a string that numberEnd has passed whole.
func parseNumber(s string) (float64, error) {
	if len(s) > longestLen {
		return 0, fmt.Errorf("%s is too long for a number", Quote(s))
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.Abs(v) > largest {
		return 0, fmt.Errorf("%s is absurdly large", s)
	}
	return v, nil
}

// wrongNumber says what is wrong with a string that is no number.
func wrongNumber(s string) error {
	if err := wrongGroups(s, ""); err != nil {
		return err
	}
	low := strings.ToLower(strings.TrimLeft(s, "+-"))
	switch {
	case s == "":
		return fmt.Errorf("is empty; write a number such as 0.58")
	case strings.HasPrefix(low, "nan"), strings.HasPrefix(low, "inf"):
		return fmt.Errorf("%s is not a size; write it like 0.58", Quote(s))
	case strings.HasPrefix(low, "0x"), strings.HasPrefix(low, "0b"), strings.HasPrefix(low, "0o"):
		return fmt.Errorf("%s is not decimal; write it like 0.58", Quote(s))
	case strings.Count(s, ".")+strings.Count(s, ",") > 1 && strings.Trim(s, "+-0123456789.,") == "":
		return fmt.Errorf("%s has two decimal marks; write it like 0.58", Quote(s))
	case isCommaNumber(s):
		return fmt.Errorf("%s has a decimal comma; write %s", Quote(s), strings.Replace(s, ",", ".", 1))
	case strings.Contains(s, "_") && numberEnd(strings.ReplaceAll(s, "_", "")) == len(strings.ReplaceAll(s, "_", "")):
		return fmt.Errorf("%s has an underscore; write %s", Quote(s), strings.ReplaceAll(s, "_", ""))
	}
	return fmt.Errorf("%s is not a number; write it like 0.58", Quote(s))
}

// isCommaNumber reports a number written with one comma in place of the point.
func isCommaNumber(s string) bool {
	if strings.Count(s, ",") != 1 || strings.Contains(s, ".") {
		return false
	}
	p := strings.Replace(s, ",", ".", 1)
	return numberEnd(p) == len(p)
}

// numberEnd is the length of the decimal number that s starts with, 0 for
// none: [sign] digits [. digits] [e [sign] one to three digits].
func numberEnd(s string) int {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	whole := digits(s[i:])
	i += whole
	part := 0
	if i < len(s) && s[i] == '.' {
		part = digits(s[i+1:])
		if part > 0 {
			i += 1 + part
		}
	}
	if whole+part == 0 {
		return 0
	}
	return i + exponentEnd(s[i:])
}

// exponentEnd is the length of the exponent that s starts with, 0 for none.
func exponentEnd(s string) int {
	if len(s) < 2 || (s[0] != 'e' && s[0] != 'E') {
		return 0
	}
	i := 1
	if s[i] == '+' || s[i] == '-' {
		i++
	}
	n := digits(s[i:])
	if n == 0 || n > 3 {
		return 0
	}
	return i + n
}

// digits counts the decimal digits that s starts with.
func digits(s string) int {
	n := 0
	for n < len(s) && '0' <= s[n] && s[n] <= '9' {
		n++
	}
	return n
}

// Quote prints a piece of a file inside a message: in quotes, control
// characters escaped, cut short.
func Quote(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return strconv.Quote(s)
}
