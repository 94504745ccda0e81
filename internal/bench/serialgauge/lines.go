package serialgauge

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
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
	line := shown(bytes.TrimFunc(l.rest, blank))
	return line, line != ""
}

// shown is what came as text. Bytes that are none are written as \xff, what cannot
// be seen as \u001b: it never passes as part of a number, nor does anything to the
// screen or terminal that shows it.
func shown(b []byte) string {
	var s strings.Builder
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&s, `\x%02x`, b[0])
		case r == '\t' || unicode.IsPrint(r):
			s.WriteRune(r)
		default:
			fmt.Fprintf(&s, `\u%04x`, r)
		}
		b = b[n:]
	}
	return s.String()
}
