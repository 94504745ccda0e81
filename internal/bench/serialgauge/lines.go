package serialgauge

import (
	"strings"
	"unicode/utf8"
)

// longest is how many bytes a line may have. More without an end is no gauge's
// line, or one read at another speed.
const longest = 120

// lines puts lines together of the pieces that come.
type lines struct {
	rest []byte
	long bool // the line under way is too long: its first bytes are in rest
}

// add takes a piece and calls whole for each line that it ends; cut says that
// bytes of the line are left out. Empty lines are none: CR and LF may both come.
func (l *lines) add(piece []byte, whole func(line string, cut bool)) {
	for _, b := range piece {
		switch {
		case b == '\r' || b == '\n':
			if line, ok := l.end(); ok {
				whole(line, l.long)
			}
			l.rest, l.long = l.rest[:0], false
		case len(l.rest) == longest:
			l.long = true
		default:
			l.rest = append(l.rest, b)
		}
	}
}

// end is the line under way, if there is more of it than blanks.
func (l *lines) end() (string, bool) {
	line := strings.TrimFunc(shown(l.rest), blank)
	return line, line != ""
}

// shown is what came as text: bytes that are none are written as \xff, so that
// they never pass as a number's.
func shown(b []byte) string {
	var s strings.Builder
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		if r == utf8.RuneError && n == 1 {
			const hex = "0123456789abcdef"
			s.WriteString(`\x` + string(hex[b[0]>>4]) + string(hex[b[0]&15]))
		} else {
			s.WriteRune(r)
		}
		b = b[n:]
	}
	return s.String()
}
