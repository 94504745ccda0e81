package text

import (
	"strconv"
	"strings"
)

// Count is a number of things in words: "1 neck", "3 necks", "2 passes".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	for _, hiss := range []string{"s", "x", "z", "ch", "sh"} {
		if strings.HasSuffix(noun, hiss) {
			return strconv.Itoa(n) + " " + noun + "es"
		}
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
