package table

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/fileerr"
)

// settled strips the byte order mark and settles line ends, or says why the
// data cannot be a table at all. what is what the file is called in messages.
func settled(data []byte, what string) ([]byte, *fileerr.Fault) {
	if len(data) > MaxBytes {
		return nil, &fileerr.Fault{Msg: fmt.Sprintf("is larger than %d MB, too large for a %s", MaxBytes>>20, what)}
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, &fileerr.Fault{Msg: "is UTF-16; save it as CSV in UTF-8"}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 {
		return nil, &fileerr.Fault{Msg: fmt.Sprintf("is not text; a %s is a CSV file in UTF-8", what)}
	}
	if at := badUTF8(data); at >= 0 {
		return nil, &fileerr.Fault{
			Line: 1 + bytes.Count(data[:at], []byte("\n")), Msg: "is not UTF-8; save the file as CSV in UTF-8",
		}
	}
	if bytes.IndexByte(data, '\n') < 0 {
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	return data, nil
}

// badUTF8 is the place of the first byte that is no UTF-8, -1 for none.
func badUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	at := 0
	for at < len(data) {
		r, n := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && n == 1 {
			break
		}
		at += n
	}
	return at
}

// firstLine is the first line that is neither blank nor a comment, and where it
// stands; "" where there is none.
func firstLine(data []byte) (number int, text string) {
	for line := range bytes.Lines(data) {
		number++
		line = bytes.TrimSpace(line)
		if len(line) > 0 && line[0] != '#' && !bytes.HasPrefix(line, []byte(`"#`)) {
			return number, string(line)
		}
	}
	return 0, ""
}

// separator is what parts the cells of a header row.
func separator(header string) rune {
	switch {
	case strings.Contains(header, "\t"):
		return '\t'
	case strings.Contains(header, ";"):
		return ';'
	}
	return ','
}
