package neck

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// notText says why data cannot be a TOML file at all.
func notText(data []byte) string {
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return "is empty"
	case bytes.IndexByte(data, 0) >= 0, !utf8.Valid(data):
		return "is not text; write a TOML file in UTF-8"
	case isReadings(string(data)):
		return "is a file of readings; give the neck file (.toml) first, then the readings"
	}
	return ""
}

// isReadings tells a readings file, given where the neck file belongs, by its
// header: the first line that is no comment names columns and sets no key.
func isReadings(text string) bool {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		return !strings.ContainsAny(line, "=[") && strings.Contains(line, "method") && strings.ContainsAny(line, ",;\t")
	}
	return false
}
