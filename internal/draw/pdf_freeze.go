package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
)

// errPDF is a PDF that is not of the form canvas writes: then that library has
// changed, and freezePDF must follow it.
type errPDF string

func (e errPDF) Error() string { return "draw: PDF: " + string(e) }

// freezePDF takes the clock out of a PDF as canvas writes it: the date of making
// in its information, and the date of change that the head table of each font
// gets. The table of offsets is made anew.
func freezePDF(raw []byte) ([]byte, error) {
	start := bytes.Index(raw, []byte("\n%")) + 1 // the header's second line
	start += bytes.IndexByte(raw[start:], '\n') + 1
	end := bytes.LastIndex(raw, []byte("\nxref\n0 ")) + 1
	if start < 2 || end < start {
		return nil, errPDF("no table of objects")
	}
	out := slices.Clone(raw[:start])
	offsets := map[int]int{}
	for rest := raw[start:end]; len(rest) > 0; {
		number, object, after, err := nextObject(rest)
		if err != nil {
			return nil, err
		}
		offsets[number] = len(out)
		out = append(out, object...)
		rest = after
	}
	trailer := bytes.Index(raw[end:], []byte("trailer\n"))
	stop := bytes.Index(raw[end:], []byte("\nstartxref\n"))
	if trailer < 0 || stop < trailer {
		return nil, errPDF("no trailer")
	}
	at := len(out)
	out = fmt.Appendf(out, "xref\n0 %d\n0000000000 65535 f \n", len(offsets)+1)
	for n := 1; n <= len(offsets); n++ {
		offset, ok := offsets[n]
		if !ok {
			return nil, errPDF("an object is missing")
		}
		out = fmt.Appendf(out, "%010d 00000 n \n", offset)
	}
	out = append(out, raw[end+trailer:end+stop]...)
	return fmt.Appendf(out, "\nstartxref\n%d\n%%%%EOF\n", at), nil
}

// nextObject takes the first object off the bytes and returns it frozen.
func nextObject(rest []byte) (number int, object, after []byte, err error) {
	head := regexp.MustCompile(`^(\d+) 0 obj\n`).FindSubmatch(rest)
	if head == nil {
		return 0, nil, nil, errPDF("an object does not start as one")
	}
	number, _ = strconv.Atoi(string(head[1])) // digits, by the pattern
	body := rest[len(head[0]):]
	stream := regexp.MustCompile(`^<</Filter/FlateDecode/Length (\d+)>>stream\n`).FindSubmatch(body)
	if stream != nil {
		length, _ := strconv.Atoi(string(stream[1]))
		body = body[len(stream[0]):]
		if length > len(body) {
			return 0, nil, nil, errPDF("a stream is cut short")
		}
		data, err := freezeStream(body[:length])
		if err != nil {
			return 0, nil, nil, err
		}
		object = fmt.Appendf(nil, "%s<</Filter/FlateDecode/Length %d>>stream\n", head[0], len(data))
		object = append(object, data...)
		rest = body[length:]
	}
	const close = "\nendobj\n"
	n := bytes.Index(rest, []byte(close))
	if n < 0 {
		return 0, nil, nil, errPDF("an object does not end")
	}
	n += len(close)
	date := regexp.MustCompile(`/CreationDate\(D:[^)]*\)`)
	return number, append(object, date.ReplaceAll(rest[:n], nil)...), rest[n:], nil
}

// freezeStream returns a compressed stream as it is, or, where it holds a
// TrueType font, with that font frozen.
func freezeStream(packed []byte) ([]byte, error) {
	z, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, errPDF("a stream is not compressed as said")
	}
	data, err := io.ReadAll(z)
	if err != nil {
		return nil, errPDF("a stream does not unpack")
	}
	if !bytes.HasPrefix(data, []byte{0, 1, 0, 0}) {
		return packed, nil
	}
	if err := freezeFont(data); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	w.Write(data) // a bytes.Buffer takes every write
	w.Close()
	return b.Bytes(), nil
}

// freezeFont sets a TrueType font's date of change to its date of making, and
// puts its sums right. Source: OpenType 1.9.1, "Organization of an OpenType
// font" (table records, checksums) and "head".
func freezeFont(font []byte) error {
	const (
		records, recordSize          = 12, 16
		adjust, made, changed        = 8, 20, 28 // within head
		dateSize, headSize           = 8, 54
		wholeSum              uint32 = 0xB1B0AFBA
	)
	for i := range int(binary.BigEndian.Uint16(font[4:])) {
		at := records + i*recordSize
		if at+recordSize > len(font) || string(font[at:at+4]) != "head" {
			continue
		}
		offset := int(binary.BigEndian.Uint32(font[at+8:]))
		if offset+headSize+2 > len(font) {
			break
		}
		head := font[offset : offset+headSize+2] // padded to whole words
		copy(head[changed:changed+dateSize], head[made:made+dateSize])
		binary.BigEndian.PutUint32(head[adjust:], 0)
		binary.BigEndian.PutUint32(font[at+4:], sum(head))
		binary.BigEndian.PutUint32(head[adjust:], wholeSum-sum(font))
		return nil
	}
	return errPDF("a font has no head")
}

// sum adds big-endian words; a last part of a word counts as padded with zeros.
func sum(b []byte) (s uint32) {
	for ; len(b) >= 4; b = b[4:] {
		s += binary.BigEndian.Uint32(b)
	}
	var last [4]byte
	copy(last[:], b)
	return s + binary.BigEndian.Uint32(last[:])
}
