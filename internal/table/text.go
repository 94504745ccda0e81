package table

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"ringtrue/internal/fileerr"
)

// Text strips the byte order mark and settles line ends, or says why the
// data cannot be a table at all. what is what the file is called in messages.
func Text(data []byte, what string) ([]byte, *fileerr.Fault) {
	if len(data) > MaxBytes {
		return nil, &fileerr.Fault{Msg: fmt.Sprintf("is larger than %d MB; that is no %s", MaxBytes>>20, what)}
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, &fileerr.Fault{Msg: "is UTF-16; save it as CSV in UTF-8"}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 {
		return nil, &fileerr.Fault{Msg: fmt.Sprintf("is no text; a %s is a CSV file in UTF-8", what)}
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

// Separator is what parts the cells of the header row.
func Separator(data []byte) rune {
	for line := range bytes.Lines(data) {
		line = bytes.TrimSpace(line)
		switch {
		case len(line) == 0 || line[0] == '#':
			continue
		case bytes.IndexByte(line, '\t') >= 0:
			return '\t'
		case bytes.IndexByte(line, ';') >= 0:
			return ';'
		}
		return ','
	}
	return ','
}
